"""Bounds: whether a manifest that fits the schema could be the plan of a real pass.

A manifest is somebody else's text even where its hash fits, since anybody can hash it again. It is held against this when it
is read and before its pass settles, so that no pass is made which could not be read again.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stemwright.plan.items import TIMES_DEFINED, TRIM
from stemwright.plan.only import MOST_VARIANTS, variants
from stemwright.recipes.by_hand import MOST_DB
from stemwright.recipes.fields import Field
from stemwright.recipes.kinds import KINDS
from stemwright.stems.info import FLAC_CHANNELS, FLAC_RATE_HZ
from stemwright.stems.limits import HIGHEST_CHAIN_DB, HIGHEST_PEAK_DBFS, MOST_FRAMES, MOST_MOVES
from stemwright.stems.resample import length_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.plan.items import PlanItem, PlannedMove

_GRID = np.linspace(0.0, np.pi, 512)
_LEFT_OUT = {"linear_phase", TIMES_DEFINED}  # which a plan leaves out where it is off, as plans did before there was one
_DEFINED = Field(
    key="times", setting=TIMES_DEFINED, quantity="count", lowest=1.0, highest=1.0, about="The times have a definition."
)
_SLACK = 1e-9  # a number within its range may leave it in the last digit on its way through JSON


def beyond(items: Sequence[PlanItem]) -> str | None:
    """Say what in a plan no pass could have, or None.

    Parameters
    ----------
    items : sequence of PlanItem
        All of a pass: no stem may be longer than the longest one received.
    """
    names = [item.stem for item in items]
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        return f"{twice}: two entries for one stem"
    received = [(item.input.frames, item.input.rate_hz) for item in items if item.input is not None]
    for item in items:
        problem = _moves(item.moves) or _form(item, received)
        if problem is not None:
            return f"{item.stem}: {problem}"
    return None


def _moves(moves: Sequence[PlannedMove]) -> str | None:
    if len(moves) > MOST_MOVES:
        return f"{len(moves)} moves; allowed: {MOST_MOVES}"
    for move in moves:
        fields = {field.setting: field for field in KINDS[move.kind].fields}
        if move.kind == "compress":
            fields[TIMES_DEFINED] = _DEFINED
        if not fields.keys() - _LEFT_OUT <= move.settings.keys() <= fields.keys():
            return f"{move.name}: a {move.kind} has {', '.join(fields) or 'no settings'}"
        for setting, value in move.settings.items():
            field = fields[setting]
            lowest = -HIGHEST_PEAK_DBFS - 1.0 if move.name == TRIM else field.lowest
            within = value in field.one_of if field.one_of else lowest - _SLACK <= value <= field.highest + _SLACK
            if not within:
                return f"{move.name}: {setting} {value:g}; allowed: {field.allowed}"
        where = _places(move) or _points(move)
        if where is not None:
            return f"{move.name}: {where}"
    return _together(moves)


def _together(moves: Sequence[PlannedMove]) -> str | None:
    """Say what is wrong with moves as a whole."""
    if len(variants(list({move.only.sound: None for move in moves if move.only is not None}))) > MOST_VARIANTS:
        return f"its moves are made in so many different places that more than {MOST_VARIANTS} runs of them would be needed"
    lift_db = lift(moves)
    if lift_db is None:
        return "a filter of it never comes to rest"
    return f"its moves lift by {lift_db:.0f} dB; allowed: {HIGHEST_CHAIN_DB:g} dB" if lift_db > HIGHEST_CHAIN_DB else None


def _places(move: PlannedMove) -> str | None:
    """Say what is wrong with where a move is made."""
    spans = [] if move.only is None else list(move.only.spans)
    ends = [frame for span in spans for frame in span]
    if any(start >= end for start, end in spans) or ends != sorted(ends):
        return "its places are not in order"
    return None


def _points(move: PlannedMove) -> str | None:
    """Say what is wrong with the points of a ride."""
    frames = [frame for frame, _, _ in move.points]
    if move.kind != "ride":
        return f"a {move.kind} has no points" if move.points else None
    if frames != sorted(set(frames)) or (frames and frames[0] < 0):
        return "its points are not in order"
    most_db = max(move.settings["at_most_db"], MOST_DB) + _SLACK  # more than a ride finds may be wanted by hand
    if any(
        abs(gain_db) > most_db or not math.isclose(factor, 10.0 ** (gain_db / 20.0)) for _, gain_db, factor in move.points
    ):
        return f"a point of it is over {most_db:g} dB, or its factor is not its gain"
    return None


def lift(moves: Sequence[PlannedMove]) -> float | None:
    """Return the most that moves lift any frequency together, in dB, makeup included; None if a filter is not stable.

    Looked at on a grid and at every pole's own frequency, where narrow filters are highest.
    """
    makeup_db = sum(max(move.settings.get("makeup_db", 0.0), 0.0) for move in moves)
    makeup_db += sum(max((gain_db for _, gain_db, _ in move.points), default=0.0) for move in moves)
    rows = np.array([row for move in moves for row in move.sections], dtype=np.float64).reshape(-1, 6)
    if not len(rows):
        return makeup_db
    if not np.isfinite(rows).all() or (rows[:, 3] != 1.0).any():
        return None
    a1, a2 = rows[:, 4], rows[:, 5]
    # The stability triangle of a second-order section (Oppenheim and Schafer, Discrete-Time Signal Processing).
    if (np.abs(a2) >= 1.0).any() or (np.abs(a1) >= 1.0 + a2).any():
        return None
    poles = np.arccos(np.clip(-a1 / (2.0 * np.sqrt(np.maximum(a2, 1e-12))), -1.0, 1.0))
    delay = np.exp(-1j * np.concatenate([_GRID, poles]))[:, None]
    up, down = (row[:, 0] + delay * (row[:, 1] + delay * row[:, 2]) for row in (rows[:, :3], rows[:, 3:]))
    gains_db = 20.0 * np.log10(np.maximum(np.abs(up / down), 1e-30)).sum(axis=1)
    return float(gains_db.max()) + makeup_db


def _form(item: PlanItem, received: Sequence[tuple[int, int]]) -> str | None:
    deliver, source = item.deliver_as, item.input
    if deliver is None or source is None:
        return None
    longest = max(length_at(frames, rate_hz, deliver.rate_hz) for frames, rate_hz in received)
    if not deliver.frames <= min(longest, MOST_FRAMES):
        return f"{deliver.frames} frames to be written, and the longest stem has {longest}"
    if item.copied:
        return None
    if not deliver.writable:
        return f"{deliver.container} {deliver.subtype} cannot be written"
    if deliver.container == "FLAC" and (source.channels > FLAC_CHANNELS or deliver.rate_hz > FLAC_RATE_HZ):
        return f"FLAC holds {FLAC_CHANNELS} channels and {FLAC_RATE_HZ} Hz at most"
    return None
