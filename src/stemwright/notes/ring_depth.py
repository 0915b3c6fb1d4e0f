"""Notes on rings: the notches a stem has already go deeper or ease; none is looked for.

Conventions
-----------
A notch's mark counts in shares of its ring's excess: -0.25 takes a quarter of the excess more out than the recipe did. No
notch takes more than the whole ring or than it may without harm, none becomes a boost, and no third-octave band may lose more than
`stemwright.dsp.rings.notches` allows all notches together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.notes.applying import NotePlanError, why_of, with_said
from stemwright.plan.items import NoteMark, PlanItem, PlannedMove
from stemwright.plan.resolve import sections_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.applying import Asked
    from stemwright.plan.items import Said

HALVINGS = 12


@dataclass(frozen=True, kw_only=True)
class RingChange:
    """A plan item with its notches turned, and what was held back and why."""

    item: PlanItem
    held_back: str = ""


def notches_of(item: PlanItem) -> list[PlannedMove]:
    """Return the notches that rings made."""
    return [move for move in item.moves if move.kind == "notch" and move.found is not None]


def turn_rings(item: PlanItem, asked: Asked) -> RingChange:
    """Take a stem's ring notches deeper, or ease them.

    Parameters
    ----------
    item : PlanItem
        With at least one ring notch.
    asked : Asked
        Its meaning has ``rings_percent``.

    Raises
    ------
    NotePlanError
        If there is no ring notch, dB were asked for, or nothing more can be done.
    """
    notches = notches_of(item)
    if not notches:
        raise NotePlanError(
            f"{item.stem}: has no notch that a ring made; look with: stemwright rings, and put a rings move in its recipe"
        )
    if asked.ask.gain_db is not None:
        raise NotePlanError(
            f"{asked.ask.word}: rings go by their own height, not by dB; write more or less {asked.ask.word}"
        )
    old = share_of(item)
    step = asked.amount(1.0) * (asked.understood.meaning.rings_percent or 0.0) / 100.0
    share, held_back = _as_far_as_allowed(notches, old, old + step)
    if abs(share - old) < 1e-3:
        raise NotePlanError(
            f"{item.stem}: its notches are {'eased' if step > 0 else 'as deep'} as far as they may be{held_back}"
        )
    said = asked.said(1.0)
    source = asked.understood.source
    moves = tuple(_at_share(move, share, (said,), source, item) if move in notches else move for move in item.moves)
    return RingChange(item=replace(item, moves=moves), held_back=held_back and f"{item.stem}: {held_back.lstrip('; ')}")


def share_of(item: PlanItem) -> float:
    """Return the share of their excess that notes have given back to (or, below 0, taken from) a stem's rings."""
    return next((move.note.amount for move in notches_of(item) if move.note is not None), 0.0)


def carried(item: PlanItem, before: PlanItem) -> PlanItem:
    """Return a newly planned item with the notes on its rings as an earlier one had them."""
    marks = [move.note for move in notches_of(before) if move.note is not None]
    notches = notches_of(item)
    if not marks or not notches:
        return item
    share, _ = _as_far_as_allowed(notches, 0.0, marks[0].amount)
    moves = tuple(
        _at_share(move, share, marks[0].said, marks[0].meaning, item) if move in notches else move for move in item.moves
    )
    return replace(item, moves=moves)


def _gain_db(move: PlannedMove, share: float) -> float:
    excess = (move.found or {}).get("excess_db")
    excess_db = float(excess) if isinstance(excess, (int, float)) else 2.0 * -_recipe_db(move)
    most_cut = (move.found or {}).get("most_cut_db")  # a ring of an earlier version has none
    deepest_db = min(excess_db, float(most_cut)) if isinstance(most_cut, (int, float)) else excess_db
    return round(min(0.0, max(_recipe_db(move) + share * excess_db, -max(deepest_db, -_recipe_db(move)))), 2)


def _recipe_db(move: PlannedMove) -> float:
    return move.note.base_db if move.note is not None else move.settings["gain_db"]


def _at_share(move: PlannedMove, share: float, said: tuple[Said, ...], source: str, item: PlanItem) -> PlannedMove:
    all_said = said if move.note is None else with_said(move.note.said, said[-1])
    mark = NoteMark(word="ringing", meaning=source, amount=round(share, 4), base_db=_recipe_db(move), said=all_said)
    settings = {**move.settings, "gain_db": _gain_db(move, share)}
    recipe_why = move.why if move.note is None else move.why.removesuffix(f" ({why_of(move.note)})")
    return replace(
        move,
        settings=settings,
        why=f"{recipe_why} ({why_of(mark)})",
        sections=sections_of("notch", settings, item.received.rate_hz),
        note=mark,
    )


def _as_far_as_allowed(notches: Sequence[PlannedMove], old: float, new: float) -> tuple[float, str]:
    """Return the share nearest to the new one that hollows no band out, and what to say if it is not the new one."""
    if not any(abs(_gain_db(move, new) - _gain_db(move, old)) >= 0.01 for move in notches):
        return old, ""
    # Imported here, as below: a pass without notes on rings need not wait for the rings' room.
    from stemwright.dsp.rings.notches import MOST_BAND_LOSS_DB  # noqa: PLC0415

    if new > old or _worst_db(notches, new) <= MOST_BAND_LOSS_DB:
        return new, ""
    good, bad = old, new
    for _ in range(HALVINGS):
        middle = (good + bad) / 2.0
        good, bad = (middle, bad) if _worst_db(notches, middle) <= MOST_BAND_LOSS_DB else (good, middle)
    return good, f"; deeper notches would take more than {MOST_BAND_LOSS_DB:g} dB from a third-octave band and hollow it out"


def _worst_db(notches: Sequence[PlannedMove], share: float) -> float:
    from stemwright.dsp.rings import band_losses  # noqa: PLC0415

    settings = [{**move.settings, "gain_db": _gain_db(move, share)} for move in notches]
    return max(band.loss_db for band in band_losses(settings))
