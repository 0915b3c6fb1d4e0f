"""Carrying: what a clause takes over from the one before it: its verb, its word of sound; and its text as it was written."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item


_CORRECTED: Final = re.compile(
    r"\b(?:scratch that|strike that|correction|i meant?|no,? wait|wait,? no|or rather|sorry,)(?=.*\d)", re.IGNORECASE
)
_MOVED: Final = re.compile(
    r"\b(?:you|u|ya|somebody|someone|who(?:ever)?) (?:have |has )?(?:moved|changed|touched|shifted|altered)\b", re.IGNORECASE
)
_MOVE_BACK: Final = re.compile(r"\b(?:move|shift|change) (?:it|them|that|him|her) back\b", re.IGNORECASE)


DOERS: Final = ("i", "we", "he", "she", "they", "you", "im", "id", "ive", "weve")
POINTING: Final = ("for", "with", "on", "to")
_LIMIT: Final = re.compile(
    r"\b(?:(?:no|not) (?:more|less) than|at (?:most|least)|up to)\b[^.;\n]*?\d\s*(?:db|%)", re.IGNORECASE
)


def is_a_limit(sentence: str) -> bool:
    """Whether a sentence says how far a figure may go, and not how far it is to: no more than 2 dB."""
    return _LIMIT.search(sentence) is not None


def without_also(clause: Clause) -> Clause:
    """Return a clause without a "too" at its end, where it means "also": make the hats darker too."""
    said = [item for item in clause.items if not item.idle]
    if len(said) + len(clause.heads) < 2 or not said or said[-1].text != "too":
        return clause
    return replace(clause, items=[item for item in clause.items if item is not said[-1]])


def only_also(clause: Clause) -> bool:
    """Whether a clause is nothing but "too" behind a comma: make the hats darker, too."""
    said = [item for item in clause.items if not item.idle]
    return [item.text for item in said] == ["too"] and not clause.names and clause.joined_by == ","


def is_same_again(clause: Clause) -> bool:
    """Whether a clause asks for what was asked before, of others: same for the hats, the hats need the same."""
    same = any(item.text == "same" for item in clause.items)
    pointing = any(item.has("want") or (item.idle and item.text.split(" ")[0] in POINTING) for item in clause.items)
    return same and pointing and bool(clause.names)


def is_polite(clause: Clause, faults: Collection[str]) -> bool:
    """Whether a clause opens with thanks or an apology, and asks for nothing: thanks for sending it over so fast."""
    at = next((at for at, item in enumerate(clause.items) if item.has("thanks")), None)
    if at is None or clause.heads or not all(item.idle for item in clause.items[:at]):
        return False
    asks = any(
        item.has("want", "lack", "neg", "undo") or item.quality in faults or item.figure is not None for item in clause.items
    )
    return not asks and not any(item.names for item in clause.items)


def reports(clause: Clause, faults: Collection[str]) -> bool:
    """Whether a clause about no stem reports what somebody did with the song: we had it on repeat in the van."""
    doing = any(item.has("story") and not item.has("i") and item.text not in DOERS for item in clause.items[:4])
    return doing and not clause.names and tells_a_story(clause.items, faults)


PLACES = ("on", "in", "at", "from", "through", "over", "inside", "to")


def is_a_place(items: Sequence[Item]) -> bool:
    """Whether a clause only says where or of what: on the little wireless box, in order of pain."""
    asks = any(item.has("is", "direction", "want", "turn", "take", "neg", "lack", "strong", "enough") for item in items)
    of_a_band = any(item.has("band") for item in items)
    return bool(items) and items[0].text in PLACES and not asks and not of_a_band and not any(item.names for item in items)


def leads_in(clause: Clause, following: Clause | None) -> bool:
    """Whether a clause about no stem leads to one after a colon that names some: I get tired ears here: the brass is harsh."""
    if following is None or following.joined_by != ":" or not following.names or clause.names or clause.left_out:
        return False
    return not any(
        item.figure is not None
        or (item.has("want") and not item.has("is"))
        or item.has("direction", "take", "every", "other", "undo", "elsewhere", "pass")
        or (item.has("turn") and not item.has("place"))
        for item in clause.items
    )


def only_likens(clause: Clause) -> bool:
    """Whether a clause only says what it is as if: as if it were played in a corridor."""
    return bool(clause.items) and clause.items[0].text.startswith(("as if", "as though")) and not clause.names


def tells_a_story(items: Sequence[Item], faults: Collection[str]) -> bool:
    """Whether a clause without a name only tells what somebody did: tried it in the car with the music up.

    It opens with who did it, or with a verb of listening or working, asks for nothing, and names no fault.
    """
    at = next((at for at, item in enumerate(items) if item.has("story")), None)
    if at is None or not all(item.idle for item in items[:at]):
        return False
    likened = any(item.has("like", "it") for item in items)
    asks = any(
        item.has("want", "lack", "enough", "neg") or (item.quality in faults and (likened or not item.has("image")))
        for item in items
    )
    wished = any(item.has("direction") and item.text != "over" for item in items)
    return not asks and not wished


WISHING = (
    "direction", "turn", "take", "guard", "enough", "lack", "want", "neg", "strong", "filter", "undo", "before", "pass", "move",
    "cover", "under", "elsewhere", "ask",
)  # fmt: skip


def is_talk(clause: Clause, faults: Collection[str]) -> bool:
    """Whether a clause names no stem, asks for nothing and finds no fault: that's where most people will hear it."""
    said = any(item.has("is", "like") for item in clause.items)
    told = _tells_what_was_done(clause.items)
    return not clause.names and not any(
        item.figure is not None
        or (item.has(*WISHING) and item.text not in ("over", "most") and not (told and item.has("take", "turn", "before")))
        or (item.quality in faults and (said or not item.has("image")))
        for item in clause.items
    )


def says_nothing_of_sound(clause: Clause) -> bool:
    """Whether a clause names no stem, no sound and no figure, and has a word nobody knows elsewhere than behind "more"."""
    items = clause.items
    unknown = [at for at, item in enumerate(items) if item.unknown]
    asked = any(at and items[at - 1].has("direction", "want", "lack", "take") for at in unknown)
    told = any(
        item.names or item.quality is not None or item.figure is not None or item.has("elsewhere", "undo", "before", "pass")
        for item in (*clause.heads, *items)
    )
    return bool(unknown) and not asked and not told


def _tells_what_was_done(items: Sequence[Item]) -> bool:
    """Whether a clause opens with somebody and what they did, which is no request: we put it in a playlist."""
    said = [item for item in items if item.text not in ("and", "so", "but", "when", "while", "as", "after", "if")][:3]
    wished = any(item.has("want", "strong", "neg", "lack") for item in items)
    return bool(said) and said[0].text in DOERS and not wished


def corrects_itself(sentence: str, before: str) -> bool:
    """Whether somebody takes back a figure while writing: down 3 at 3k? sorry I mean 300."""
    found = _CORRECTED.search(sentence)
    return found is not None and any(sign.isdigit() for sign in before + sentence[: found.start()])


def undone(sentence: str, before: str) -> str:
    """Return a sentence with "move it back" as what it means behind "you moved the kick": undo that."""
    return _MOVE_BACK.sub("undo it", sentence) if _MOVED.search(before) or _MOVED.search(sentence) else sentence


def carried_on(clause: Clause, last: Clause | None) -> Clause:
    """Return a clause of a name and a figure or amount with the verb of the one before: high-pass the guitars at 110 and uke 200."""
    said = [item for item in clause.items if not item.idle and not item.names]
    if (
        last is not None
        and clause.names
        and said
        and _only_how_much(said)
        and any(item.has("place") and item.text != "for" for item in clause.items)
    ):
        quality = next((item for item in last.items if item.quality is not None and not item.names), None)
        if quality is not None:  # "too much top on the hats, not enough on the vox"
            at = clause.items.index(said[-1]) + 1
            return replace(clause, items=[*clause.items[:at], quality, *clause.items[at:]])
    if (
        last is None
        or not said
        or not clause.names
        or not all(item.figure is not None or item.has("amount") for item in said)
    ):
        return clause
    if any(item.figure is not None and item.figure.signed for item in said):
        return clause
    return replace(clause, items=[*_verbs(last), *clause.items])


def _only_how_much(said: list[Item]) -> bool:
    return all(item.has("direction", "enough", "neg", "amount") and item.quality is None for item in said)


def _verbs(clause: Clause) -> list[Item]:
    return [
        item
        for item in clause.items
        if not item.names and (item.has("filter", "turn", "take", "direction") or item.quality is not None)
    ]


def text_of(sentence: str, clause: Clause) -> str:
    """Return a clause as it was written, the names at its head before a colon."""
    own = clause.items or clause.heads
    text = " ".join(sentence[own[0].start : own[-1].end].split())
    heads = " and ".join(sentence[item.start : item.end] for item in clause.heads if item.start < own[0].start)
    inside = any(own[0].start <= item.start < own[-1].end for item in clause.left_out)
    if clause.left_out and not inside:
        out = f" but not {' and '.join(sentence[item.start : item.end] for item in clause.left_out)}"
        heads, text = (heads + out, text) if heads else (heads, text + out)
    return f"{heads}: {text}" if heads and clause.items else text
