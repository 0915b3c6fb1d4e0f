"""Ride notes: "ride the vocal" puts a ride behind a stem's moves; its points are found when the stems are listened to."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.notes.applying import NotePlanError, why_of
from stemwright.notes.there import added
from stemwright.plan.items import NoteMark, PlannedMove, Said
from stemwright.plan.wording import decibels, held_gains
from stemwright.recipes.by_hand import BY_HAND
from stemwright.recipes.kinds import KINDS
from stemwright.recipes.moves import Names

if TYPE_CHECKING:
    from stemwright.notes.frames import Ask
    from stemwright.plan.items import PlanItem


def rides(ask: Ask) -> bool:
    """Whether an ask is for a ride."""
    return ask.exact is not None and ask.exact.kind == "ride"


def with_ride(item: PlanItem, ask: Ask, number: int, by: str | None) -> PlanItem:
    """Return an item with a ride of the usual settings.

    Raises
    ------
    NotePlanError
        If it has one.
    """
    if any(move.kind == "ride" and move.name != BY_HAND for move in item.moves):
        raise NotePlanError(f"{item.stem}: is ridden already; how far stands in its recipe, as in: ride: {{keep: 25 %}}")
    item = replace(item, moves=tuple(move for move in item.moves if move.kind != "ride"))
    mark = NoteMark(
        word="ride",
        meaning="as asked",
        amount=1.0,
        base_db=0.0,
        said=(Said(note=number, text=ask.text, by=by, amount=1.0, exact=True),),
    )
    settings = {field.setting: field.default for field in KINDS["ride"].fields if field.default is not None}
    name = Names({move.name for move in item.moves}).free(f"note {number}: ride")
    return added(item, PlannedMove(kind="ride", name=name, why=why_of(mark), settings=settings, note=mark))


def ridden_in_short(item: PlanItem, was: PlanItem) -> str:
    """Say what a plan's new ride does: how many stretches it moves, and from what gain to what; nothing where there is none."""
    new = [move for move in item.moves if move.kind == "ride" and move not in was.moves]
    held = [gain_db for move in new for gain_db in held_gains(move)]
    if held:
        many = "1 stretch" if len(held) == 1 else f"{len(held)} stretches"
        return f"{many} between pauses moved, {decibels(min(held))} to {decibels(max(held))}"
    return "its phrases lie evenly enough: the ride moves nothing" if new else ""
