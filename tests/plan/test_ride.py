"""Which phrases are ridden and by how much, on powers whose answer can be worked out on paper."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ, FRAMES_A_SECOND
from stemwright.plan.ride import Phrase, phrases_of, points_of, ridden, spread_db

BANDS = len(CENTRES_HZ)


def sung(*phrases, seconds=20.0):
    """Return powers with phrases (from s, to s, dB) over silence."""
    power = np.zeros((round(seconds * FRAMES_A_SECOND), BANDS))
    for start_s, end_s, db in phrases:
        power[round(start_s * FRAMES_A_SECOND) : round(end_s * FRAMES_A_SECOND)] = 10.0 ** (db / 10.0)
    return power


def gains(power, **named):
    asked = {"track": np.full_like(power, 0.01), "keep": 0.0, "follow": 0.0, "at_most_db": 9.0} | named
    return [each.gain_db for each in ridden(power, **asked)]


# Arithmetic: 6 dB over the median is brought down by 6 dB less the 0.3 dB that nobody rides.
def test_a_phrase_of_three_tenths_of_a_second_is_ridden_and_a_shorter_one_goes_with_the_nearest():
    ends = [(1.0, 3.0, -30.0), (12.0, 14.0, -30.0)]
    assert gains(sung(ends[0], (6.0, 6.3, -24.0), ends[1])) == [0.0, -5.7, 0.0]
    assert gains(sung(ends[0], (6.0, 6.29, -24.0), ends[1])) == [0.0, 0.0, 0.0]


def test_what_is_kept_stays_and_what_is_more_than_allowed_is_not_done():
    power = sung((1.0, 3.0, -30.0), (6.0, 8.0, -24.0), (12.0, 14.0, -36.0), (16.0, 18.0, -30.0))
    assert gains(power) == [0.0, -5.7, 5.7, 0.0]
    assert gains(power, keep=0.5) == [0.0, -2.7, 2.7, 0.0]
    assert gains(power, at_most_db=2.0) == [0.0, -2.0, 2.0, 0.0]


# The track is 4 dB louder under the second phrase: half of that is followed, 2 dB less 0.3 dB.
def test_the_track_under_a_phrase_is_followed_in_part():
    power = sung((1.0, 3.0, -30.0), (6.0, 8.0, -30.0), (12.0, 14.0, -30.0))
    track = np.full_like(power, 0.01)
    track[550:850] *= 10.0**0.4
    assert gains(power, track=track, follow=0.5) == [0.0, 1.7, 0.0]


def test_one_phrase_has_no_other_to_be_held_against():
    assert ridden(sung((1.0, 3.0, -30.0)), sung(), 0.0, 0.0, 9.0) == []
    assert spread_db(sung((1.0, 3.0, -30.0))) == 0.0


def test_the_spread_is_the_standard_deviation_of_the_levels():
    power = sung((1.0, 3.0, -30.0), (6.0, 8.0, -24.0))
    assert spread_db(power) == pytest.approx(3.0)  # two values 6 dB apart: 3 dB from their mean


def test_a_pause_of_more_than_35_hundredths_parts_two_phrases():
    assert phrases_of(sung((1.0, 2.0, -30.0), (2.34, 3.0, -30.0))) == [(100, 300)]
    assert phrases_of(sung((1.0, 2.0, -30.0), (2.36, 3.0, -30.0))) == [(100, 200), (236, 300)]
    assert phrases_of(sung()) == []


# By the conventions: still from 50 ms before a phrase to 50 ms after it, there in 100 ms, and not over 0 dB in the pause.
def test_the_points_of_two_phrases_far_apart():
    found = points_of([Phrase(1.0, 2.0, 3.0), Phrase(5.0, 6.0, -2.0)], 1000)
    assert [point[:2] for point in found] == [
        (850, 0.0), (950, 3.0), (2050, 3.0), (2150, -2.0), (4850, -2.0), (4950, -2.0), (6050, -2.0), (6150, -2.0),
    ]  # fmt: skip
    assert [point[2] for point in found] == pytest.approx([10.0 ** (gain_db / 20.0) for _, gain_db, _ in found])
    assert points_of([Phrase(1.0, 2.0), Phrase(5.0, 6.0)], 1000) == ()
