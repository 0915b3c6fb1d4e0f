"""From judged places to rings: exact frequency, height and width, and the evidence in words a person knows."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from stemwright.dsp.rings.bell_fit import LEAST_EXCESS_DB, LEAST_Q, MOST_EXCESS_DB, MOST_Q, fit_bells
from stemwright.dsp.rings.curves import curves_of
from stemwright.dsp.rings.evidence import bell_at, evidence_at
from stemwright.dsp.rings.harmless import harmless_share
from stemwright.dsp.rings.judge import places_of
from stemwright.dsp.rings.model import OFFERED_FROM, TAKEN_FROM, Ring
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE

if TYPE_CHECKING:
    from stemwright.dsp.rings.curves import Curves
    from stemwright.dsp.rings.model import RingSettings, RingVerdict
    from stemwright.dsp.rings.spectra import Spectra

Floats = NDArray[np.float64]

MOST_TRUSTED_DB: Final = 20.0  # what stands out further is mostly a note's own
DEEP_DB: Final = 12.0  # deeper than this only where a bell explains what stands out
WORTH_TAKING_DB: Final = 1.0  # of what lets less be taken without harm nothing is taken
_OF_A_LOST_FIT: Final = 0.5
LEAST_FRAMES: Final = 3
_APART_OCTAVES: Final = 1 / 24
_STANDS_OUT_DB: Final = 3.0
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
    for confidence, where in places_of(curves, inside):
        if len(rings) == settings.at_most or confidence < max(settings.least_confidence, _NO_RING):
            break
        ring = _ring_at(where, confidence, curves)
        ring = replace(ring, verdict=verdict_of(ring, settings))
        if settings.least_confidence >= TAKEN_FROM and ring.verdict != "taken":
            continue
        apart = all(abs(np.log2(ring.freq_hz / other.freq_hz)) > _APART_OCTAVES for other in rings)
        if apart and ring.excess_db >= settings.least_db and settings.from_hz <= ring.freq_hz <= settings.to_hz:
            rings.append(ring)
    return rings


def verdict_of(ring: Ring, settings: RingSettings) -> RingVerdict:
    """Return what becomes of a ring; nothing is taken on the strength of a fit at its bound, or where that would do harm."""
    if ring.confidence < OFFERED_FROM:
        return "no"
    sure = ring.confidence >= TAKEN_FROM and not ring.evidence.at_a_bound and ring.most_cut_db >= WORTH_TAKING_DB
    return "taken" if sure and not settings.offer_only else "offered"


def _ring_at(where: float, confidence: float, curves: Curves) -> Ring:
    """Measure the ring at a place (in points) in three readings; where they differ it is lower and narrower by their spread.

    Then some of what stands out belongs to the notes. Where a bell explains the curve so well that it says where to three cents,
    as in steady noise, the shift that they ask for is followed. Elsewhere the judge's own place is more exact than any of them.
    """
    place = round(where)
    _, floor_q = bell_at(place, curves.level["floor"])
    shifts, gains_db, log_qs, doubts = fit_bells(place, np.array([curves.level[name] for name in _READINGS]), floor_q)
    apart_db = float(gains_db.std())
    agreed_db = float(np.median(gains_db)) - max(0.0, apart_db - _SCATTER_DB)
    q = min(float(np.exp2(np.median(log_qs) + log_qs.std())), MOST_Q)
    sure = 1 / (1 + (1200 * float(np.median(doubts)) / _SURE_CENTS) ** 8)
    lost = sum(at_a_bound(gain_db, 2.0**log_q) for gain_db, log_q in zip(gains_db, log_qs, strict=True)) > len(_READINGS) / 2
    octaves = (1 - sure) * (where - place) / POINTS_PER_OCTAVE + sure * float(np.median(shifts))
    freq_hz = float(curves.freq_hz[place] * 2**octaves)
    excess_db = min(max(LEAST_EXCESS_DB, agreed_db), MOST_TRUSTED_DB)
    cut_db = trusted_cut_db(excess_db, sure, lost=lost)
    near = slice(max(0, place - POINTS_PER_OCTAVE), place + POINTS_PER_OCTAVE + 1)
    beside = np.log2(curves.freq_hz[near] / freq_hz)
    most_cut_db = cut_db * harmless_share(beside, curves.level["power"][near], cut_db, q)
    share = float((curves.excess_over_time(place) > _STANDS_OUT_DB).mean())
    decay_s = _T60_OF_Q * q * 10 ** (excess_db / 40) / freq_hz
    evidence = evidence_at(place, curves, persistence=share, decay_s=decay_s)
    evidence = replace(evidence, readings_apart_db=apart_db, at_a_bound=lost)
    return Ring(freq_hz, excess_db, q, freq_hz / q, share, confidence, evidence, most_cut_db=most_cut_db)


def trusted_cut_db(excess_db: float, sure: float, *, lost: bool) -> float:
    """Return how deep a notch may go by what is known of the ring alone, dB.

    Parameters
    ----------
    excess_db : float
        The ring's height, dB.
    sure : float
        How well a bell explains the curves, from 0 (no better than any bump) to 1 (all of it).
    lost : bool
        Whether the readings are fits at their bounds; they are half believed.
    """
    most_db = DEEP_DB + sure * (MOST_TRUSTED_DB - DEEP_DB)
    return min(excess_db, most_db) * (_OF_A_LOST_FIT if lost else 1.0)


def at_a_bound(gain_db: float, q: float) -> bool:
    """Say whether a fit ended at the end of what it may be: then it measured nothing."""
    inside = LEAST_Q * _OFF_BOUND < q < MOST_Q / _OFF_BOUND
    return not (inside and LEAST_EXCESS_DB * _OFF_BOUND < gain_db < MOST_EXCESS_DB / _OFF_BOUND)
