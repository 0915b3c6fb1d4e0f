"""Lines in every frame (single partials; in noise, chance peaks), and how far each stands over the lines beside it.

A ring lifts whatever line moves into it, in whichever note; a partial that is strong by itself moves away with its note.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from stemwright.dsp.rings.grid import least_near
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]

_LOWEST_HZ: Final = 100.0
_RISES_DB: Final = 8.0
_FOOT_BINS: Final = 13
_EACH_SIDE: Final = 4
_SPREAD: Final = np.convolve(np.ones(5), np.ones(5)) / 25
_RARE: Final = 0.02


def line_curves(level: Singles, freq_hz: Floats, bin_hz: float) -> tuple[Floats, Floats]:
    """Return what lines show at every point.

    Parameters
    ----------
    level : np.ndarray, shape (frames, bins)
        Level of the active frames, dB.
    freq_hz : np.ndarray, shape (points,)
        Points, Hz, evenly spaced over the octaves.
    bin_hz : float
        Distance of two bins, Hz.

    Returns
    -------
    np.ndarray, shape (points,)
        Mean height of the lines there over the median of themselves and the four lines to each side in the same frame, dB.
    np.ndarray, shape (points,)
        The logarithm of one and twenty times the lines a frame.
    """
    frames, bins = _lines(level, bin_hz)
    count = len(freq_hz)
    if len(frames) <= 2 * _EACH_SIDE + 3:
        return np.zeros(count), np.zeros(count)
    heights = level[frames, bins]
    beside = np.lib.stride_tricks.sliding_window_view(np.pad(heights, _EACH_SIDE, mode="reflect"), 2 * _EACH_SIDE + 1)
    excess = heights - np.partition(beside, _EACH_SIDE, axis=1)[:, _EACH_SIDE]
    at = np.rint(np.log2(bins * bin_hz / freq_hz[0]) * POINTS_PER_OCTAVE).astype(np.int64)
    at = np.clip(at, 0, count - 1)
    total = np.convolve(np.bincount(at, excess, count), _SPREAD, "same")
    lines = np.convolve(np.bincount(at, minlength=count), _SPREAD, "same")
    return total / (lines + _RARE * len(level)), np.log1p(lines * (20 / len(level)))


def _lines(level: Singles, bin_hz: float) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return frame and bin of every line: a bin over its two neighbours to each side that rises high over its foot."""
    inner = level[:, 2:-2]
    tops = (inner > level[:, 1:-3]) & (inner >= level[:, 3:-1]) & (inner > level[:, :-4]) & (inner >= level[:, 4:])
    tops &= inner - least_near(level, _FOOT_BINS)[:, 2:-2] > _RISES_DB
    tops[:, : max(0, int(_LOWEST_HZ / bin_hz) - 2)] = False
    frames, bins = np.nonzero(tops)
    return frames, bins + 2
