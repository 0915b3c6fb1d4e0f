"""From three fits at a place to a ring, and which places become one: by the stated rules, on fits whose numbers are given."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from stemwright.dsp.rings import RingSettings, decide
from stemwright.dsp.rings.curves import Curves
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, bell_db

POINTS = 1600
FREQ_HZ = 100.0 * np.exp2(np.arange(POINTS) / POINTS_PER_OCTAVE)
PLACES = (400, 800, 1200)
NAMES = ("quarter", "typical", "power", "floor", "between")
EVERY = RingSettings(at_most=8, least_db=0, least_confidence=0)


def curves(local=None, frames=10):
    level = sum(bell_db((np.arange(POINTS) - place) / POINTS_PER_OCTAVE, 10.0, 20.0) for place in PLACES)
    local = np.zeros((frames, POINTS), np.float32) if local is None else local
    return Curves(FREQ_HZ, dict.fromkeys(NAMES, level), local, {}, np.zeros(POINTS // 2), np.zeros(POINTS // 2))


def found(monkeypatch, settings=EVERY, places=((0.9, 800),), fits=None, local=None, frames=10):
    """Return the rings of given places, with given fits: offsets, gains, log2 of Q, doubts."""
    monkeypatch.setattr(decide, "curves_of", lambda _: curves(local, frames))
    monkeypatch.setattr(decide, "places_of", lambda *_: iter(places))
    if fits is not None:
        monkeypatch.setattr(decide, "fit_bells", lambda *_: tuple(np.array(each, float) for each in fits))
    return decide.decide(SimpleNamespace(), settings)


def fit(shifts=(0.0,) * 3, gains_db=(10.0,) * 3, log_qs=(4.0,) * 3, doubts=(0.0,) * 3):
    return shifts, gains_db, log_qs, doubts


def test_a_bell_that_was_drawn_is_the_ring(monkeypatch):
    (ring,) = found(monkeypatch)
    assert (ring.freq_hz, ring.excess_db, ring.q) == pytest.approx((FREQ_HZ[800], 10.0, 20.0), rel=1e-3)
    assert ring.width_hz == pytest.approx(ring.freq_hz / ring.q)
    assert (ring.confidence, ring.verdict, ring.evidence.at_a_bound) == (0.9, "taken", False)


# All of the shift is followed where a fit is sure to far under three cents, half of it at three cents, 1/(1 + 2^8) at six.
@pytest.mark.parametrize(("doubt_cents", "followed"), [(0.0, 1.0), (3.0, 1 / 2), (6.0, 1 / 257), (1e6, 0.0)])
def test_a_shift_is_followed_as_far_as_the_fit_is_sure(monkeypatch, doubt_cents, followed):
    asked = fit(shifts=(0.004, 0.010, 0.012), doubts=[doubt_cents / 1200] * 3)
    (ring,) = found(monkeypatch, fits=asked)
    assert np.log2(ring.freq_hz / FREQ_HZ[800]) == pytest.approx(followed * 0.010, abs=1e-12)


# Half a decibel apart is what readings of steady noise are; what they are further apart is taken off the middle one.
@pytest.mark.parametrize(
    ("gains_db", "excess_db"),
    [
        ((8.0, 10.0, 12.0), 10.0 - (np.std([8, 10, 12]) - 0.5)),
        ((9.9, 10.0, 10.3), 10.0),
        ((30.0, 31.0, 32.0), 20.0),  # what stands out further than 20 dB is mostly a note's own
        ((0.5, 1.0, 9.0), 0.5),  # and no ring is lower than a fit may be
    ],
)
def test_height_is_the_middle_reading_less_what_they_are_apart(monkeypatch, gains_db, excess_db):
    (ring,) = found(monkeypatch, fits=fit(gains_db=gains_db))
    assert ring.excess_db == pytest.approx(excess_db)
    assert ring.evidence.readings_apart_db == pytest.approx(np.std(gains_db))


@pytest.mark.parametrize(
    ("log_qs", "q"), [((3.0, 4.0, 5.5), 2 ** (4.0 + np.std([3.0, 4.0, 5.5]))), ((6.4, 6.5, 7.0), 100.0)]
)
def test_width_is_the_middle_reading_narrower_by_their_spread(monkeypatch, log_qs, q):
    (ring,) = found(monkeypatch, fits=fit(log_qs=log_qs))
    assert ring.q == pytest.approx(q)


@pytest.mark.parametrize(("lost", "at_a_bound"), [(1, False), (2, True), (3, True)])
def test_two_of_three_fits_at_a_bound_are_no_measure(monkeypatch, lost, at_a_bound):
    (ring,) = found(monkeypatch, fits=fit(log_qs=[np.log2(100.0)] * lost + [4.0] * (3 - lost)))
    assert ring.evidence.at_a_bound == at_a_bound
    assert ring.verdict == ("offered" if at_a_bound else "taken")


def test_its_share_is_of_the_frames_in_which_it_stands_out_by_more_than_three_decibels(monkeypatch):
    local = np.zeros((8, POINTS), np.float32)
    local[0:3, 790:811] = 3.1
    local[3:5, 790:811] = 3.0
    (ring,) = found(monkeypatch, local=local)
    assert (ring.share, ring.evidence.persistence) == (3 / 8, 3 / 8)


def test_a_frames_excess_is_the_mean_within_an_eightieth_of_an_octave_to_each_side():
    local = np.zeros((1, POINTS), np.float32)
    local[0, 797], local[0, 803], local[0, 796], local[0, 804] = 7.0, 14.0, 100.0, 100.0
    assert curves(local).excess_over_time(800).tolist() == [
        3.0
    ]  # three points to each side of a fortieth in all: 21 dB over 7


@pytest.mark.parametrize(("frames", "count"), [(2, 0), (3, 1)])
def test_fewer_than_three_frames_say_nothing(monkeypatch, frames, count):
    assert len(found(monkeypatch, frames=frames)) == count


# Rings: (certainty, point). A 24th of an octave is 10 points.
@pytest.mark.parametrize(
    ("asked", "places", "kept"),
    [
        ({"at_most": 2}, [(0.9, 400), (0.8, 800), (0.7, 1200)], [400, 800]),
        ({"least_confidence": 0.8}, [(0.9, 400), (0.8, 800), (0.7, 1200)], [400, 800]),
        ({"least_confidence": 0.5}, [(0.9, 400), (0.49, 800), (0.9, 1200)], [400]),
        ({"least_confidence": 0.0}, [(0.9, 400), (1e-8, 800), (1e-10, 1200)], [400, 800]),
        ({}, [(0.9, 800), (0.8, 809), (0.7, 811), (0.6, 791), (0.5, 789)], [800, 811, 789]),
        ({"from_hz": FREQ_HZ[790], "to_hz": FREQ_HZ[811]}, [(0.9, 789), (0.8, 790 + 10), (0.7, 812)], [800]),
        ({"from_hz": FREQ_HZ[790], "to_hz": FREQ_HZ[811]}, [(0.9, 790), (0.8, 811)], [790, 811]),
        ({"least_db": 10.0}, [(0.9, 800)], [800]),
        ({"least_db": 10.01}, [(0.9, 800)], []),
    ],
)
def test_which_places_become_rings(monkeypatch, asked, places, kept):
    settings = RingSettings(**{"at_most": 8, "least_db": 0.0, "least_confidence": 0.0, **asked})
    rings = found(monkeypatch, settings, places, fits=fit())
    assert [ring.freq_hz for ring in rings] == pytest.approx(FREQ_HZ[kept])
    assert [ring.confidence for ring in rings] == [certainty for certainty, place in places if place in kept]


@pytest.mark.parametrize(("least", "count"), [(0.25, 0), (0.24, 1)])
def test_where_only_what_is_taken_is_asked_for_nothing_else_comes(monkeypatch, least, count):
    settings = RingSettings(at_most=8, least_db=0.0, least_confidence=least, offer_only=True)
    assert len(found(monkeypatch, settings)) == count


def test_a_band_without_a_point_has_no_rings(monkeypatch):
    # The points of these curves end at 10.1 kHz.
    assert found(monkeypatch, RingSettings(from_hz=15_000.0)) == []
