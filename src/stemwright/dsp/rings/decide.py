"""From the numbers at a place to a confidence, and from places to rings: exact frequency, height and width."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

from stemwright.dsp.rings.curves import curves_of
from stemwright.dsp.rings.evidence import numbers_at, peak_to_harmonics_db, places_of, scores_of
from stemwright.dsp.rings.model import Ring, RingEvidence, RingSettings
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, bell_db
from stemwright.dsp.rings.weights import confidence_of

if TYPE_CHECKING:
    from stemwright.dsp.rings.curves import Curves
    from stemwright.dsp.rings.spectra import Spectra

Floats = NDArray[np.float64]

LEAST_Q: Final = 8.0
MOST_Q: Final = 80.0
_APART_OCTAVES: Final = 1 / 12
_T60_OF_Q: Final = 2.198807  # ln(1000)/pi: seconds for Q/f0 of a resonator to fall 60 dB


def _fit_bell(place: int, curve: Floats, q: float) -> tuple[float, float, float]:
    """Return offset in octaves, gain in dB and Q of the bell that fits a curve round a place best (least squares, robust)."""
    half = int(np.clip(round(POINTS_PER_OCTAVE * 1.44 / q * 1.8), 12, POINTS_PER_OCTAVE // 4))
    low, high = max(0, place - half), min(len(curve), place + half + 1)
    octaves = (np.arange(low, high) - place) / POINTS_PER_OCTAVE
    level = curve[low:high]

    def misfit(values: Floats) -> Floats:
        shift, gain, log_q, base, slope = values
        bell = bell_db(octaves - shift, gain, np.exp2(log_q))
        out: Floats = base + slope * octaves * 10 + bell - level
        return out

    limit = 1.2 / 60
    start = np.array([0.0, 10.0, np.log2(np.clip(q, 9, 75)), float(np.median(level)) - 2, 0.0])
    bounds = ([-limit, 0.5, np.log2(LEAST_Q), -400, -40], [limit, 40.0, np.log2(MOST_Q), 400, 40])
    start = np.clip(start, bounds[0], bounds[1])
    found = optimize.least_squares(misfit, start, bounds=bounds, loss="soft_l1", f_scale=2.0, max_nfev=40)
    shift, gain, log_q, *_ = (float(v) for v in found.x)
    return shift, gain, 2.0**log_q


def _ring_at(place: int, numbers: dict[str, float], curves: Curves) -> Ring:
    shift, gain_db, q = _fit_bell(place, curves.level["quarter"], numbers["q"])
    freq_hz = float(curves.freq_hz[place] * 2**shift)
    line_db, floor_db = numbers["near_lines"], numbers["near_floor"]
    pole_q = q * 10 ** (gain_db / 40)
    evidence = RingEvidence(
        peak_to_neighbours_db=numbers["wide_power"],
        peak_to_harmonics_db=peak_to_harmonics_db(place, curves.level["power"]),
        floor_excess_db=floor_db,
        line_excess_db=line_db,
        between_partials_db=numbers["near_between"],
        persistence=numbers["persistence"],
        decay_s=_T60_OF_Q * pole_q / freq_hz,
        pitch_independence=float(np.clip(floor_db / max(line_db, floor_db, 1e-9), 0, 1)),
    )
    return Ring(
        freq_hz=freq_hz,
        excess_db=gain_db,
        q=q,
        width_hz=freq_hz / q,
        share=numbers["persistence"],
        confidence=confidence_of(numbers),
        evidence=evidence,
    )


def decide(spectra: Spectra, settings: RingSettings) -> list[Ring]:
    """Return the rings, most certain first, that are high enough and certain enough."""
    curves = curves_of(spectra)
    if curves is None:
        return []
    inside = (curves.freq_hz >= settings.from_hz) & (curves.freq_hz <= settings.to_hz)
    if not inside.any():
        return []
    scores = scores_of(curves)
    judged = [(place, numbers_at(place, curves, scores)) for place in places_of(scores, inside)]
    judged.sort(key=lambda item: confidence_of(item[1]), reverse=True)
    rings: list[Ring] = []
    for place, numbers in judged:
        if len(rings) == settings.at_most or confidence_of(numbers) < settings.least_confidence:
            break
        ring = _ring_at(place, numbers, curves)
        apart = all(abs(np.log2(ring.freq_hz / other.freq_hz)) > _APART_OCTAVES / 2 for other in rings)
        if apart and ring.excess_db >= settings.least_db and settings.from_hz <= ring.freq_hz <= settings.to_hz:
            rings.append(ring)
    return rings
