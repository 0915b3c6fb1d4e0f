"""The numbers shown for a ring, on a curve whose peak stands where it was drawn."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.signal.windows import hann

from stemwright.dsp.rings.evidence import around_hz, bell_at, evidence_at, peak_to_harmonics_db
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, bell_db
from stemwright.dsp.rings.spectra import _hann

PLACE = 600
CURVE = bell_db((np.arange(1200) - PLACE) / POINTS_PER_OCTAVE, 10.0, 20.0)
NEAR = POINTS_PER_OCTAVE // 60


def at(place):
    curves = SimpleNamespace(level=dict.fromkeys(("floor", "power", "between", "typical"), CURVE))
    return evidence_at(place, curves, persistence=0.5, decay_s=0.1)


def test_a_place_a_little_beside_the_peak_is_judged_by_the_peak():
    middle = at(PLACE)
    for place in (PLACE - NEAR, PLACE + NEAR):
        beside = at(place)
        assert beside.peak_to_neighbours_db == middle.peak_to_neighbours_db
        assert beside.floor_excess_db == pytest.approx(middle.floor_excess_db)
    # The bell that was drawn: 10 dB.
    assert middle.floor_excess_db == pytest.approx(10.0, abs=0.5)
    assert at(PLACE + 4 * NEAR).peak_to_neighbours_db < middle.peak_to_neighbours_db - 0.5


def test_curves_alike_are_independent_of_the_pitch():
    assert at(PLACE).pitch_independence == pytest.approx(1.0)
    assert at(PLACE).around_db[12] == max(at(PLACE).around_db)


# Eq. 45 of the source: over the loudest of 0.5, 1.5, 2, 3 and 4 times the frequency.
@pytest.mark.parametrize(("times", "expected_db"), [(0.5, 4.0), (1.5, 4.0), (2, 4.0), (3, 4.0), (4, 4.0), (1.2, 10.0)])
def test_a_place_is_held_against_its_harmonics(times, expected_db):
    level = np.zeros(1200)
    level[PLACE] = 10.0
    level[PLACE + round(np.log2(times) * POINTS_PER_OCTAVE)] = 6.0
    assert peak_to_harmonics_db(PLACE, level) == expected_db


@pytest.mark.parametrize("size", [16, 1024])
def test_the_window_is_scipys_hann_for_spectra(size):
    assert _hann(size) == pytest.approx(hann(size, sym=False), abs=1e-6)


def ring_at(freq_hz):
    return SimpleNamespace(freq_hz=freq_hz)


def test_what_is_shown_is_a_quarter_of_an_octave_to_each_side_in_48ths():
    freq_hz = around_hz(ring_at(1000.0))
    assert len(freq_hz) == 25
    assert np.log2(freq_hz / 1000.0) * 48 == pytest.approx(np.arange(-12, 13))


@pytest.mark.parametrize("place", [600, 0, 30, 1199])
def test_what_is_shown_is_the_mean_of_five_points_over_the_median_of_the_outer_halves(place):
    level = np.random.default_rng(6).normal(0.0, 10.0, 1200)
    curves = SimpleNamespace(level=dict.fromkeys(("floor", "power", "between"), CURVE) | {"typical": level})
    shown = evidence_at(place, curves, persistence=0.5, decay_s=0.1).around_db
    at = np.clip(place + np.arange(-12, 13)[:, np.newaxis] * 5 + np.arange(-2, 3), 0, 1199)  # beyond the ends the last value
    means = level[at].mean(axis=1)
    expected = np.round(means - np.median(np.r_[means[:6], means[-6:]]), 1)
    assert shown == pytest.approx(expected.tolist())


# The smaller excess over the larger, 0 to 1: here bells of 10 dB and of a half, the same, and upside down.
@pytest.mark.parametrize(
    ("floor", "power", "independence"),
    [(0.5, 1.0, 0.5), (1.0, 0.5, 0.5), (1.0, 1.0, 1.0), (0.0, 1.0, 0.0)],
)
def test_independence_of_pitch_is_the_smaller_excess_over_the_larger(floor, power, independence):
    curves = SimpleNamespace(level={"floor": CURVE * floor, "power": CURVE * power, "between": CURVE, "typical": CURVE})
    found = evidence_at(PLACE, curves, persistence=0.5, decay_s=0.1)
    assert found.pitch_independence == pytest.approx(independence, abs=0.02)
    assert (found.persistence, found.decay_s) == (0.5, 0.1)
    assert found.between_partials_db == pytest.approx(10.0, abs=0.5)


@pytest.mark.parametrize("away", [-121, -120, -118, 118, 120, 121])
def test_a_bell_is_looked_for_within_half_an_octave(away):
    # A spike so far away lifts nothing here; what the near fit sees of it at the edge is cut off where its curve ends.
    curve = CURVE.copy()
    curve[PLACE + away] += 40.0
    height_db, q = bell_at(PLACE, curve)
    plain_db, plain_q = bell_at(PLACE, CURVE)
    if abs(away) > 120:
        assert (height_db, q) == (plain_db, plain_q)
    else:
        assert (height_db, q) != (plain_db, plain_q)


@pytest.mark.parametrize("place", [3, 1196])
def test_near_an_end_there_are_fewer_points(place):
    curve = bell_db((np.arange(1200) - place) / POINTS_PER_OCTAVE, 10.0, 20.0)
    assert bell_at(place, curve)[0] > 3.0


@pytest.mark.parametrize(("place", "expected_db"), [(5, 10.0 - 6.0), (1195, 10.0 - 3.0)])
def test_harmonics_beyond_the_ends_are_left_out(place, expected_db):
    level = np.zeros(1200)
    level[place] = 10.0
    for times, height in ((0.5, 3.0), (2.0, 6.0)):
        at = place + round(np.log2(times) * POINTS_PER_OCTAVE)
        if 0 <= at < 1200:
            level[at] = height
    assert peak_to_harmonics_db(place, level) == expected_db
    assert peak_to_harmonics_db(10, np.ones(20)) == 0.0


# A bell at the very first point, mirrored beyond it by the fit: as high as one in the middle, from beside it too.
@pytest.mark.parametrize("place", range(NEAR + 1))
def test_a_peak_at_the_first_point_is_seen_from_beside_it(place):
    curve = bell_db(np.arange(600) / POINTS_PER_OCTAVE, 10.0, 20.0)
    assert bell_at(place, curve)[0] == pytest.approx(bell_at(PLACE, CURVE)[0], abs=1e-3)
    curves = SimpleNamespace(level=dict.fromkeys(("floor", "power", "between", "typical"), curve))
    found = [evidence_at(each, curves, persistence=0.5, decay_s=0.1).peak_to_neighbours_db for each in (0, place)]
    assert found[0] == pytest.approx(found[1], abs=1e-9)


def test_a_peak_farther_than_a_60th_of_an_octave_is_not_this_places():
    for place in (PLACE - NEAR - 1, PLACE + NEAR + 1):
        assert at(place).peak_to_neighbours_db < at(PLACE).peak_to_neighbours_db - 1e-3
        assert bell_at(place, CURVE)[0] < bell_at(PLACE, CURVE)[0] - 1e-3


# Heights of 10 dB at a place and 6 dB at its lower octave, each as far off as counts, and one point farther.
@pytest.mark.parametrize(
    ("own", "octave_below", "expected_db"),
    [
        (NEAR, 0, 4.0), (-NEAR, 0, 4.0), (NEAR + 1, 0, -6.0), (-NEAR - 1, 0, -6.0),
        (0, NEAR, 4.0), (0, -NEAR, 4.0), (0, NEAR + 1, 10.0), (0, -NEAR - 1, 10.0),
    ],
)  # fmt: skip
def test_a_60th_of_an_octave_to_each_side_counts_against_harmonics(own, octave_below, expected_db):
    level = np.zeros(1200)
    level[PLACE + own] = 10.0
    level[PLACE - POINTS_PER_OCTAVE + octave_below] = 6.0
    assert peak_to_harmonics_db(PLACE, level) == expected_db


@pytest.mark.parametrize("place", [2, POINTS_PER_OCTAVE + 2, POINTS_PER_OCTAVE])
def test_harmonics_are_looked_for_to_the_first_point(place):
    level = np.zeros(1200)
    level[0] = 4.0
    assert peak_to_harmonics_db(place, level) == (4.0 if place == 2 else -4.0)
