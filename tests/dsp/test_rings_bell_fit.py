"""The bell that is fitted round a place, against the one that was drawn and against scipy's solver."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import optimize

from stemwright.dsp.rings import bell_fit
from stemwright.dsp.rings.bell_fit import MOST_EXCESS_DB, MOST_Q, fit_bells
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, bell_db

PLACE = 600
OCTAVES = (np.arange(1200) - PLACE) / POINTS_PER_OCTAVE


def drawn(shift: float, gain_db: float, q: float, slope_db: float) -> np.ndarray:
    """Return a bell on a slope, from the cookbook's analog prototype."""
    return -30 + slope_db * OCTAVES + bell_db(OCTAVES - shift, gain_db, q)


def test_bells_drawn_exactly_come_back_several_at_once() -> None:
    asked = [(0.004, 6.0, 12.0, 3.0), (-0.006, 15.0, 30.0, -6.0), (0.0, 9.0, 70.0, 0.0)]
    shifts, gains_db, log_qs, doubts = fit_bells(PLACE, np.array([drawn(*bell) for bell in asked]), 24.0)
    # The drawn values themselves; a hundredth of a decibel and of a Q is far under what a manifest keeps.
    assert shifts == pytest.approx([bell[0] for bell in asked], abs=1e-5)
    assert gains_db == pytest.approx([bell[1] for bell in asked], abs=1e-2)
    assert 2**log_qs == pytest.approx([bell[2] for bell in asked], rel=1e-3)
    assert doubts.max() < 1e-5


def test_the_doubt_about_the_place_is_how_far_it_scatters_in_noise() -> None:
    # The definition of a standard error: over many draws of independent noise the offsets scatter by it.
    rng = np.random.default_rng(5)
    curves = drawn(0.0, 10.0, 20.0, 0.0) + rng.normal(0, 1.0, (300, len(OCTAVES)))
    shifts, _, _, doubts = fit_bells(PLACE, curves, 20.0)
    assert np.median(doubts) == pytest.approx(shifts.std(), rel=0.25)


def test_a_noisy_curve_gives_the_bell_that_scipy_gives() -> None:
    rng = np.random.default_rng(3)
    curve = drawn(0.003, 10.0, 20.0, 4.0) + rng.normal(0, 1.0, len(OCTAVES))
    curve[PLACE + 9] += 25.0  # one partial: misfits as large as this must count little
    shifts, gains_db, log_qs, _ = fit_bells(PLACE, curve[np.newaxis], 24.0)
    half = round(POINTS_PER_OCTAVE * 1.44 / 24 * 1.8)
    near = slice(PLACE - half, PLACE + half + 1)

    def misfit(at: np.ndarray) -> np.ndarray:
        return at[3] + at[4] * OCTAVES[near] * 10 + bell_db(OCTAVES[near] - at[0], at[1], 2 ** at[2]) - curve[near]

    # scipy.optimize.least_squares with the same loss is the outside solver; both stop at the same minimum.
    found = optimize.least_squares(misfit, [0, 10, np.log2(24), -30, 0], loss="soft_l1", f_scale=2.0).x
    assert shifts[0] == pytest.approx(found[0], abs=1e-4)
    assert gains_db[0] == pytest.approx(found[1], abs=0.02)
    assert log_qs[0] == pytest.approx(found[2], abs=0.01)


def test_what_is_no_bell_ends_at_a_bound_and_not_beyond() -> None:
    curve = np.where(np.arange(len(OCTAVES)) == PLACE, 200.0, 0.0)[np.newaxis]
    _, gains_db, log_qs, _ = fit_bells(PLACE, curve, 68.0)
    assert gains_db[0] <= MOST_EXCESS_DB
    assert log_qs[0] <= np.log2(MOST_Q)


def test_slopes_are_differences_of_the_misfit():
    rng = np.random.default_rng(7)
    at = np.array([[0.01, 9.0, 4.0, -30.0, 1.5], [-0.02, 20.0, 6.0, 3.0, -2.0], [0.0, 0.5, 1.6, 0.0, 0.0]])
    octaves = np.linspace(-0.3, 0.3, 40)
    level = rng.normal(size=(3, 40))
    slopes = bell_fit._slopes(at, octaves)
    for number in range(at.shape[1]):
        step = np.zeros(at.shape[1])
        step[number] = 1e-6
        higher, lower = (bell_fit._misfit(at + sign * step, octaves, level)[0] for sign in (1.0, -1.0))
        assert slopes[:, number] == pytest.approx((higher - lower) / 2e-6, rel=1e-5, abs=1e-5)


def test_the_misfit_is_soft_l1_at_two_decibels():
    # The definition, 2 s^2 (sqrt(1 + (r/s)^2) - 1) but for its constant factor: misfits of 2 dB and of 0.
    at = np.array([[0.0, 10.0, 4.0, -3.0, 0.5]])
    octaves = np.array([-0.1, 0.0])
    curve = -3.0 + 0.5 * octaves * 10 + bell_db(octaves, 10.0, 16.0)
    error, cost = bell_fit._misfit(at, octaves, (curve - [2.0, 0.0])[np.newaxis])
    assert error[0] == pytest.approx([2.0, 0.0], abs=1e-12)
    assert cost[0] == pytest.approx(np.sqrt(2.0) - 1.0)


# 1.8 widths to each side (a width at Q is 1.44/Q octaves), no fewer than 12 points, no more than half an octave: what lies beyond
# changes nothing, what lies on the edge does.
@pytest.mark.parametrize(("q", "half"), [(24.0, 26), (68.0, 12), (5.0, 120), (10.0, 62)])
@pytest.mark.parametrize("side", [-1, 1])
def test_a_fit_looks_so_far_to_each_side(q, half, side):
    curve = drawn(0.002, 9.0, q, 2.0)[np.newaxis]
    plain = np.array(fit_bells(PLACE, curve, q))
    beyond, edge = curve.copy(), curve.copy()
    beyond[0, PLACE + side * (half + 1)] += 30.0
    edge[0, PLACE + side * half] += 30.0
    assert np.array_equal(np.array(fit_bells(PLACE, beyond, q)), plain)
    assert not np.array_equal(np.array(fit_bells(PLACE, edge, q)), plain)


@pytest.mark.parametrize("at", [3, len(OCTAVES) - 4])
def test_a_bell_at_the_end_of_a_curve_is_found_by_what_there_is(at):
    octaves = (np.arange(len(OCTAVES)) - at) / POINTS_PER_OCTAVE
    shifts, gains_db, log_qs, _ = fit_bells(at, (4.0 + bell_db(octaves - 0.001, 8.0, 20.0))[np.newaxis], 20.0)
    assert (shifts[0], gains_db[0], 2 ** log_qs[0]) == pytest.approx((0.001, 8.0, 20.0), rel=0.05)


# Counted; the last bits of another machine are far too small to add a step. Damping that grows or falls otherwise takes more.
@pytest.mark.parametrize(
    ("bell", "steps"), [((0.004, 6.0, 12.0, 3.0), 7), ((0.0, 9.0, 70.0, 0.0), 7), ((-0.006, 30.0, 9.0, -6.0), 10)]
)
def test_a_bell_is_found_in_few_steps(monkeypatch, bell, steps):
    made = []
    kept = bell_fit._slopes

    def counted(*asked):
        made.append(1)
        return kept(*asked)

    monkeypatch.setattr(bell_fit, "_slopes", counted)
    fit_bells(PLACE, drawn(*bell)[np.newaxis], 24.0)
    assert len(made) == steps


@pytest.mark.parametrize(
    ("gain_db", "q", "ends"),
    # Drawn beyond what a fit may be (0.5 to 40 dB, Q 3 to 100), it ends on the bound.
    [(55.0, 20.0, (40.0, None)), (0.1, 20.0, (0.5, None)), (15.0, 180.0, (None, 100.0)), (15.0, 1.5, (None, 3.0))],
)
def test_a_bell_beyond_the_bounds_ends_on_them(gain_db, q, ends):
    _, gains_db, log_qs, _ = fit_bells(PLACE, drawn(0.0, gain_db, q, 0.0)[np.newaxis], 24.0)
    for found, bound in zip((gains_db[0], 2 ** log_qs[0]), ends, strict=True):
        assert bound is None or found == pytest.approx(bound)


def test_a_place_is_left_by_a_fiftieth_of_an_octave_at_most():
    shifts, *_ = fit_bells(PLACE, np.array([drawn(0.05, 12.0, 20.0, 0.0), drawn(-0.05, 12.0, 20.0, 0.0)]), 20.0)
    assert shifts == pytest.approx([0.02, -0.02])
