"""The places where a front is covered: the order they are told in, what is one place, and what is too short to be one."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ, FRAMES_A_SECOND
from stemwright.plan.balance import _about, _heaviest, _inside, _is_one, _overlap, _places, _runs, judge
from stemwright.plan.beat import A_SECOND, Beat
from stemwright.plan.culprits import Culprit

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


class Found:
    """Stands for who covers: each stretch asked about is one stem's, and lies where it is said to lie."""

    def __init__(self, by, lies):
        self.by, self.lies = by, lies

    def culprits(self, place):
        stem = self.by(place)
        return (Culprit(stem=stem, raises=0.3, over_db=0.0),) if stem else ()

    def place(self, around, _):
        return self.lies.get((around.start, around.stop), around)


def steady(index, frames=1000):
    """Return a beat in which the front is heard by so much, by the definition of its index."""
    rest_db = -20.0 + 15.0 - 30.0 * index
    return Beat(
        {"keys": np.full((2 * frames, BANDS), 0.01), "pad": np.full((2 * frames, BANDS), 10.0 ** (rest_db / 10.0))},
        ["keys"],
        voice=False,
    )


# Two stretches that overlap, or touch, once it is known where the same stem covers are one, from the earlier start to the later end.
@pytest.mark.parametrize(
    ("lies", "stems", "places"),
    [
        ({(100, 200): (100, 320), (300, 400): (300, 400)}, "aa", [(100, 400)]),
        ({(100, 200): (100, 200), (300, 400): (200, 400)}, "aa", [(100, 400)]),
        ({(100, 200): (100, 500), (300, 400): (300, 400)}, "aa", [(100, 500)]),
        ({(100, 200): (150, 200), (300, 400): (90, 400)}, "aa", [(90, 400)]),
        ({(100, 200): (100, 200), (300, 400): (201, 400)}, "aa", [(100, 200), (201, 400)]),
        ({(100, 200): (100, 320), (300, 400): (300, 400)}, "ab", [(100, 320), (300, 400)]),
        ({}, ["a", None], [(100, 200), (300, 400)]),
    ],
)
def test_places_of_one_stem_that_overlap_are_one(lies, stems, places):
    who = {(100, 200): stems[0], (300, 400): stems[1]}
    ends = {where: slice(*lie) for where, lie in lies.items()}
    by = {**who, **{lie: who[where] for where, lie in lies.items()}, (100, 400): "a"}
    covering = Found(lambda place: by.get((place.start, place.stop), stems[0]), ends)
    # Nothing here is deep enough to be a place by what is left of it: the index is the median.
    found = _places(steady(0.5), covering, [slice(100, 200), slice(300, 400)], 0.5)
    assert [(place.start, place.stop) for place, _ in found] == places


# Of 300 frames one stem takes the middle: what is left to each side is a place of its own, of a second and as deep as one.
@pytest.mark.parametrize(
    ("middle", "median", "places"),
    [
        ((200, 300), 0.7, [(100, 200), (200, 300), (300, 400)]),
        ((140, 360), 0.7, [(140, 360)]),  # 40 frames to each side are under nine tenths of a second
        ((200, 300), 0.55, [(200, 300)]),  # and a twentieth is no drop
    ],
)
def test_what_is_left_beside_a_place_is_one_of_its_own(middle, median, places):
    covering = Found(lambda place: f"{place.start}", {(100, 400): slice(*middle)})
    found = _places(steady(0.5), covering, [slice(100, 400)], median)
    assert sorted((place.start, place.stop) for place, _ in found) == places


def index_of(*parts, frames=1000):
    """Return an index: so much in these frames, 0.9 elsewhere."""
    index = np.full(frames, 0.9)
    for start, end, value in parts:
        index[start:end] = value
    return index


# The stretch that is asked about is where a second's mean is low: the place itself may reach half a second beyond it to each side, and
# lies where the index is half way down from the song's to its own: of 100 frames of 0.5 and 40 of 0.74 that is (0.9 + 0.569) / 2.
@pytest.mark.parametrize(
    ("parts", "asked", "place"),
    [
        ([(300, 400, 0.5)], (305, 395), (300, 400)),
        ([(300, 400, 0.5)], (325, 375), (300, 400)),
        ([(300, 400, 0.5)], (326, 374), (301, 399)),
        ([(300, 400, 0.5), (280, 300, 0.74), (400, 420, 0.74)], (305, 395), (300, 400)),
        ([(300, 400, 0.5), (280, 300, 0.66), (400, 420, 0.66)], (305, 395), (280, 420)),
        ([(0, 100, 0.5)], (0, 95), (0, 100)),
        ([(900, 1000, 0.5)], (905, 1000), (900, 1000)),
    ],
)
def test_about_where_a_place_lies(parts, asked, place):
    found = _about(steady(0.5), index_of(*parts), 0.9, *asked)
    assert (found.start, found.stop) == place


def test_where_the_front_is_silent_beside_it_a_place_does_not_go_on():
    beat = SimpleNamespace(sounds=np.ones(1000, bool), total=np.zeros((1000, 1)), index_of=lambda *_: 0.5)
    beat.sounds[400:] = False
    index = index_of((300, 500, 0.5))
    found = _about(beat, index, 0.9, 305, 420)
    assert (found.start, found.stop) == (300, 400)


def levels(*parts, seconds=48.0):
    power = np.full((round(seconds * FRAMES_A_SECOND), BANDS), 1e-9)
    for start_s, end_s, db in parts:
        power[round(start_s * FRAMES_A_SECOND) : round(end_s * FRAMES_A_SECOND)] += 10.0 ** (db / 10.0)
    return power


# A loop leaves 0.65 of the front, 0.60 for 4 s of 16 and 0.70 for other 4 s: so 0.05 is usual, and a place falls by 2.5 times that,
# 0.125, and not by 0.10 alone. The pad in the 4 s that have 0.65 leaves what is said: of -20 dB an index i is rest at -5 - 30 i dB.
@pytest.mark.parametrize(("left", "places"), [(0.535, 0), (0.515, 1), (0.45, 1)])
def test_what_is_usual_is_what_a_third_of_the_time_deviates_by(left, places):
    loop_db = {0.60: -23.0, 0.65: -24.5, 0.70: -26.0}
    cycle = [(0.0, 4.0, 0.60), (4.0, 12.0, 0.65), (12.0, 16.0, 0.70)]
    loop = levels(*((at + start, at + end, loop_db[index]) for at in (0.0, 16.0, 32.0) for start, end, index in cycle))
    pad_db = 10.0 * np.log10(10.0 ** (-0.5 - 3.0 * left) - 10.0**-2.45)
    stems = {"keys": levels((0.0, 48.0, -20.0)), "loop": loop, "pad": levels((22.0, 26.0, pad_db))}
    assert len(judge(Beat(stems, ["keys"], voice=False)).covered) == places
