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

from stemwright.dsp.rings.grid import LOWEST_POINT_HZ, decibels, exceeded, least_near, local, onto_points, points_hz
from stemwright.dsp.rings.lines import line_curves
from stemwright.dsp.rings.moments import moment_curves
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE

if TYPE_CHECKING:
    from stemwright.dsp.rings.spectra import Spectra

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

THIN: Final = 2
_QUIETEST_FRAME_DB: Final = -40.0  # a frame this far under the loudest is no longer active
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
    moments : dict of str to np.ndarray, shape (points / 2,)
        Curves of short windows (see ``moments``), midway between two points.
    spread, median : np.ndarray, shape (points / 2,)
        Standard deviation and median of the local level over the active frames, dB, midway between two points.
    """

    freq_hz: Floats
    level: dict[str, Floats]
    local: Singles
    moments: dict[str, Floats]
    spread: Floats
    median: Floats

    def excess_over_time(self, place: int) -> Singles:
        """Return the local level of every frame within a 40th of an octave about a point, dB."""
        half = POINTS_PER_OCTAVE // 80
        around: Singles = self.local[:, max(0, place - half) : place + half + 1].mean(axis=1)
        return around


def curves_of(spectra: Spectra) -> Curves | None:
    """Return the curves, or None when the sound is silent or its rate too low to look for rings."""
    power, bin_hz = spectra.power, spectra.bin_hz
    freq_hz = points_hz((power.shape[1] - 3) * bin_hz, POINTS_PER_OCTAVE)
    if not len(power) or len(freq_hz) < 4 * POINTS_PER_OCTAVE:
        return None
    first = int(LOWEST_POINT_HZ * 2 / bin_hz)
    loudness = power[:, first:].sum(axis=1, dtype=np.float64)
    if loudness.max() <= _SILENCE:
        return None
    active = power[loudness > loudness.max() * 10 ** (_QUIETEST_FRAME_DB / 10)]
    active = active + active.max() * np.float32(_ROUNDING)
    level = decibels(active)
    on_points = onto_points(level, freq_hz, bin_hz, POINTS_PER_OCTAVE)
    local_level = local(on_points, POINTS_PER_OCTAVE)
    lowest, floor, quarter, lines = exceeded(local_level, (0.03, 0.10, 0.25, 0.95))
    (low,) = exceeded(level - level[:, first:].mean(axis=1, keepdims=True), (_LOW_BUT_FOR_LINES,))
    between = _opened(low, _NARROWER_THAN_A_RING_BINS)
    line_excess, line_share = line_curves(level, freq_hz, bin_hz)
    even = local_level[:, : len(freq_hz) // THIN * THIN]
    thinned = (even[:, ::THIN] + even[:, 1::THIN]) / np.float32(THIN)  # numpy's mean over two takes thirty times as long
    (median,) = exceeded(thinned, (0.5,))
    mean_power = 10 * np.log10(active.mean(axis=0, dtype=np.float64))
    return Curves(
        freq_hz,
        {
            "power": onto_points(mean_power, freq_hz, bin_hz, POINTS_PER_OCTAVE),
            "typical": on_points.mean(axis=0),
            "lines": lines,
            "quarter": quarter,
            "floor": floor,
            "lowest": lowest,
            "low": onto_points(low, freq_hz, bin_hz, POINTS_PER_OCTAVE),
            "between": onto_points(between, freq_hz, bin_hz, POINTS_PER_OCTAVE),
            "line_excess": line_excess,
            "line_share": line_share,
        },
        local_level,
        moment_curves(spectra.short_power, thin_hz(freq_hz), spectra.short_bin_hz, POINTS_PER_OCTAVE // THIN),
        thinned.std(axis=0).astype(np.float64),
        median,
    )


def _opened(curve: Floats, size: int) -> Floats:
    """Return a curve without what stands out of it and is narrower than so many bins, as scipy.ndimage.grey_opening."""
    opened: Floats = -least_near(-least_near(curve[np.newaxis], size), size)[0]
    return opened


def thin_hz(freq_hz: Floats) -> Floats:
    """Return the frequencies midway between every two points, Hz."""
    midway: Floats = freq_hz[: len(freq_hz) // THIN * THIN : THIN] * 2 ** ((THIN - 1) / 2 / POINTS_PER_OCTAVE)
    return midway
