"""Foretold: what a plan will do to level and peak, measured by running the stems through it without writing anything."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.passes.render import RenderJob, foretell
from stemwright.plan.items import HOLD, PlannedMove
from stemwright.plan.resolve import sections_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from concurrent.futures import Executor

    from stemwright.dsp.loudness import Levels
    from stemwright.passes.song import SongFolder
    from stemwright.plan.assignment import Assignment
    from stemwright.plan.items import PlanItem

LEAST_DB = 0.005


def foretold(song: SongFolder, items: Iterable[PlanItem], executor: Executor) -> dict[str, tuple[Levels, Levels]]:
    """Measure every stem that has moves, before and after them.

    Parameters
    ----------
    song : SongFolder
    items : iterable of PlanItem
        The plan.
    executor : Executor
        Runs the stems side by side.

    Returns
    -------
    dict of str to tuple of Levels
        By stem; at the rate received.
    """
    jobs = {
        item.stem: executor.submit(
            foretell, RenderJob(item=item, source=song.source(item.stem), folder=song.folder, stamp=None, float_path="")
        )
        for item in items
        if item.moves
    }
    return {stem: levels for stem, job in jobs.items() if (levels := job.result()) is not None}


def held(
    song: SongFolder, items: list[PlanItem], assignments: Mapping[str, Assignment], executor: Executor
) -> list[PlanItem]:
    """Return a plan with a last gain for each stem that brings its loudness back to what was received.

    By integrated loudness, for sounds too short for it by mean level. The two sides of a pair get one gain.
    """
    levels = foretold(song, items, executor)
    return [_held(item, levels, assignments[item.stem].partner) for item in items]


def _held(item: PlanItem, levels: Mapping[str, tuple[Levels, Levels]], partner: str | None) -> PlanItem:
    sides = [levels[stem] for stem in (item.stem, partner) if stem is not None and stem in levels]
    gain_db = _gain_db(sides) if item.stem in levels else None
    if gain_db is None or abs(gain_db) < LEAST_DB or item.input is None:
        return item
    settings = {"gain_db": round(gain_db, 2)}
    why = "loudness: hold keeps every stem as loud as it was received"
    sections = sections_of("gain", settings, item.input.rate_hz)
    move = PlannedMove(kind="gain", name=HOLD, why=why, settings=settings, sections=sections)
    return replace(item, moves=(*item.moves, move))


def _gain_db(sides: list[tuple[Levels, Levels]]) -> float | None:
    for measure in ("lufs", "rms_dbfs"):
        pairs = [(getattr(was, measure), getattr(now, measure)) for was, now in sides]
        if pairs and all(was is not None and now is not None for was, now in pairs):
            was_power, now_power = (sum(10.0 ** (pair[at] / 10.0) for pair in pairs) for at in (0, 1))
            return 10.0 * math.log10(was_power / now_power)
    return None
