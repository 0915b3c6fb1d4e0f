"""Doubts: names in a clause that may be meant in two ways, each refused with the ways out."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.notes.frames import PieceError
from stemwright.notes.held_names import SIDES
from stemwright.notes.items import stems_of
from stemwright.stems.names import pairs, split_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets

ABOUT = ("about", "that", "where", "when", "is", "s")  # everything about the kick


def no_doubt_of_all(present: Sequence[Item], clause: Clause) -> None:
    """Refuse a name behind "everything" where nothing says what the one has to do with the other."""
    at = next((at for at, item in enumerate(clause.items) if item.has("every") and not item.names), None)
    if at is None or clause.left_out or _only_praised(clause):
        return
    for item in present:
        if item not in clause.items or clause.items.index(item) < at:
            continue
        between = clause.items[at + 1 : clause.items.index(item)]
        if clause.items[at].text.split(" ")[0] == "all" and all(each.idle for each in between):
            continue  # "all the drums": which
        if not any(each.has("place", "and") or each.text.split(" ")[-1] in ABOUT for each in between):
            raise PieceError(f"everything, or {item.text}? write one, or: everything but {item.text}")


def _only_praised(clause: Clause) -> bool:
    """Whether a clause asks for nothing: all fine until the stacks come in."""
    asks = any(item.quality or item.figure or item.has("turn", "direction", "undo", "take") for item in clause.items)
    return not asks and any(item.has("praise") for item in clause.items)


def owned(present: Sequence[Item], items: Sequence[Item], targets: Targets) -> list[Item]:
    """Return names with "my guitar" as the one with the speaker's name in its own.

    Raises
    ------
    PieceError
        If there are several that are no pair, and none has it.
    """
    meant = list(present)
    for number, item in enumerate(present):
        at = next((at for at, each in enumerate(items) if each is item), 0)
        stems, target = stems_of([item]), item.target
        many = item.text.endswith("s") or len(stems) < 2 or len(pairs(stems)) == len(stems)
        if many or not at or items[at - 1].text != "my" or target is None or target.kind not in ("role", "stem"):
            continue
        own = targets.mine(stems)
        if not own:
            raise PieceError(f"whose {item.text}? name one of: {', '.join(stems)}")
        meant[number] = replace(item, target=replace(target, stems=own))
    return meant


def one_sided(present: Sequence[Item], clause: Clause) -> None:
    """Refuse one side of a stem that is two files, unless the other one is named too.

    Raises
    ------
    PieceError
    """
    said = [_sides_in(item) for item in (*clause.heads, *clause.items)]
    for item in present:
        sides = _sides_in(item)
        stems = stems_of([item])
        both = len(pairs(stems)) == len(stems) == 2
        if both and len(sides) == 1 and not any(each - sides for each in said):
            first, second = stems
            raise PieceError(
                f"{item.text}: {first} and {second} are the two sides of one stem, and get the same moves; name both"
            )


def _sides_in(item: Item) -> set[str]:
    """Return the sides that an item's words say, as letters."""
    return {word[0] for word in split_words(item.text) if word in SIDES}


def together(present: Sequence[Item], items: Sequence[Item]) -> None:
    """Refuse two names with a word of sound between them that are no list.

    Raises
    ------
    PieceError
    """
    own = [item for item in present if item in items]
    for first, second in itertools.pairwise(own):
        between = items[items.index(first) + 1 : items.index(second)]
        said = next(
            (item for item in between if item.quality is not None or item.unknown or item.figure or item.has("turn")), None
        )
        if said is not None:
            raise PieceError(
                f"{first.text} or {second.text}? two names with {said.text} between them; write one, a colon, and what"
            )
