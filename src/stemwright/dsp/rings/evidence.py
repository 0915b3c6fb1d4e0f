"""The numbers behind a ring, for a person to judge by: how it stands out of the curves at its place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from stemwright.dsp.rings.model import RingEvidence
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, near_fit, wide_height_db

if TYPE_CHECKING:
    from stemwright.dsp.rings.curves import Curves
    from stemwright.dsp.rings.model import Ring

Floats = NDArray[np.float64]

_NEARBY: Final = POINTS_PER_OCTAVE // 60
_AROUND: Final = POINTS_PER_OCTAVE // 2
_SHOWN, _CELL = 12, 5  # points to each side that are shown, and how many of the curve's are in one: a 48th of an octave


def bell_at(place: int, curve: Floats) -> tuple[float, float]:
    """Return height in dB and Q of the clearest bell over its near surroundings within a 60th of an octave of a point."""
    part, at = _around(place, curve)
    first = max(0, at - _NEARBY)
    fit = near_fit(part, first, min(at + _NEARBY + 1, len(part)))
    return float(fit.height_db.max()), float(fit.q[at - first])


def evidence_at(place: int, curves: Curves, *, persistence: float, decay_s: float) -> RingEvidence:
    """Return the evidence for a ring at a point; what belongs to the whole ring is given."""
    floor_db, _ = bell_at(place, curves.level["floor"])
    power_db, _ = bell_at(place, curves.level["power"])
    between_db, _ = bell_at(place, curves.level["between"])
    part, at = _around(place, curves.level["power"])
    return RingEvidence(
        peak_to_neighbours_db=float(wide_height_db(part, max(0, at - _NEARBY), min(at + _NEARBY + 1, len(part))).max()),
        peak_to_harmonics_db=peak_to_harmonics_db(place, curves.level["power"]),
        floor_excess_db=floor_db,
        average_excess_db=power_db,
        between_partials_db=between_db,
        persistence=persistence,
        decay_s=decay_s,
        pitch_independence=float(np.clip(min(floor_db, power_db) / max(floor_db, power_db, 1e-9), 0, 1)),
        around_db=_shown(place, curves.level["typical"]),
    )


def around_hz(ring: Ring) -> Floats:
    """Return the frequencies of a ring's ``around_db``, half an octave in all."""
    shifts = np.arange(-_SHOWN, _SHOWN + 1) * _CELL / POINTS_PER_OCTAVE
    around: Floats = ring.freq_hz * np.exp2(shifts)
    return around


def _shown(place: int, level: Floats) -> tuple[float, ...]:
    reach = _SHOWN * _CELL + _CELL // 2
    part = np.pad(level, reach, mode="edge")[place : place + 2 * reach + 1].reshape(-1, _CELL).mean(axis=1)
    outer = np.concatenate([part[: _SHOWN // 2], part[-(_SHOWN // 2) :]])
    return tuple(float(value) for value in np.round(part - np.median(outer), 1))


def peak_to_harmonics_db(place: int, level: Floats) -> float:
    """Level at a place over the loudest of 0.5, 1.5, 2, 3 and 4 times its frequency, dB.

    Source: PHPR of T. van Waterschoot, M. Moonen, "Fifty years of acoustic feedback control", Proc. IEEE 99(2), 2011,
    eq. 45.
    """
    others = place + np.rint(np.log2((0.5, 1.5, 2, 3, 4)) * POINTS_PER_OCTAVE).astype(int)
    tops = [level[max(0, p - _NEARBY) : p + _NEARBY + 1].max() for p in others if 0 <= p < len(level)]
    own = level[max(0, place - _NEARBY) : place + _NEARBY + 1].max()
    return float(own - max(tops)) if tops else 0.0


def _around(place: int, curve: Floats) -> tuple[Floats, int]:
    low = max(0, place - _AROUND)
    return curve[low : place + _AROUND + 1], place - low
