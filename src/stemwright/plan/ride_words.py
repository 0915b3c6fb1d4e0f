"""Ride words: what two rides of one stem do differently, stretch by stretch, told by time."""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

import numpy as np

from stemwright.plan.wording import decibels
from stemwright.recipes.times import clock

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.plan.items import PlannedMove

_Points = tuple[tuple[int, float, float], ...]
HEARD_DB = 0.005  # points are kept to a hundredth


def rides_apart(before: Iterable[PlannedMove], after: Iterable[PlannedMove], rate_hz: int) -> list[str]:
    """Return where a stem's ride holds another gain than it did: ``0:42.1-0:44 +1.5 -> +1 dB``, in order of time.

    Parameters
    ----------
    before, after : iterable of PlannedMove
        All moves of the stem; rides with their points.
    rate_hz : int
        Of the stem.
    """
    old, new = (_of(moves) for moves in (before, after))
    found: dict[tuple[int, int], tuple[float, float]] = {}
    for points in (new, old):
        for start, end in _held(points):
            middle = (start + end) / 2.0
            gains = _at(old, middle), _at(new, middle)
            told = any(low <= middle <= high for low, high in found)
            if abs(gains[1] - gains[0]) > HEARD_DB and not told:
                found[start, end] = gains
    return [
        f"{clock(round(start / rate_hz, 1))}-{clock(round(end / rate_hz, 1))} {_said(was)} -> {decibels(now)}"
        for (start, end), (was, now) in sorted(found.items())
    ]


def _of(moves: Iterable[PlannedMove]) -> _Points:
    return next((move.points for move in moves if move.kind == "ride" and move.points), ())


def _held(points: _Points) -> list[tuple[int, int]]:
    """Return where a ride stands still away from 0 dB, as frames from and to."""
    runs = [(gain_db, [frame for frame, _, _ in run]) for gain_db, run in groupby(points, key=itemgetter(1))]
    return [(frames[0], frames[-1]) for gain_db, frames in runs if gain_db != 0.0 and len(frames) > 1]


def _at(points: _Points, frame: float) -> float:
    if not points:
        return 0.0
    return float(np.interp(frame, [at for at, _, _ in points], [gain_db for _, gain_db, _ in points]))


def _said(gain_db: float) -> str:
    return decibels(gain_db).removesuffix(" dB") if abs(gain_db) > HEARD_DB else "0"
