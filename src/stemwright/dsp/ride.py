"""Ride: a gain that moves between points and stands still on them; the same bits for any block size.

Conventions
-----------
Between two points the factor runs along ``3 t^2 - 2 t^3``, whose slope is 0 at both; before the first and after the last it stands
still. Only + - * / are used, so that another machine gives the same bits. Frames count from the start of the sound.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence


def factors(points: Sequence[tuple[int, float]], start: int, frames: int) -> np.ndarray:
    """Return the gain as a factor, shape (frames,), from frame `start` on.

    Parameters
    ----------
    points : sequence of (int, float)
        Frames and factors, at least one, frames rising.
    start, frames : int
        The stretch asked for.
    """
    out = np.full(frames, points[-1][1])
    out[: max(points[0][0] - start, 0)] = points[0][1]
    for (first, low), (end, high) in pairwise(points):
        begin, stop = max(first, start), min(end, start + frames)
        if begin >= stop:
            continue
        if low == high:
            out[begin - start : stop - start] = low
            continue
        t = np.arange(begin - first, stop - first, dtype=np.float64) / (end - first)
        out[begin - start : stop - start] = low + (high - low) * (t * t * (3.0 - 2.0 * t))
    return out


class Ridden:
    """A stage that rides.

    Parameters
    ----------
    points : sequence of (int, float)
        As `factors` takes them; none changes nothing.
    """

    def __init__(self, points: Sequence[tuple[int, float]]) -> None:
        self._points = points
        self._position = 0

    def process(self, block: np.ndarray) -> np.ndarray:
        """Return the next block, shape (frames, channels)."""
        start, self._position = self._position, self._position + len(block)
        if not self._points:
            return block
        return np.asarray(block * factors(self._points, start, len(block))[:, np.newaxis])
