"""Unexplained: the words of a clause that no reading of it accounts for, and the help a person gets with one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.notes.frames import PieceError
from stemwright.recipes.problems import shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.asking import Told
    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.subjects import Subjects
    from stemwright.recipes.words import Vocabulary

ASKING = ("direction", "turn", "take", "want", "strong", "lack", "enough", "guard")
LEADING = ("direction", "take", "strong", "lack", "enough", "amount", "neg", "all of")
SOMEBODY = (
    "i", "im", "ive", "you", "we", "he", "she", "they", "everybody", "everyone", "people", "nobody", "my", "that", "it", "u",
)  # fmt: skip
FEW = 2  # a pair, or two of a kind: one word beside their name is taken for a part of it


def circumstance(items: Sequence[Item]) -> list[Item]:
    """Return a clause without what only tells why, when or like what, if something is asked before it."""
    for at, item in enumerate(items):
        tail = (
            (
                item.has("reason")
                or item.has("like")
                or (item.text in ("when", "where", "so", "as", "while") and item.has("reason", "talk", "like", "and"))
            )
            and not item.has("before", "room", "image")
            and item.text != "than"
        )
        figurative = item.text.startswith(("as if", "as though"))
        likened = (
            item.has("like") and any(each.quality for each in items[:at]) and (figurative or not _goes_back(items[at:]))
        )
        picture = item.has("like") and _only_named(items[:at]) and any(each.has("image", "word") for each in items[at:])
        if tail and at and not picture and _says_enough(items[:at]) and (likened or not _answers(items[at:])):
            return list(items[:at])
    return list(items)


def so_that(items: Sequence[Item]) -> list[Item]:
    """Return a clause without what follows from a sound that is said to be so: so bright I can't hear my own words."""
    for at, item in enumerate(items[:-2]):
        sound = items[at + 1]
        told = items[at + 2 :]
        named = any(each.names or each.quality == "buried" or each.has("event") for each in told)
        if item.text == "so" and sound.quality is not None and told[0].text.split(" ")[0] in SOMEBODY and not named:
            return list(items[: at + 2])
    return list(items)


def _says_enough(items: Sequence[Item]) -> bool:
    return any(
        item.quality is not None
        or (item.has("turn") and not item.has("is"))
        or (item.figure is not None and item.figure.unit != "q")
        for item in items
    )


def _only_named(items: Sequence[Item]) -> bool:
    """Whether a word of sound is only there, and what follows tells how it is: the snare hits like a pillow."""
    at = next((at for at, item in enumerate(items) if item.quality is not None and not item.names), None)
    return at is not None and not any(item.has(*LEADING, "is", "want", "guard") for item in items[:at])


def _goes_back(items: Sequence[Item]) -> bool:
    return any(item.figure is not None or item.has("before", "pass", "undo", "section") for item in items)


def _answers(items: Sequence[Item]) -> bool:
    return any(
        item.figure is not None
        or item.has("elsewhere", "section", "before", "undo", "pass", "less than last", "cover", "under")
        for item in items
    ) or (
        any(item.names for item in items)
        and items[0].has("reason")
        and items[0].text in ("than", "compared to", "as soon as")
    )


def unexplained(clause: Clause, subjects: Subjects, *, asked: bool) -> list[Item]:
    """Return the words that nobody knows and that may change what is meant.

    Where something is understood to be asked, a word counts only in two places: where the thing asked for would stand (more
    WORD, is WORD and), and beside a name of several stems, which it may narrow. Elsewhere it tells of how, where or why.
    """
    left = []
    items = clause.items
    for at, item in enumerate(items):
        if not item.unknown or item.text.endswith("ly") or len(item.text) == 1 or item.text.isdigit():
            continue
        if not asked or _asked_for(items, at) or _narrows(items, at, subjects):
            left.append(item)
    return left


def is_predicate(items: Sequence[Item], item: Item) -> bool:
    """Whether a word nobody knows is what is said of a stem: the hats are WORD."""
    at = items.index(item)
    lead = [each for each in items[:at] if not each.has("talk") or each.has("is")]
    told = item.unknown and not item.text.endswith("ing")  # "is tripping over the lead" tells what it does
    return told and bool(lead) and lead[-1].has("is") and lead[-1].text != "s"


def _asked_for(items: Sequence[Item], at: int) -> bool:
    """Whether a word stands where what is asked for stands, and no known word of sound behind it is that: more WORD."""
    lead = [item for item in items[:at] if not item.idle or item.has("is", "place")]
    if not lead or not (lead[-1].has(*LEADING) or lead[-1].has("is")) or lead[-1].names:
        return False
    return not any(item.quality for item in [each for each in items[at + 1 :] if not each.idle or each.quality][:1])


def _narrows(items: Sequence[Item], at: int, subjects: Subjects) -> bool:
    """Whether a word beside the name of several stems may say which of them: the WORD vocals."""
    following = items[at + 1 : at + 2]
    return len(subjects.stems) > FEW and bool(following) and following[0] in subjects.items


def asks_for_something(clause: Clause, told: Told) -> bool:
    """Whether a clause without a known word of sound asks for something after all."""
    asking = any(item.has(*ASKING) or item.kind in ("figure", "sign") for item in told.items)
    if told.subjects.explicit or clause.heads:
        # A word nobody knows, said of a stem, is never passed over; beside praise it only says of what: its place is perfect.
        praised = any(item.has("praise") for item in told.items)
        return asking or not praised or any(item.unknown and is_predicate(told.items, item) for item in told.items)
    return asking and any(item.has("direction", "take", "strong") for item in told.items)


def say_what(clause: Clause, told: Told) -> None:
    """Refuse a clause that asks for something, and nobody can tell for what.

    Raises
    ------
    PieceError
    """
    items, text = told.items, told.text
    if any(item.quality is not None for item in items) or not (told.subjects.explicit or clause.heads):
        return
    vague = next((item for item in items if item.has("ask")), None)
    if vague is not None:
        heard = "say what is heard (harsh, boomy, dull, thin, too loud ...)"
        raise PieceError(f"{vague.text}: something is to change, and not what; {heard}", "what")
    if any(item.has("filter") and item.value("filter") in ("high_pass", "low_pass") for item in items):
        raise PieceError(f"at which frequency? write it, as in {text} at 100 Hz")
    take = next(
        (item for item in items if item.has("take", "strong") and not item.has("is", "want", "amount", "move")), None
    )
    if take is not None:
        raise PieceError(f"{take.text} what of it? say what is heard: {text}, less harsh; {text}, quieter", "verb")
    asked = any(item.has("direction", "turn") and not item.has("is", "amount", "place") for item in items)
    if asked and not any(item.has("neg", "guard", "praise") for item in items):
        raise PieceError(f"more or less of what? say it, as in {text}, less harsh; {text}, 1 dB quieter")


def help_with(word: str, vocabulary: Vocabulary) -> str:
    """Return what a person can do about a word that nobody knows."""
    near = near_words(word, vocabulary)
    meant = f"could be: {', '.join(near)}; " if near else ""
    return f"{shown(word)}: no word that is known; {meant}all of them: stemwright words list, one: stemwright words explain WORD"


def near_words(word: str, vocabulary: Vocabulary) -> list[str]:
    """Return words that an unknown one could be meant for: close in spelling, and never itself."""
    from difflib import get_close_matches  # noqa: PLC0415 - only for a refusal

    forms = sorted({" ".join(form) for form in vocabulary.forms})
    return [form for form in get_close_matches(word[:40].lower(), forms, n=3, cutoff=0.8) if form != word.lower()]
