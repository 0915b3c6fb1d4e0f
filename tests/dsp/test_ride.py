"""Ride: a gain that stands still on its points, moves smoothly between them, and does not depend on blocks."""

from __future__ import annotations

import numpy as np

from stemwright.dsp.ride import Ridden, factors

POINTS = [(100, 1.0), (200, 2.0), (300, 2.0), (400, 0.5)]


def test_before_on_and_after_its_points_it_stands_still():
    found = factors(POINTS, 0, 600)
    assert (found[:101] == 1.0).all()
    assert (found[200:301] == 2.0).all()
    assert (found[400:] == 0.5).all()


def test_half_way_between_two_points_it_is_half_way():
    assert factors(POINTS, 150, 1)[0] == 1.5  # 3 t^2 - 2 t^3 is 1/2 at t = 1/2
    assert factors(POINTS, 350, 1)[0] == 1.25


def test_block_size_does_not_show():
    sound = np.random.default_rng(1).standard_normal((600, 2))
    stage = Ridden(POINTS)
    parts = [stage.process(sound[start:end]) for start, end in ((0, 1), (1, 150), (150, 333), (333, 600))]
    assert np.array_equal(np.concatenate(parts), Ridden(POINTS).process(sound))


def test_a_ride_without_points_is_a_wire():
    sound = np.ones((5, 1))
    assert np.array_equal(Ridden([]).process(sound), sound)


def test_a_stretch_from_anywhere_is_a_part_of_the_whole():
    whole = factors(POINTS, 0, 900)
    for start in (0, 50, 150, 250, 350, 450):
        assert np.array_equal(factors(POINTS, start, 900 - start), whole[start:])
