"""From the kept spectra to a few curves over frequency that a ring shows in and notes do not, or the other way round.

Conventions
-----------
Level in dB on the logarithmic scale of ``shapes``. *Local* means against the mean level of two thirds of an octave in the same
frame, so that a curve does not depend on how loud a frame is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE

if TYPE_CHECKING:
    from stemwright.dsp.rings.spectra import Spectra

Floats = NDArray[np.float64]

LOWEST_POINT_HZ: Final = 50.0
_ACTIVE_BELOW_LOUDEST_DB: Final = 50.0
_SILENCE: Final = 1e-8
_ROUNDING: Final = 1e-15


@dataclass(frozen=True)
class Curves:
    """The sound's spectrum over frequency, seen in several ways.

    Parameters
    ----------
    freq_hz : np.ndarray, shape (points,)
        The points, Hz.
    level : dict of str to np.ndarray, shape (points,)
        Curves in dB by name: ``power`` (mean power), ``typical`` (mean level), ``floor`` and ``quarter`` (local level that is
        exceeded 90 and 75 % of the time), ``lines`` (5 %), ``smooth_floor`` (floor of the level smoothed to a fortieth of an
        octave), ``between`` (floor without anything narrower than seven bins), ``lowest`` (exceeded 97 %).
    local : np.ndarray, shape (frames, points)
        Local smoothed level of each active frame, dB.
    """

    freq_hz: Floats
    level: dict[str, Floats]
    local: Floats


def _points_hz(top_hz: float) -> Floats:
    count = max(0, int(np.log2(top_hz / LOWEST_POINT_HZ) * POINTS_PER_OCTAVE))
    return LOWEST_POINT_HZ * np.exp2(np.arange(count) / POINTS_PER_OCTAVE)


def _onto_points(rows: Floats, freq_hz: Floats, bin_hz: float) -> Floats:
    """Mean over each point's own cell (or over one bin where cells are narrower), by differences of a running sum."""
    total = np.zeros((*rows.shape[:-1], rows.shape[-1] + 1))
    np.cumsum(rows, axis=-1, out=total[..., 1:])
    step = 2 ** (0.5 / POINTS_PER_OCTAVE)
    low = np.minimum(freq_hz / step, freq_hz - bin_hz / 2) / bin_hz + 0.5
    high = np.maximum(freq_hz * step, freq_hz + bin_hz / 2) / bin_hz + 0.5

    def at(edge: Floats) -> Floats:
        whole = edge.astype(int)
        part = edge - whole
        out: Floats = total[..., whole] * (1 - part) + total[..., whole + 1] * part
        return out

    out: Floats = (at(high) - at(low)) / (high - low)
    return out


def _smooth(rows: Floats, octaves: float) -> Floats:
    out: Floats = ndimage.uniform_filter1d(rows, int(octaves * POINTS_PER_OCTAVE) | 1, axis=-1, mode="nearest")
    return out


def curves_of(spectra: Spectra) -> Curves | None:
    """Return the curves, or None when the sound is silent or has no band to look in."""
    power = spectra.power
    top_hz = (power.shape[1] - 3) * spectra.bin_hz
    freq_hz = _points_hz(top_hz)
    if not len(power) or len(freq_hz) < 4 * POINTS_PER_OCTAVE:
        return None
    first = int(LOWEST_POINT_HZ * 2 / spectra.bin_hz)
    loudness = power[:, first:].sum(axis=1, dtype=np.float64)
    if loudness.max() <= _SILENCE:
        return None
    active = power[loudness > loudness.max() * 10 ** (-_ACTIVE_BELOW_LOUDEST_DB / 10)]
    active = active + active.max() * np.float32(_ROUNDING)
    level = 10 * np.log10(active)
    on_points = _onto_points(level, freq_hz, spectra.bin_hz)
    around = _smooth(on_points, 2 / 3)
    fine, smooth = on_points - around, _smooth(on_points, 1 / 40) - around
    quarter, floor, lines, lowest = np.percentile(fine, (25, 10, 95, 3), axis=0)
    even = level - level[:, first:].mean(axis=1, keepdims=True)
    low = np.percentile(even, 10, axis=0)
    between = ndimage.grey_opening(low, 7)
    return Curves(
        freq_hz,
        {
            "power": _onto_points(10 * np.log10(active.mean(axis=0, dtype=np.float64)), freq_hz, spectra.bin_hz),
            "typical": on_points.mean(axis=0),
            "floor": floor,
            "quarter": quarter,
            "lines": lines,
            "lowest": lowest,
            "smooth_floor": np.percentile(smooth, 10, axis=0),
            "low": _onto_points(low, freq_hz, spectra.bin_hz),
            "between": _onto_points(between, freq_hz, spectra.bin_hz),
        },
        smooth,
    )
