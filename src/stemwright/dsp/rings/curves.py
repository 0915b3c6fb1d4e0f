"""From the kept spectra to a few curves over frequency that a ring shows in and notes do not, or the other way round.

Conventions
-----------
Level in dB on the logarithmic scale of ``shapes``. *Local* means against the mean level of two thirds of an octave in
the same frame, so that a curve does not depend on how loud a frame is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from stemwright.dsp.rings.lines import line_curves
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE

if TYPE_CHECKING:
    from stemwright.dsp.rings.spectra import Spectra

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

LOWEST_POINT_HZ: Final = 50.0
_QUIETEST_FRAME_DB: Final = -50.0  # a frame this far under the loudest is no longer active
_SILENCE: Final = 1e-8
_ROUNDING: Final = 1e-15  # of single-precision transforms, against the strongest bin
_NARROWER_THAN_A_RING_BINS: Final = 7
_LOW_BUT_FOR_LINES: Final = 0.10


@dataclass(frozen=True)
class Curves:
    """The sound's spectrum over frequency, seen in several ways.

    Parameters
    ----------
    freq_hz : np.ndarray, shape (points,)
        The points, Hz.
    level : dict of str to np.ndarray, shape (points,)
        Curves in dB by name. ``power``: mean power. ``typical``: mean level. Local levels that are exceeded for a share
        of the active time: ``lines`` 5 %, ``quarter`` 75 %, ``floor`` 90 %, ``lowest`` 97 %. ``low``: level against the
        whole frame that is exceeded 90 %. ``between``: the same with everything narrower than seven bins taken out, as
        partials are. ``line_excess``: how far lines there stand over the lines beside them (see ``lines``); its share is
        ``line_share``, of the logarithm of one and twenty times the lines a frame.
    local : np.ndarray, shape (frames, points)
        Local level of each active frame, dB.
    """

    freq_hz: Floats
    level: dict[str, Floats]
    local: Singles

    def excess_over_time(self, place: int) -> Singles:
        """Return the local level of every frame within a 40th of an octave about a point, dB."""
        half = POINTS_PER_OCTAVE // 80
        around: Singles = self.local[:, max(0, place - half) : place + half + 1].mean(axis=1)
        return around


def curves_of(spectra: Spectra) -> Curves | None:
    """Return the curves, or None when the sound is silent or its rate too low to look for rings."""
    power, bin_hz = spectra.power, spectra.bin_hz
    freq_hz = _points_hz((power.shape[1] - 3) * bin_hz)
    if not len(power) or len(freq_hz) < 4 * POINTS_PER_OCTAVE:
        return None
    first = int(LOWEST_POINT_HZ * 2 / bin_hz)
    loudness = power[:, first:].sum(axis=1, dtype=np.float64)
    if loudness.max() <= _SILENCE:
        return None
    active = power[loudness > loudness.max() * 10 ** (_QUIETEST_FRAME_DB / 10)]
    active = active + active.max() * np.float32(_ROUNDING)
    level = np.log10(active)
    level *= np.float32(10)
    on_points = _onto_points(level, freq_hz, bin_hz)
    local = (on_points - _smooth(on_points, 2 / 3)).astype(np.float32)
    lowest, floor, quarter, lines = _exceeded(local, (0.03, 0.10, 0.25, 0.95))
    (low,) = _exceeded(level - level[:, first:].mean(axis=1, keepdims=True), (_LOW_BUT_FOR_LINES,))
    between = ndimage.grey_opening(low, (_NARROWER_THAN_A_RING_BINS,))
    line_excess, line_share = line_curves(level, freq_hz, bin_hz)
    mean_power = 10 * np.log10(active.mean(axis=0, dtype=np.float64))
    return Curves(
        freq_hz,
        {
            "power": _onto_points(mean_power, freq_hz, bin_hz),
            "typical": on_points.mean(axis=0),
            "lines": lines,
            "quarter": quarter,
            "floor": floor,
            "lowest": lowest,
            "low": _onto_points(low, freq_hz, bin_hz),
            "between": _onto_points(between, freq_hz, bin_hz),
            "line_excess": line_excess,
            "line_share": line_share,
        },
        local,
    )


def _points_hz(top_hz: float) -> Floats:
    count = max(0, int(np.log2(max(top_hz, 1.0) / LOWEST_POINT_HZ) * POINTS_PER_OCTAVE))
    return LOWEST_POINT_HZ * np.exp2(np.arange(count) / POINTS_PER_OCTAVE)


def _onto_points(rows: Floats | Singles, freq_hz: Floats, bin_hz: float) -> Floats:
    """Mean over each point's own cell (or over one bin where cells are narrower), by differences of a running sum."""
    total = np.zeros((*rows.shape[:-1], rows.shape[-1] + 1))
    np.cumsum(rows, axis=-1, out=total[..., 1:])
    step = 2 ** (0.5 / POINTS_PER_OCTAVE)
    low = np.minimum(freq_hz / step, freq_hz - bin_hz / 2) / bin_hz + 0.5
    high = np.maximum(freq_hz * step, freq_hz + bin_hz / 2) / bin_hz + 0.5
    out: Floats = (_between_sums(total, high) - _between_sums(total, low)) / (high - low)
    return out


def _between_sums(total: Floats, edge: Floats) -> Floats:
    whole = edge.astype(int)
    part = edge - whole
    out: Floats = total[..., whole] * (1 - part) + total[..., whole + 1] * part
    return out


def _smooth(rows: Floats, octaves: float) -> Floats:
    out: Floats = ndimage.uniform_filter1d(rows, int(octaves * POINTS_PER_OCTAVE) | 1, axis=-1, mode="nearest")
    return out


def _exceeded(rows: Singles, shares: tuple[float, ...]) -> list[Floats]:
    """Return for every column the values below which these shares of the rows lie (as numpy.quantile's linear method)."""
    columns = np.ascontiguousarray(rows.T)
    columns.sort(axis=1)
    out = []
    for share in shares:
        at = share * (columns.shape[1] - 1)
        lower, upper = int(at), min(int(at) + 1, columns.shape[1] - 1)
        low = columns[:, lower].astype(np.float64)
        out.append(low + (at - lower) * (columns[:, upper] - low))
    return out
