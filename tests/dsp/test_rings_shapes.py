"""Bells on a logarithmic scale: the cookbook's, and fits of them that numpy's least squares give too."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.prototypes import magnitude_db
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, bell_db, near_fit, wide_height_db

NEAR_Q, WIDE_Q = (5, 8, 12, 17, 24, 34, 48, 68), (14, 20, 28, 40, 56)
HALVES = [round(POINTS_PER_OCTAVE * 1.44 / q * 1.6) for q in NEAR_Q]
CURVE = np.cumsum(np.random.default_rng(2).normal(size=400)) * 0.7
THIRD = POINTS_PER_OCTAVE // 3


@pytest.mark.parametrize(("gain_db", "q"), [(12.0, 20.0), (-6.0, 3.0), (0.5, 60.0)])
def test_a_bell_is_the_cookbooks(gain_db, q):
    octaves = np.linspace(-1.0, 1.0, 101)
    expected = magnitude_db("bell", {"freq_hz": 1000.0, "gain_db": gain_db, "q": q}, 1000.0 * 2.0**octaves)
    assert bell_db(octaves, gain_db, q) == pytest.approx(expected, abs=1e-9)


def least_squares(place, half, q, terms):
    """Return the height of the bell that fits best with a background of powers of the distance, and its height over its scatter."""
    octaves = np.arange(-half, half + 1) / POINTS_PER_OCTAVE
    bell = bell_db(octaves, 12.0, q) / 12.0
    columns = np.column_stack([bell, *((octaves / octaves[-1]) ** power for power in range(terms))])
    part = CURVE[place - half : place + half + 1]
    found, *_ = np.linalg.lstsq(columns, part, rcond=None)
    rest = part - columns @ found
    left = bell - columns[:, 1:] @ np.linalg.lstsq(columns[:, 1:], bell, rcond=None)[0]
    variance = rest @ rest / (len(part) - 5) + 1.5**2  # five things are fitted; a curve has 1.5 dB of scatter at least
    return found[0], found[0] * np.linalg.norm(left) / np.sqrt(variance)


def test_the_near_fit_is_the_clearest_bell_on_a_cubic():
    found, clearest = near_fit(CURVE), set()
    for place in range(120, 280, 3):
        fits = [least_squares(place, half, q, 4) for half, q in zip(HALVES, NEAR_Q, strict=True)]
        height_db, clearness = max(fits, key=lambda each: each[1])
        assert found.height_db[place] == pytest.approx(height_db)
        assert found.clearness[place] == pytest.approx(clearness)
        assert found.q[place] == NEAR_Q[fits.index((height_db, clearness))]
        clearest.add(int(found.q[place]))
    assert clearest == set(NEAR_Q)


def test_the_wide_height_is_of_the_highest_bell_on_a_constant():
    found, highest = wide_height_db(CURVE), set()
    for place in range(80, 320, 3):
        heights = [least_squares(place, THIRD, q, 1)[0] for q in WIDE_Q]
        assert found[place] == pytest.approx(max(heights))
        highest.add(int(np.argmax(heights)))
    assert highest == set(range(len(WIDE_Q)))


def test_a_bell_that_was_drawn_is_clearest_at_its_place():
    at = np.arange(900) - 450
    found = near_fit(30.0 - at / 100 + bell_db(at / POINTS_PER_OCTAVE, 12.0, 24.0))
    assert int(np.argmax(found.clearness)) == 450


def test_beyond_the_ends_the_wide_fit_takes_the_last_value():
    curve = np.concatenate([CURVE, np.full(3, 9.0)])
    longer = np.concatenate([np.full(THIRD, curve[0]), curve, np.full(THIRD, 9.0)])
    assert wide_height_db(curve) == pytest.approx(wide_height_db(longer)[THIRD:-THIRD], abs=1e-9)


@pytest.mark.parametrize("end", [0, -1])
def test_beyond_the_ends_the_near_fit_takes_the_curve_mirrored(end):
    longer = np.pad(CURVE, 200, mode="reflect")
    mirrored, found = near_fit(longer - longer.mean()), near_fit(CURVE)
    at = 200 if end == 0 else 200 + len(CURVE) - 1
    assert found.height_db[end] == pytest.approx(mirrored.height_db[at])
    assert found.clearness[end] == pytest.approx(mirrored.clearness[at])
