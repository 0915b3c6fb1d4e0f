"""Factors as rows of sections: the same polynomial, poles beside their zeros, gain where it is wanted; levels against scipy."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from scipy import signal

from stemwright.dsp.fit import Factors, Shape
from stemwright.dsp.rows import _matched, assemble, close_dc, rows_db, spread

OMEGA = np.linspace(0.05, 3.1, 60)
PHI = np.sin(OMEGA / 2.0) ** 2


def pair(radius, angle):
    """Return ``s`` and ``d`` of a factor with roots at a radius and an angle, and its polynomial."""
    c1, c2 = -2.0 * radius * np.cos(angle), radius * radius
    return (1.0 + c1 + c2, 1.0 - c2), np.array([1.0, c1, c2])


def response_db(rows):
    _, response = signal.sosfreqz(rows, worN=OMEGA)
    return 20.0 * np.log10(np.abs(response))


def test_rows_are_the_factors_multiplied():
    tops, bottoms = [pair(0.9, 0.3), pair(0.5, 2.0)], [pair(0.95, 0.32), pair(0.2, 1.0), pair(0.7, 2.2)]
    shape = Shape(1, 2, 3, top_singles=2, bottom_singles=1)
    singles = [1.0 - 0.4, 1.0 + 0.3, 1.0 - 0.7]
    rows = assemble(shape, Factors(0.0, np.array([each[0] for each in tops + bottoms]), np.array(singles)))
    top = bottom = np.array([1.0])
    for polynomial in [each[1] for each in tops] + [np.array(each) for each in ((1.0, -1.0), (1.0, -0.4), (1.0, 0.3))]:
        top = np.convolve(top, polynomial)
    for polynomial in [each[1] for each in bottoms] + [np.array((1.0, -0.7))]:
        bottom = np.convolve(bottom, polynomial)
    _, expected = signal.freqz(top, bottom, worN=OMEGA)
    assert response_db(rows) == pytest.approx(20.0 * np.log10(np.abs(expected)), abs=1e-9)
    assert rows[:, [0, 3]].tolist() == [[1.0, 1.0]] * 4


def test_poles_nearest_the_circle_come_last_each_with_the_zeros_nearest_to_it():
    # The order that scipy.signal.zpk2sos documents for its sections, and for the same reason.
    close, mid, far = pair(0.98, 0.5), pair(0.7, 1.5), pair(0.3, 2.5)
    near_close, near_mid, near_far = pair(0.9, 0.52), pair(0.65, 1.45), pair(0.35, 2.4)
    factors = [near_mid, near_far, near_close, far, close, mid]
    rows = assemble(Shape(0, 3, 3), Factors(0.0, np.array([each[0] for each in factors]), np.zeros(0)))
    expected = [np.concatenate([b[1], a[1]]) for b, a in ((near_far, far), (near_mid, mid), (near_close, close))]
    assert rows == pytest.approx(np.array(expected), abs=1e-12)


def test_zeros_without_poles_and_poles_without_zeros_have_ones_beside_them():
    zeros, poles = [pair(0.9, 0.3), pair(0.8, 1.0)], [pair(0.9, 0.35), pair(0.8, 1.1)]
    more_zeros = assemble(Shape(0, 2, 1), Factors(0.0, np.array([each[0] for each in (*zeros, poles[0])]), np.zeros(0)))
    assert more_zeros[0] == pytest.approx([1.0, *zeros[1][1][1:], 1.0, 0.0, 0.0])
    more_poles = assemble(Shape(0, 1, 2), Factors(0.0, np.array([each[0] for each in (zeros[0], *poles)]), np.zeros(0)))
    assert more_poles[0] == pytest.approx([1.0, 0.0, 0.0, 1.0, *poles[1][1][1:]])


ROWS = np.array([[1.0, -0.3, 0.2, 1.0, -1.2, 0.5], [1.0, 0.5, 0.1, 1.0, 0.2, 0.3], [1.0, -0.9, 0.0, 1.0, -0.6, 0.0]])


def test_levels_of_rows_are_scipys():
    louder = ROWS.copy()
    louder[1, :3] *= 2.5
    assert rows_db(louder, PHI) == pytest.approx(response_db(louder), abs=1e-9)
    assert rows_db(np.array([[1.0, -1.0, 0.0, 1.0, 0.0, 0.0]]), np.array([0.0]))[0] == -np.inf


@pytest.mark.parametrize("phi", [0.0, 1.0])
def test_gain_is_spread_so_that_all_rows_but_the_first_have_none_at_the_reference(phi):
    rows = spread(ROWS, 3.0, phi)
    for row in rows[1:]:
        assert rows_db(row[np.newaxis], np.array([phi]))[0] == pytest.approx(0.0, abs=1e-9)
    assert response_db(rows) == pytest.approx(response_db(ROWS) + 20.0 * np.log10(3.0), abs=1e-9)


def test_without_a_reference_the_first_row_has_all_of_the_gain():
    rows = spread(ROWS, 3.0, None)
    assert rows[0] == pytest.approx(ROWS[0] * [3.0, 3.0, 3.0, 1.0, 1.0, 1.0])
    assert np.array_equal(rows[1:], ROWS[1:])
    assert ROWS[0, 0] == 1.0


def sum_of(row):
    return sum(Fraction(value) for value in row[:3].tolist())


@pytest.mark.parametrize("gain", [0.3, 1.0, 1.7, 5.1])
def test_a_zero_that_rounding_moved_from_0_hz_is_put_back_exactly(gain):
    other = 0.31
    row = np.array([[gain, -gain * (1.0 + other), gain * other + 2e-16 * gain, 1.0, -1.2, 0.5]])
    closed = close_dc(row)
    assert sum_of(closed[0]) == 0
    # 48 bits of the largest: the rest of the row moves by half of such a step at most.
    assert np.abs(closed - row).max() <= gain * 2.0**-47
    assert closed[0, 1] == -(closed[0, 0] + closed[0, 2])


def test_a_row_without_a_zero_at_0_hz_stays_as_it_is():
    for away in (2e-12, 1e-6):
        row = np.array([[1.0, -1.31 + away, 0.31, 1.0, -1.2, 0.5]])
        assert np.array_equal(close_dc(row), row)


def test_what_48_bits_hold_is_kept_as_it_is():
    # 1.75 + 2^-47 has its last bit 48 places after its first.
    first, last = 1.75 + 2.0**-47, 0.53125
    closed = close_dc(np.array([[first, -(first + last) + 1e-15, last, 1.0, -1.2, 0.5]]))
    assert closed[0, :3].tolist() == [first, -(first + last), last]


# The nearest by the distance of both coefficients: 0.4 and 0.2 away (0.2 squared) is nearer than 0.5 in one of them (0.25).
@pytest.mark.parametrize("far", [(-1.0, 0.8), (-0.5, 0.3)])
def test_the_nearest_zeros_are_so_by_both_coefficients(far):
    near = (-0.6, 0.5) if far[0] == -1.0 else (-0.8, 0.7)
    pole = (-1.0, 0.3)
    assert _matched([far, near], [pole])[-1] == (near, pole)
