"""The stems of a song on one grid, and how much of a front is heard over the rest, by the conventions written out."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.audibility import IMPORTANCE, band_audibility, full_scale_db, spectrum_levels
from stemwright.dsp.bands import CENTRES_HZ
from stemwright.plan.beat import Beat, running

BANDS = len(CENTRES_HZ)
RNG = np.random.default_rng(3)


def power(frames, db):
    return 10.0 ** ((db + RNG.uniform(-6.0, 6.0, (frames, BANDS))) / 10.0)


@pytest.mark.parametrize(("rows", "frames"), [(20, 5), (20, 4), (7, 50), (1, 1), (12, 3)])
def test_a_running_mean_has_half_of_its_rows_before_and_none_beyond_the_ends(rows, frames):
    values = RNG.normal(size=(rows, 2))
    padded = np.pad(values, ((frames, frames), (0, 0)))
    expected = [padded[frames + at - frames // 2 : 2 * frames + at - frames // 2].mean(axis=0) for at in range(rows)]
    assert running(values, frames) == pytest.approx(np.array(expected))


def test_the_grid_is_of_20_ms_and_as_long_as_the_longest_stem():
    keys, pad, hat = power(101, -20.0), power(60, -20.0), power(7, -20.0)
    beat = Beat({"keys": keys, "pad": pad, "hat": hat}, ["keys"], voice=False)
    assert set(beat.others) == {"pad", "hat"}
    assert beat.total.shape == beat.own.shape == (51, BANDS)
    expected = np.zeros((102, BANDS))
    expected[:60] += pad
    expected[:7] += hat
    assert beat.total == pytest.approx(expected.reshape(51, 2, BANDS).mean(axis=1))
    assert beat.others["hat"][4:].max() == 0.0


def test_both_sides_of_a_pair_are_one_front():
    left, right = power(100, -20.0), power(100, -20.0)
    beat = Beat({"l": left, "r": right}, ["l", "r"], voice=False)
    assert beat.own[25] == pytest.approx((left + right).reshape(50, 2, BANDS).mean(axis=1).mean(axis=0) * 1.0)
    assert not beat.total.any()


# 25 dB under the level that a twentieth of the sounding frames are over.
@pytest.mark.parametrize(("down_db", "sounds"), [(24.9, True), (25.1, False)])
def test_a_front_sounds_down_to_25_db_under_its_loud_moments(down_db, sounds):
    front = np.full((400, BANDS), 0.01)
    front[200:] *= 10.0 ** (-down_db / 10.0)
    beat = Beat({"keys": front}, ["keys"], voice=False)
    assert beat.sounds[:100].all()
    assert bool(beat.sounds[100:].all()) == bool(beat.sounds[100:].any()) == sounds


def test_its_own_level_is_the_mean_over_ten_seconds_in_which_it_sounds():
    front = np.zeros((3000, BANDS))
    front[:500], front[1200:1300] = 0.01, 0.04
    beat = Beat({"keys": front}, ["keys"], voice=False)
    # About 5.5 s in, from 0.5 to 10.5 s, only the first 4.5 s sound; about 8 s in, 2 s of 0.01 (3 to 5 s) and 1 s of 0.04 do.
    assert beat.own[275, 0] == pytest.approx(0.01)
    assert beat.own[400, 0] == pytest.approx((2.0 * 0.01 + 1.0 * 0.04) / 3.0)
    assert beat.own[1000, 0] == 0.0


def test_of_an_instrument_a_band_is_heard_by_how_far_it_stands_out_of_30_db():
    # The definition: from 15 dB under the rest to 15 over it, weighted with the power to 0.3.
    own = np.array([1.0, 2.0, 4.0] + [0.0] * (BANDS - 3)) * 0.01
    beat = Beat({"keys": np.tile(own, (100, 1))}, ["keys"], voice=False)
    rest = np.tile(own, (50, 1))
    rest[:, 0] *= 10.0**1.2  # 12 dB over it: 3 of 30
    rest[:, 1] *= 10.0**-0.9  # 9 dB under it: 24 of 30
    rest[:, 2] *= 10.0**-2.0  # 20 dB under it: all
    weight = np.array([1.0, 2.0, 4.0]) ** 0.3
    assert beat.audible(rest)[10, :3] == pytest.approx(np.array([0.1, 0.8, 1.0]) * weight / weight.sum())
    assert beat.audible(rest * 100.0)[10, 0] == 0.0
    assert beat.audible(rest[3:8], slice(3, 8)).shape == (5, BANDS)


def test_of_a_voice_it_is_the_index_of_the_calibrated_voice():
    front, rest = power(100, -30.0), power(50, -32.0)
    beat = Beat({"voice": front, "pad": power(100, -40.0)}, ["voice"], voice=True)
    own = front.reshape(50, 2, BANDS).mean(axis=1)
    scale_db = full_scale_db(own)
    assert beat.scale_db == pytest.approx(scale_db)
    steady = np.tile(own.mean(axis=0), (50, 1))
    expected = band_audibility(spectrum_levels(steady, scale_db), spectrum_levels(rest, scale_db)) * IMPORTANCE
    assert beat.audible(rest) == pytest.approx(expected)


def test_an_index_counts_where_the_front_sounds():
    front = np.full((200, BANDS), 0.01)
    front[100:] = 0.0
    beat = Beat({"keys": front}, ["keys"], voice=False)
    rest = np.full((100, BANDS), 0.01)
    rest[25:50] = 0.1
    # As loud as the rest is half, 10 dB under it 5 of 30: half of the frames each; where it is silent nothing counts.
    assert beat.index_of(rest, slice(0, 100)) == pytest.approx((0.5 + 5 / 30) / 2)
    assert beat.index_of(rest[60:80], slice(60, 80)) == 0.0


@pytest.mark.parametrize("frames", [0, 100])
def test_a_front_that_never_sounds_is_nowhere_heard(frames):
    beat = Beat({"voice": np.zeros((frames, BANDS)), "pad": power(frames, -20.0)}, ["voice"], voice=True)
    assert not beat.sounds.any()
    assert beat.scale_db == 0.0
    assert beat.index_of(beat.total, slice(0, frames // 2)) == 0.0
