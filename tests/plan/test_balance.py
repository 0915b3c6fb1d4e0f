"""The places where a front is covered: the order they are told in, what is one place, and what is too short to be one."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ, FRAMES_A_SECOND
from stemwright.plan.balance import _heaviest, _inside, _is_one, _overlap, _runs, judge
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


# Gaps of up to half a second (25 frames of 20 ms) are made one with what is around them.
@pytest.mark.parametrize(
    ("under", "runs"),
    [
        ([], []), ([3], [(3, 4)]), ([3, 4, 5], [(3, 6)]), ([3, 28], [(3, 29)]), ([3, 29], [(3, 4), (29, 30)]),
        ([0, 1, 40, 41, 60], [(0, 2), (40, 61)]),
    ],
)  # fmt: skip
def test_runs_of_frames(under, runs):
    frames = np.zeros(100, bool)
    frames[under] = True
    assert _runs(frames) == runs


@pytest.mark.parametrize("seed", range(12))
def test_the_heaviest_stretch_is_the_one_that_trying_all_finds(seed):
    gain = np.random.default_rng(seed).integers(-3, 4, 30).astype(float)
    low, high = _heaviest(gain)
    best = max(gain[start:end].sum() for start in range(30) for end in range(start, 31))
    assert gain[low:high].sum() == best


def test_where_nothing_weighs_anything_the_heaviest_is_empty():
    assert _heaviest(np.full(5, -1.0)) == (0, 0)
    assert _heaviest(np.zeros(0)) == (0, 0)


@pytest.mark.parametrize(
    ("part", "inside"), [((2, 5), True), ((0, 5), True), ((2, 9), True), ((0, 9), False), ((-1, 5), False), ((2, 10), False)]
)
def test_a_part_is_shorter_than_the_whole(part, inside):
    assert _inside(slice(*part), slice(0, 9)) == inside


@pytest.mark.parametrize(
    ("other", "there"), [((5, 9), True), ((6, 9), False), ((0, 2), True), ((0, 1), False), ((3, 4), True)]
)
def test_stretches_that_touch_overlap(other, there):
    assert _overlap(slice(2, 5), slice(*other)) == there
    assert _overlap(slice(*other), slice(2, 5)) == there


# A drop of a tenth is the least: a pad so loud that 3 dB of 30 are lost, and a little more or less.
@pytest.mark.parametrize(("lost", "places"), [(0.09, 0), (0.12, 1)])
def test_a_place_falls_a_tenth_under_the_median(lost, places):
    # All of the front is heard at 15 dB over the rest.
    assert len(covered((10.0, 13.0), db=-20.0 - 15.0 + 30.0 * lost)) == places


@pytest.mark.parametrize(("seconds", "places"), [(0.8, 0), (1.2, 1)])
def test_a_place_lasts_a_second(seconds, places):
    assert len(covered((10.0, 10.0 + seconds))) == places


def test_the_worst_is_deep_and_long():
    # 4 s of 0.2 weigh more than 1.5 s of 0.5.
    frames = 4000
    front, pad = np.full((frames, BANDS), 0.01), np.full((frames, BANDS), 0.0001)
    pad[500:650], pad[2000:2400] = 10.0**-2.0, 10.0**-2.9
    found = judge(Beat({"keys.wav": front, "pad.wav": pad}, ["keys.wav"], voice=False))
    assert [round(each.start_s) for each in found.covered] == [20, 5]
    assert found.median == pytest.approx(1.0)
    assert [each.drop for each in found.covered] == pytest.approx([0.2, 0.5], abs=0.01)
    # Brought back to no further than 0.07 under the median, in half decibels: 3.9 dB of 6, and 12.9 of 15, of which 9 are allowed.
    assert [(each.cure.gain_db, each.cure.enough) for each in found.covered] == [(-4.0, True), (-9.0, False)]


# Nine tenths of a second, 45 frames, are near enough to one: an edge lies where the index is half way.
@pytest.mark.parametrize(("frames", "one"), [(44, False), (45, True)])
@pytest.mark.parametrize(("drop", "deep"), [(0.099, False), (0.101, True)])
def test_a_place_is_long_and_deep_enough_to_be_one(frames, one, drop, deep):
    front, pad = np.full((1000, BANDS), 0.01), np.full((1000, BANDS), 0.01)
    beat = Beat({"keys.wav": front, "pad.wav": pad}, ["keys.wav"], voice=False)
    # As loud as the front the pad leaves an index of a half.
    assert _is_one(beat, slice(100, 100 + frames), 0.5 + drop) == (one and deep)


def test_where_the_front_does_not_sound_is_no_place():
    front, pad = np.full((1000, BANDS), 0.01), np.full((1000, BANDS), 0.01)
    front[:400] = 0.0
    beat = Beat({"keys.wav": front, "pad.wav": pad}, ["keys.wav"], voice=False)
    assert not _is_one(beat, slice(50, 150), 1.0)
    assert _is_one(beat, slice(250, 350), 1.0)
