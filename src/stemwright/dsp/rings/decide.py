"""From judged places to rings: exact frequency, height and width, and the evidence in words a person knows."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from stemwright.dsp.rings.bell_fit import LEAST_EXCESS_DB, LEAST_Q, MOST_EXCESS_DB, MOST_Q, fit_bells
from stemwright.dsp.rings.curves import curves_of
from stemwright.dsp.rings.evidence import bell_at, evidence_at
from stemwright.dsp.rings.judge import places_of
from stemwright.dsp.rings.model import OFFERED_FROM, TAKEN_FROM, Ring

if TYPE_CHECKING:
    from stemwright.dsp.rings.curves import Curves
    from stemwright.dsp.rings.model import RingSettings, RingVerdict
    from stemwright.dsp.rings.spectra import Spectra

Floats = NDArray[np.float64]

MOST_TRUSTED_DB: Final = 20.0  # what stands out further is mostly a note's own
LEAST_FRAMES: Final = 3
_APART_OCTAVES: Final = 1 / 24
_STANDS_OUT_DB: Final = 3.0
_FOLLOWED: Final = 0.25
_SURE_CENTS: Final = 3.0
_SCATTER_DB: Final = 0.5  # so far apart are readings of a ring in steady noise
_READINGS: Final = ("quarter", "typical", "power")
_NO_RING: Final = 1e-9  # where no place has better odds than this there is nothing to rank
_OFF_BOUND: Final = 1.02
_T60_OF_Q: Final = 2.198807  # ln(1000)/pi: a resonator falls 60 dB in this many times Q/f0 seconds


def decide(spectra: Spectra, settings: RingSettings) -> list[Ring]:
    """Return the rings, most certain first, that are high enough and certain enough."""
    curves = curves_of(spectra)
    if curves is None or len(curves.local) < LEAST_FRAMES:
        return []
    inside = (curves.freq_hz >= settings.from_hz) & (curves.freq_hz <= settings.to_hz)
    if not inside.any():
        return []
    rings: list[Ring] = []
    for confidence, place in places_of(curves, inside):
        if len(rings) == settings.at_most or confidence < max(settings.least_confidence, _NO_RING):
            break
        ring = _ring_at(place, confidence, curves)
        ring = replace(ring, verdict=verdict_of(ring, settings))
        if settings.least_confidence >= TAKEN_FROM and ring.verdict != "taken":
            continue
        apart = all(abs(np.log2(ring.freq_hz / other.freq_hz)) > _APART_OCTAVES for other in rings)
        if apart and ring.excess_db >= settings.least_db and settings.from_hz <= ring.freq_hz <= settings.to_hz:
            rings.append(ring)
    return rings


def verdict_of(ring: Ring, settings: RingSettings) -> RingVerdict:
    """Return what becomes of a ring; a fit at its bound is no fit, and nothing is taken on the strength of one."""
    if ring.confidence < OFFERED_FROM:
        return "no"
    sure = ring.confidence >= TAKEN_FROM and not ring.evidence.at_a_bound
    return "taken" if sure and not settings.offer_only else "offered"


def _ring_at(place: int, confidence: float, curves: Curves) -> Ring:
    """Measure the ring at a place in three readings; where they differ it is taken to be lower and narrower by their spread.

    Then some of what stands out belongs to the notes. The shift that they ask for is followed where a bell explains the curve so
    well that it says where to three cents, as in steady noise. Elsewhere the judge's own place is more exact than any of them; a
    quarter of the shift is followed still, since the two err independently.
    """
    _, floor_q = bell_at(place, curves.level["floor"])
    shifts, gains_db, log_qs, doubts = fit_bells(place, np.array([curves.level[name] for name in _READINGS]), floor_q)
    apart_db = float(gains_db.std())
    agreed_db = float(np.median(gains_db)) - max(0.0, apart_db - _SCATTER_DB)
    excess_db = min(max(LEAST_EXCESS_DB, agreed_db), MOST_TRUSTED_DB)
    q = min(float(np.exp2(np.median(log_qs) + log_qs.std())), MOST_Q)
    sure = 1 / (1 + (1200 * float(np.median(doubts)) / _SURE_CENTS) ** 4)
    followed = _FOLLOWED + (1 - _FOLLOWED) * sure
    freq_hz = float(curves.freq_hz[place] * 2 ** (followed * np.median(shifts)))
    share = float((curves.excess_over_time(place) > _STANDS_OUT_DB).mean())
    decay_s = _T60_OF_Q * q * 10 ** (excess_db / 40) / freq_hz
    lost = sum(at_a_bound(gain_db, 2.0**log_q) for gain_db, log_q in zip(gains_db, log_qs, strict=True))
    evidence = evidence_at(place, curves, persistence=share, decay_s=decay_s)
    evidence = replace(evidence, readings_apart_db=apart_db, at_a_bound=lost > len(_READINGS) / 2)
    return Ring(freq_hz, excess_db, q, freq_hz / q, share, confidence, evidence)


def at_a_bound(gain_db: float, q: float) -> bool:
    """Say whether a fit ended at the end of what it may be: then it measured nothing."""
    inside = LEAST_Q * _OFF_BOUND < q < MOST_Q / _OFF_BOUND
    return not (inside and LEAST_EXCESS_DB * _OFF_BOUND < gain_db < MOST_EXCESS_DB / _OFF_BOUND)
