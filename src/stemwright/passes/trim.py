"""Trim: one common gain that lowers every stem of a pass, where one of them would go over full scale and the sheet says so."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.plan.items import TRIM, PlanItem, PlannedMove
from stemwright.plan.resolve import sections_of, written_as
from stemwright.plan.written import plan_sha256
from stemwright.stems.info import output_spec

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stemwright.passes.entry import Entry
    from stemwright.passes.manifest import Manifest
    from stemwright.stems.info import AudioInfo

TRIM_MARGIN_DB = 0.1  # room for the dither and the last rounding


def peak_dbfs(entry: Entry) -> float:
    """Return the highest sample of a stem as written, 0 where nothing was measured."""
    after = entry.levels.after
    return 0.0 if after is None or after.sample_peak_dbfs is None else after.sample_peak_dbfs


def trimmed(item: PlanItem, info: AudioInfo | None, gain_db: float) -> PlanItem:
    """Lower a stem by the pass's common gain; a stem left as received is lowered too, or the balance would shift."""
    if info is None or item.input is None or item.deliver_as is None:
        return item
    settings = {"gain_db": math.floor(gain_db * 100.0) / 100.0}
    move = PlannedMove(
        kind="gain",
        name=TRIM,
        why="overs: trim lowers every stem of the pass by one common gain",
        settings=settings,
        sections=sections_of("gain", settings, info.rate_hz),
    )
    if item.moves:
        return replace(item, moves=(*item.moves, move))
    spec = output_spec(info, rate_hz=item.deliver_as.rate_hz)
    if item.deliver_as.writable:
        spec = replace(spec, container=item.deliver_as.container, subtype=item.deliver_as.subtype)
    return written_as(replace(item, moves=(move,)), spec)


def refusal(kept: Iterable[str], over: Sequence[str]) -> str:
    """Say why stems that are signed off forbid a trim."""
    listed = ", ".join(sorted(kept))
    return (
        f"overs: trim in session.yaml would lower every stem for {', '.join(over)}, and these are signed off: {listed}; "
        "write overs: float, lower the stem that goes over, or release those with: stemwright keep SONG STEM --release"
    )


def same_plan(items: list[PlanItem], last: Manifest) -> bool:
    """Whether a plan would give the files the last pass has; a trim for overs in it is the pass's own doing."""
    old = [_without_trim(item) for item in last.items()]
    planned = {item.stem: item for item in items}
    for item in old:
        now = planned.get(item.stem)
        if now is not None and "kept" in (now.status, item.status) and now.sound == item.sound:
            planned[item.stem] = item  # that a stem was signed off, or released, changes no file
        # A stem that failed while it was rendered fails again as long as it is the same file.
        if item.status == "failed" and now is not None and item.input is not None and now.input == item.input:
            planned[item.stem] = item
    return plan_sha256(planned.values()) == plan_sha256(old)


def _without_trim(item: PlanItem) -> PlanItem:
    moves = tuple(move for move in item.moves if move.name != TRIM)
    if len(moves) == len(item.moves):
        return item
    without = replace(item, moves=moves)
    return replace(without, seed=None) if without.copied else without
