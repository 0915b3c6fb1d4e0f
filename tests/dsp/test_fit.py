"""The fit under every design: its levels, its slopes, what it reaches, and how much work that takes."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from stemwright.dsp import fit as fits
from stemwright.dsp.fit import Factors, FitTarget, Shape, fit, pair_power

OMEGA = np.geomspace(0.01, 3.1, 80)
PHI = np.sin(OMEGA / 2.0) ** 2
SHAPES = [Shape(0, 1, 1), Shape(2, 0, 1), Shape(1, 1, 1, 1, 2), Shape(3, 2, 1, 0, 1), Shape(0, 3, 2, 2, 1)]


def drawn(shape, seed):
    """Return factors of a shape with all roots inside the unit circle, as c1 and c2, and the response that scipy gives them."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(shape.top_pairs + shape.bottom_pairs):
        c2 = rng.uniform(-0.6, 0.9)
        rows.append((rng.uniform(-0.95, 0.95) * (1.0 + c2), c2))
    singles = rng.uniform(-0.8, 0.8, shape.top_singles + shape.bottom_singles)
    top, bottom = [np.array([1.0])], [np.array([1.0])]
    top += [np.array([1.0, -1.0])] * shape.zeros_at_one
    for number, (c1, c2) in enumerate(rows):
        (top if number < shape.top_pairs else bottom).append(np.array([1.0, c1, c2]))
    for number, c1 in enumerate(singles):
        (top if number < shape.top_singles else bottom).append(np.array([1.0, c1]))
    pairs = np.array([(1.0 + c1 + c2, 1.0 - c2) for c1, c2 in rows]).reshape(-1, 2)
    product = [np.array([1.0]), np.array([1.0])]
    for side, polynomials in enumerate((top, bottom)):
        for one in polynomials:
            product[side] = np.convolve(product[side], one)
    _, response = signal.freqz(*product, worN=OMEGA)
    return Factors(0.0, pairs, 1.0 + singles), 20.0 * np.log10(np.abs(response))


def model_of(shape, level_db=None, weight=None):
    wanted = np.zeros(len(PHI)) if level_db is None else level_db
    return fits._Model(shape, FitTarget(PHI, wanted, np.ones(len(PHI)) if weight is None else weight))


@pytest.mark.parametrize("seed", range(5))
def test_a_pairs_power_is_that_of_its_polynomial(seed):
    c1, c2 = np.random.default_rng(seed).uniform(-1.0, 1.0, 2)
    _, response = signal.freqz([1.0, c1, c2], worN=OMEGA)
    assert pair_power(1.0 + c1 + c2, 1.0 - c2, PHI) == pytest.approx(np.abs(response) ** 2, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("shape", SHAPES)
def test_levels_are_what_scipy_gives_the_same_polynomials(shape):
    factors, expected_db = drawn(shape, 7)
    wanted = np.linspace(-3.0, 5.0, len(PHI))
    model = model_of(shape, wanted)
    theta = model.free(factors)
    error, _ = model._levels(theta)
    assert error - theta[0] == pytest.approx(expected_db - wanted, abs=1e-6)


@pytest.mark.parametrize("shape", SHAPES)
def test_slopes_are_differences_of_levels(shape):
    model = model_of(shape)
    theta = model.free(drawn(shape, 3)[0]) + 0.1
    _, slopes = model._levels(theta)
    for number in range(len(theta)):
        step = np.zeros(len(theta))
        step[number] = 1e-5
        difference = (model._levels(theta + step)[0] - model._levels(theta - step)[0]) / 2e-5
        assert slopes[number] == pytest.approx(difference, rel=1e-5, abs=1e-5)


@pytest.mark.parametrize("shape", SHAPES)
def test_free_parameters_are_the_factors_again_and_begin_at_the_best_gain(shape):
    factors, _ = drawn(shape, 5)
    weight = np.linspace(0.1, 1.0, len(PHI))
    model = model_of(shape, np.linspace(-2.0, 4.0, len(PHI)), weight)
    theta = model.free(factors)
    back = model.factors(theta)
    assert back.pairs == pytest.approx(factors.pairs, rel=1e-6, abs=1e-9)
    assert back.singles == pytest.approx(factors.singles, rel=1e-6)
    assert back.gain_db == theta[0]
    # Least squares of a constant: its weighted mean error is nothing.
    assert np.sum(weight**2 * model._levels(theta)[0]) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("shape", SHAPES)
def test_a_curve_that_factors_have_is_found_from_near_it(shape):
    factors, wanted_db = drawn(shape, 11)
    near = Factors(0.0, factors.pairs * [1.05, 0.97], factors.singles * 1.04)
    found, worst_db = fit(shape, near, FitTarget(PHI, wanted_db + 6.0, np.ones(len(PHI))), 1e-4)
    assert worst_db <= 1e-4
    assert found.gain_db == pytest.approx(6.0, abs=1e-2)
    model = model_of(shape, wanted_db + 6.0)
    theta = model.free(found)
    theta[0] = found.gain_db
    assert np.abs(model._levels(theta)[0]).max() == pytest.approx(worst_db, abs=1e-7)


def test_what_is_no_curve_of_these_factors_ends_with_errors_of_one_size():
    """Chebyshev's equal ripple: least maximum error shows as several extremes of one size; plain least squares has one."""
    wanted = 3.0 * np.tanh(3.0 * np.log(OMEGA))
    shape = Shape(0, 1, 1)
    start = Factors(0.0, np.array([[0.5, 0.6], [0.6, 0.6]]), np.zeros(0))
    target = FitTarget(PHI, wanted, np.ones(len(PHI)))
    model = fits._Model(shape, target)
    _, plain = model.descend(model.free(start), target.weight, 0.0)
    _, worst_db = fit(shape, start, target, 0.5 * float(np.abs(plain).max()))
    assert worst_db < 0.8 * np.abs(plain).max()


def test_what_is_hopeless_is_not_tried_again():
    shape, target = Shape(0, 1, 1), FitTarget(PHI, 20.0 * np.sin(20.0 * OMEGA), np.ones(len(PHI)))
    start = Factors(0.0, np.array([[0.5, 0.6], [0.6, 0.6]]), np.zeros(0))
    assert rounds(shape, start, target, 0.002) == 1


def rounds(shape, start, target, goal_db):
    """Return how many descents a fit makes."""
    made = []
    kept = fits._Model.descend

    def counted(self, *asked):
        made.append(1)
        return kept(self, *asked)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fits._Model, "descend", counted)
        fit(shape, start, target, goal_db)
    return len(made)
