"""There: an ask done for a place of the song: the moves it makes are made there only, and those of other places stay as they are."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.notes.applying import NotePlanError, with_notes
from stemwright.plan.only import only_at
from stemwright.plan.sections import NoSuchSectionError, places
from stemwright.recipes.moves import Names

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from stemwright.notes.frames import When
    from stemwright.plan.items import PlanItem, PlannedMove
    from stemwright.plan.only import Only
    from stemwright.recipes.timeline import Timeline


def only_of(when: When | None, item: PlanItem, timeline: Timeline) -> Only | None:
    """Return where in a stem an ask is meant, None for everywhere.

    Raises
    ------
    NotePlanError
        If the stem ends before that place.
    """
    if when is None:
        return None
    only = only_at(when.said, places(timeline, when.said), item.received.rate_hz, item.received.frames)
    if only is None:
        raise NotePlanError(f"{item.stem}: ends before {', '.join(when.said)}")
    return only


def done_there(item: PlanItem, only: Only | None, do: Callable[[PlanItem], PlanItem]) -> PlanItem:
    """Return an item with something done to it in one place.

    Parameters
    ----------
    item : PlanItem
    only : Only or None
        Where; None is everywhere.
    do : callable
        Adds, turns or takes away notes' moves of an item, seeing those of this place only.

    Raises
    ------
    NotePlanError
        If it would turn a recipe's notches, which are made everywhere.
    """
    apart = [move for move in item.moves if _is_note(move) and _said(move.only) != _said(only)]
    done = do(replace(item, moves=tuple(move for move in item.moves if move not in apart)))
    before = {move.name: move for move in item.moves if move not in apart}
    if only is not None and any(not _is_note(move) and before.get(move.name) != move for move in done.moves):
        raise NotePlanError(
            f"{item.stem}: this turns the notches of its rings, which are made everywhere; write a frequency for one place, "
            f"as in: cut 2 dB at 3 kHz from {', '.join(only.said)}"
        )
    names = Names({move.name for move in apart})
    now = {
        move.name: replace(move, only=only, name=names.free(move.name)) if _is_note(move) else move for move in done.moves
    }
    kept = [move if move in apart else now.pop(move.name, None) for move in item.moves]
    return replace(done, moves=with_notes([move for move in kept if move is not None], now.values()))


def added(item: PlanItem, move: PlannedMove) -> PlanItem:
    """Return an item with a move of a note behind its others."""
    return replace(item, moves=with_notes(item.moves, [move]))


def placed_again(items: Iterable[PlanItem], timeline: Timeline) -> list[PlanItem]:
    """Return items whose notes are made where the sheet has their sections now, at the stems' rates."""
    return [replace(item, moves=tuple(_again(move, item, timeline) for move in item.moves)) for item in items]


def _again(move: PlannedMove, item: PlanItem, timeline: Timeline) -> PlannedMove:
    if move.only is None or not _is_note(move) or item.input is None:
        return move
    try:
        spans = places(timeline, move.only.said)
    except NoSuchSectionError:  # taken out of the sheet: it stays where it was
        return move
    only = only_at(move.only.said, spans, item.input.rate_hz, item.input.frames)
    return move if only is None else replace(move, only=only)


def _is_note(move: PlannedMove) -> bool:
    return move.note is not None and move.found is None


def _said(only: Only | None) -> tuple[str, ...] | None:
    return None if only is None else only.said
