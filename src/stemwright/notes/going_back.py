"""Going back: a note that surely goes back, for the stems that its whole is about, in the way that its words say."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.clauses import ARTICLES
from stemwright.notes.history import SHARES, Telling, back_in, share_in
from stemwright.notes.items import stems_of
from stemwright.stems.people import GIVEN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.frames import Back
    from stemwright.notes.gist.reading import Gist
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead

SURELY: Final = 0.9  # that the note goes back at all
BACK: Final = 0.8  # that a stem does, or does not
EVERYTHING: Final = 0.5  # likely of every stem, for all of them to go back where a word is left that may name one
FEW_WORDS: Final = 7
_SHORTEST: Final = 3  # letters of a word that may be a name
_QUOTED: Final = re.compile(r'"[^"]*"(?:(?:,| and) "[^"]*")*')
_UNITS: Final = ("hz", "db", "q", "%", "slope")
_RETURNS: Final = ("pass", "passes back", "before")  # what says most comes first


def goes_back(reading: NoteRead, gist: Gist, targets: Targets) -> bool:
    """Take a note for one that only goes back; False where it does more, or for which stems or how is not sure.

    Parameters
    ----------
    reading : NoteRead
        Is changed.
    gist : Gist
    targets : Targets
    """
    whose = "" if gist.heard.back.min() >= EVERYTHING else _whose(reading, gist, targets)
    if _is_taken(reading, gist, unclear=bool(whose)):
        return True
    if whose:  # going back with every stem for want of one's name would undo what nobody meant
        unclear = [back.text for back in reading.backs if not back.stems]
        reading.backs = [back for back in reading.backs if back.stems]
        reading.rest = [rest for rest in reading.rest if rest not in unclear]
        reading.problems.append(
            (gist.text, f"{whose}: which stem goes back? write its name; or everything, for all of them")
        )
        reading.perhaps = ways_back(gist)
    return bool(whose)


def ways_back(gist: Gist) -> tuple[str, tuple[str, ...]]:
    """Return what to offer where a note surely goes back and its words do not say how: for the stems that surely do, if any."""
    surely = [stem for stem, likely in zip(gist.stems, gist.heard.back, strict=True) if likely >= BACK]
    if gist.likely("back") < SURELY or not surely:
        return "", ()
    called = ", ".join(f'"{stem}"' for stem in surely)
    return "perhaps one of these is meant", (f"{called}: undo", f"{called}: half of that")


def _whose(reading: NoteRead, gist: Gist, targets: Targets) -> str:
    """Return the word that may name a stem where all stems are taken to go back, as in: undo the zither."""
    if all(back.stems for back in reading.backs):
        return ""
    for part in _parts(gist):
        returns = any(item.has("undo", "pass", "before", "past", *SHARES) for item in part)
        earlier = any(item.has("before") for item in part)  # better before; not: love the last pass
        if returns and not any(item.names or (item.has("praise") and not earlier) for item in part):
            for before, item in zip([None, *part], part, strict=False):
                if _may_name(item, before, targets):
                    return item.text
    asked = {stem for ask in reading.asks for stem in ask.stems}
    told = [item for part in _parts(gist) if not any(each.has("praise") for each in part) for item in part]
    named = [item for item in told if item.names and not set(stems_of([item])) <= asked]
    return named[0].text if named and len(stems_of(named)) < len(gist.stems) else ""


def _parts(gist: Gist) -> list[list[Item]]:
    """Return a note's words, apart wherever another thing may begin; a break stays before what follows it."""
    parts: list[list[Item]] = [[]]
    for item in gist.items:
        if item is None or item.kind == "break" or item.has("and"):
            parts.append([])
        if item is not None:
            parts[-1].append(item)
    return parts


def _may_name(item: Item, before: Item | None, targets: Targets) -> bool:
    """Whether a word may be what a stem is called: one nobody knows, an instrument or a person, one that is in one stem's name.

    A common one is only behind an article.
    """
    if item.target is not None:
        return not item.target.stems
    if item.kind != "word" or len(item.text) < _SHORTEST:
        return False
    if item.text in GIVEN:
        return before is not None and before.kind != "break"  # Ann, who begins, only speaks
    slip = bool(item.meant) and not item.has("undo", "pass", "before", "past")
    behind_article = before is not None and before.text.rpartition(" ")[2] in ARTICLES
    told = item.has("undo", "pass", "before", "past", "praise", "move")
    common = behind_article if item.idle else not told
    return item.unknown or slip or (common and bool(targets.with_word(item.text)))


def _is_taken(reading: NoteRead, gist: Gist, *, unclear: bool) -> bool:
    items = [item for item in gist.items if item is not None]
    named = unclear or any(item.names for item in items) or any(back.stems for back in reading.backs)
    understood = bool(reading.asks or reading.backs) and not reading.problems
    shared = any(item.has(*SHARES) for item in items)  # "a bit less than last time" is read as a level
    plain = understood and (is_short(gist.text) or bool(reading.asks)) and not shared and not unclear
    more = reading.relations or reading.not_ours or reading.somewhere
    firm = any(problem in reading.firm for problem in reading.problems)
    if has_figures(items) or not named or plain or more or firm:
        return False
    likely = dict(zip(gist.stems, map(float, gist.heard.back), strict=True))
    if gist.likely("back") < SURELY or gist.touched or any(1.0 - BACK < each < BACK for each in likely.values()):
        return False
    stems = tuple(stem for stem, each in likely.items() if each >= BACK)
    way = _way(reading, gist) if stems else None
    others = understood and all(back.stems for back in reading.backs)
    kept = others and not set(stems).isdisjoint(reading.kept_off)  # keep the snare and put everything else back
    if way is None or kept:
        return False
    reading.backs = [replace(way, stems=stems)]
    reading.kept_off = [stem for stem in reading.kept_off if stem not in stems]
    reading.asks, reading.problems = [], []
    reading.rest = [way.text]
    reading.taken.append(f"taken as going back, for {', '.join(stems)}: {way.text}")
    return True


def is_short(text: str) -> bool:
    """Whether a note, or a sentence of one, has so few words that what they say one by one is all of it; names in quotes are one."""
    return len(_QUOTED.sub("it", text).split()) <= FEW_WORDS


def has_figures(items: Sequence[Item]) -> bool:
    """Whether a note has figures, which stand as they are written; the number of a pass is none."""
    before = [None, *items]
    return any(
        item.figure is not None and (item.figure.unit in _UNITS or (last is not None and not last.has("pass")))
        for last, item in zip(before, items, strict=False)
    )


def _way(reading: NoteRead, gist: Gist) -> Back | None:
    """Return how a note goes back: as its clauses were read, if they say one thing, else as all of its words do together."""
    ways = {back.way for back in reading.backs}
    said = {(back.way, back.number, back.share) for back in reading.backs if back.way != "before"}
    if len(said) <= 1 and (len(ways) == 1 or (ways and ways <= set(_RETURNS))):
        return min(reading.backs, key=lambda back: _RETURNS.index(back.way) if back.way in _RETURNS else 0)
    if ways or reading.kept_off:
        return None
    items = [item for item in gist.items if item is not None]
    telling = Telling(items=items, word=None, freq_hz=None, text=" ".join(gist.text.split()))
    share = share_in(telling)
    return back_in(telling) if share is None or telling.gain else telling.back("scale", share=share)
