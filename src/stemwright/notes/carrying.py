"""Carrying: what a clause takes over from the one before it: its verb, its word of sound; and its text as it was written."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.clauses import LISTING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.frames import Back
    from stemwright.notes.items import Item


_CORRECTED: Final = re.compile(
    r"\b(?:no,? make (?:that|it)|actually,? make (?:that|it)|scratch that|strike that|correction|i meant?|no,? wait|wait,? no|"
    r"or rather|sorry,)(?=.*\d)",
    re.IGNORECASE,
)
_MOVED: Final = re.compile(
    r"\b(?:you|u|ya|somebody|someone|who(?:ever)?) (?:have |has )?(?:moved|changed|touched|shifted|altered)\b", re.IGNORECASE
)
_MOVE_BACK: Final = re.compile(r"\b(?:move|shift|change) (?:it|them|that|him|her) back\b", re.IGNORECASE)


_RETRACTED: Final = re.compile(r"\bi (?:have to )?take (?:it|that) (?:all )?back\b", re.IGNORECASE)
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


def without_idle_retraction(backs: Sequence[Back], *, asked: bool) -> list[Back]:
    """Return ways back without "I take it all back", which beside anything else is a manner of speaking."""
    plain = [back for back in backs if not _RETRACTED.search(back.text)]
    return plain if plain or asked else list(backs)


def is_same_again(clause: Clause) -> bool:
    """Whether a clause asks for what was asked before, of others: same for the hats, the hats need the same."""
    same = any(item.text == "same" for item in clause.items)
    pointing = any(item.has("want") or (item.idle and item.text.split(" ")[0] in POINTING) for item in clause.items)
    return same and pointing and bool(clause.names)


def turns_itself(clause: Clause) -> bool:
    """Whether a clause that points at what was said says which way itself: the 808 can come up by the same amount."""
    return any(item.has("turn", "direction") and not item.names for item in clause.items)


def with_its_name(clause: Clause, following: Clause | None) -> Clause:
    """Return a clause with the name that stands at the end of its list: more breath and air in the sax."""
    if following is None or following.joined_by not in LISTING or clause.names or not following.names or following.heads:
        return clause
    asks = any(item.has("direction") for item in clause.items) and any(item.quality for item in clause.items)
    asks = asks or _has_figures(clause)
    lead = following.items[: next(at for at, item in enumerate(following.items) if item.target is not None)]
    sounds = [item for item in lead if item.quality is not None or item.is_frequency]
    placed = bool(lead) and any(item.text in ("in", "on", "to", "for", "from", "of") for item in lead)
    only = all(item.idle or item.quality or item.figure is not None or item.has("direction", "amount") for item in lead)
    pointing = any(item.has("it", "me", "every", "other") for item in clause.items)
    return replace(clause, heads=following.names) if asks and sounds and placed and only and not pointing else clause


def _has_figures(clause: Clause) -> bool:
    """Whether a clause says dB and where: boost 1 dB at 5k."""
    figures = [item for item in clause.items if item.figure is not None]
    return len({item.is_frequency for item in figures}) > 1


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
        and not any(item.names and item.quality is not None for item in clause.items)  # more bass on the kick
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
