"""Standing: notes belong to the song, so a plan made anew from recipes gets those of the last pass on top."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.notes import ring_depth as ring_notes
from stemwright.notes.applying import at_amount, with_notes
from stemwright.plan.resolve import written_as
from stemwright.stems.info import output_spec

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stemwright.plan.items import PlanItem, PlannedMove
    from stemwright.stems.survey import StemFacts

TAKEN_BACK = "the notes on it were taken back; left as received"


def note_moves(item: PlanItem) -> list[PlannedMove]:
    """Return the moves of a stem that notes made; ring notches they turned are the recipe's."""
    return [move for move in item.moves if move.note is not None and move.found is None]


def has_notes(item: PlanItem) -> bool:
    """Whether a note has made or turned any of a stem's moves."""
    return any(move.note is not None for move in item.moves)


def carry(items: Iterable[PlanItem], before: Iterable[PlanItem], facts: Mapping[str, StemFacts]) -> list[PlanItem]:
    """Put the notes of the last pass on top of a new plan.

    Parameters
    ----------
    items : iterable of PlanItem
        As resolved from recipes.
    before : iterable of PlanItem
        The last pass's plan.
    facts : mapping of str to StemFacts
        The stems as they are now.

    Returns
    -------
    list of PlanItem
        A stem left on purpose, skipped or failed gets none; `set_aside` says so.
    """
    noted = {item.stem: item for item in before if has_notes(item)}
    return [
        _with_notes(item, noted[item.stem], facts) if item.stem in noted and _takes_notes(item) else item for item in items
    ]


def _with_notes(item: PlanItem, old: PlanItem, facts: Mapping[str, StemFacts]) -> PlanItem:
    rate_hz = item.received.rate_hz
    same_rate = old.input is not None and old.input.rate_hz == rate_hz
    notes = [
        move if same_rate else at_amount(_at_rate(move, old, rate_hz), move.note.amount, rate_hz)
        for move in note_moves(old)
        if move.note is not None
    ]
    result = ring_notes.carried(item, old)
    result = replace(result, moves=with_notes(result.moves, [move for move in notes if move is not None]))
    return settled(result, facts)


def _at_rate(move: PlannedMove, old: PlanItem, rate_hz: int) -> PlannedMove:
    if move.only is None or old.input is None:
        return move
    return replace(move, only=move.only.at_rate(old.input.rate_hz, rate_hz))


def _takes_notes(item: PlanItem) -> bool:
    return item.input is not None and item.status in ("prepped", "left") and not on_purpose(item)


def on_purpose(item: PlanItem) -> bool:
    """Whether a stem is left as received because a person said so."""
    return item.status == "left" and item.matched_by == "session sheet" and item.role is None


def settled(item: PlanItem, facts: Mapping[str, StemFacts]) -> PlanItem:
    """Return an item whose status and file fit its moves: left as received without any, prepped with some."""
    info = facts[item.stem].info if item.moves and item.status == "left" else None
    if info is not None:
        spec = output_spec(info, rate_hz=item.file.rate_hz)
        if item.file.writable:
            spec = replace(spec, container=item.file.container, subtype=item.file.subtype)
        return written_as(replace(item, status="prepped"), spec)
    if not item.moves and item.status == "prepped":
        plain = replace(item, status="left", why=TAKEN_BACK)
        return replace(plain, seed=None) if plain.copied else plain
    return item


def set_aside(items: Iterable[PlanItem], before: Iterable[PlanItem]) -> list[str]:
    """Return the stems whose notes a new plan no longer has."""
    now = {item.stem: item for item in items}
    return [item.stem for item in before if has_notes(item) and not (item.stem in now and has_notes(now[item.stem]))]
