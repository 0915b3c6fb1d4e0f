"""The bell that is fitted round a place, against the one that was drawn and against scipy's solver."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import optimize

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
