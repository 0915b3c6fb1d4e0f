"""The places where a front is covered: the order they are told in, what is one place, and what is too short to be one."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ, FRAMES_A_SECOND
from stemwright.plan.balance import judge
from stemwright.plan.beat import A_SECOND, Beat

BANDS = len(CENTRES_HZ)


def covered(*places, seconds=40.0, db=-20.0):
    """Return what is said of a steady front at -20 dB a band, with a pad as loud as `db` in the places and faint elsewhere."""
    frames = round(seconds * FRAMES_A_SECOND)
    front, pad = np.full((frames, BANDS), 0.01), np.full((frames, BANDS), 0.0001)
    for start_s, end_s in places:
        pad[round(start_s * FRAMES_A_SECOND) : round(end_s * FRAMES_A_SECOND)] = 10.0 ** (db / 10.0)
    return judge(Beat({"keys.wav": front, "pad.wav": pad}, ["keys.wav"], voice=False)).covered


def test_of_two_covers_alike_the_longer_one_is_told_first_wherever_it_is():
    for places in ([(5.0, 9.0), (25.0, 27.0)], [(5.0, 7.0), (25.0, 29.0)]):
        spans = [each.end_s - each.start_s for each in covered(*places)]
        assert spans == pytest.approx([4.0, 2.0], abs=0.2)


def test_a_place_is_where_the_cover_is_and_names_it():
    (place,) = covered((10.0, 13.0))
    assert (place.start_s, place.end_s) == pytest.approx((10.0, 13.0), abs=0.05)
    assert [each.stem for each in place.culprits] == ["pad.wav"]
    # The pad lies as loud as the front in every band: 0 dB over it; the index by its definition there is half of 30 dB.
    assert place.culprits[0].over_db == pytest.approx(0.0, abs=0.1)
    assert place.index == pytest.approx(0.5, abs=0.01)
    # Elsewhere the front lies 20 dB over the pad, which is more than 15: all of it is heard.
    assert place.drop == pytest.approx(0.5, abs=0.01)


def test_a_cover_of_under_a_second_is_no_place():
    assert covered((10.0, 10.7)) == ()


def test_a_balance_without_a_cover_has_no_place_and_a_front_that_never_sounds_no_median():
    assert covered() == ()
    silent = Beat({"keys.wav": np.zeros((500, BANDS)), "pad.wav": np.full((500, BANDS), 0.01)}, ["keys.wav"], voice=False)
    assert judge(silent).median is None


def test_half_a_second_in_which_the_cover_pauses_does_not_part_a_place():
    assert len(covered((10.0, 12.0), (12.3, 14.0))) == 1
    assert len(covered((10.0, 12.0), (16.0, 18.0))) == 2
    assert A_SECOND == 50  # frames of 20 ms
