"""What onsets lift and what different sounds share, on spectra made up so that the answer can be worked out on paper."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage
from scipy.cluster import vq

from stemwright.dsp.rings.grid import exceeded, least_near, local, onto_points, points_hz
from stemwright.dsp.rings.moments import NAMES, _sounds, moment_curves

BIN_HZ = 10.0
PER_OCTAVE = 120
POINTS_HZ = points_hz(9000.0, PER_OCTAVE)
RING, DRUM, TOM = 300, 150, 600  # bins


def windows(*peaks_db: dict[int, float]) -> np.ndarray:
    """Return one kept frame a sound: silence, the sound, and the sound 20 dB and 40 dB down; peaks over 0 dB, seven bins wide."""
    power = np.zeros((len(peaks_db), 4, 1000), np.float32)
    for number, peaks in enumerate(peaks_db):
        level = np.zeros(1000)
        for middle, height_db in peaks.items():
            level[middle - 3 : middle + 4] = height_db
        for window, down_db in enumerate((200, 0, 20, 40)):
            power[number, window] = 10 ** ((level - down_db) / 10)
    return power


def at(bin_number: int) -> int:
    return round(np.log2(bin_number * BIN_HZ / POINTS_HZ[0]) * PER_OCTAVE)


def curves(power):
    return moment_curves(power, POINTS_HZ, BIN_HZ, PER_OCTAVE)


def test_a_ring_is_in_every_sound_and_a_drums_own_tone_in_one():
    # The drum is hit seven times and the tom once: over time the drum's tone is nearly always there, over sounds it is not.
    hits = [{RING: 12.0, DRUM: 12.0}] * 7 + [{RING: 12.0, TOM: 12.0}]
    found = curves(windows(*hits))
    assert found["quarter"][at(DRUM)] > 8
    assert found["least_sound"][at(DRUM)] < 0.5
    assert found["least_sound"][at(RING)] > 8
    assert found["sounds_apart"][at(RING)] < 0.5 < found["sounds_apart"][at(DRUM)]


def test_the_third_from_below_of_eight_sounds_is_told():
    heights_db = (14.0, 4.0, 10.0, 6.0, 16.0, 8.0, 12.0, 18.0)
    hits = [{RING: height_db, 600 + 40 * number: 20.0} for number, height_db in enumerate(heights_db)]
    found = curves(windows(*hits))
    by_itself = [curves(windows(hit))["least_sound"][at(RING)] for hit in hits]
    assert found["least_sound"][at(RING)] == pytest.approx(min(by_itself), abs=1e-3)
    assert found["low_sound"][at(RING)] == pytest.approx(sorted(by_itself)[2], abs=1e-3)
    assert found["sounds_apart"][at(RING)] == pytest.approx(np.std(by_itself), abs=1e-3)


def test_a_long_note_is_not_in_what_comes_in():
    # A tone goes on at the same level in every window while hits come and go around it: nothing of it rises.
    power = windows(*[{RING: 12.0}] * 8)
    power[:, :, DRUM - 3 : DRUM + 4] = 1000.0
    found = curves(power)
    assert found["rise_floor"][at(RING)] > 8
    assert found["rise"][at(DRUM)] < -20
    assert found["floor"][at(DRUM)] > 8


def test_curves_do_not_depend_on_the_level():
    power = windows({RING: 9.0}, {TOM: 15.0}, {DRUM: 6.0})
    for name, curve in curves(power).items():
        assert curve == pytest.approx(curves(power * np.float32(1e-6))[name], abs=1e-3)


def test_a_sound_that_only_dies_away_has_no_onset_and_shows_what_it_holds():
    power = windows({RING: 12.0})[:, [1, 2, 3, 0]]
    found = curves(power)
    assert found["rise"] == pytest.approx(found["rise_floor"], abs=1e-3)
    assert found["rise"][at(RING)] > 8


@pytest.mark.parametrize("power", [np.zeros((3, 4, 1000), np.float32), np.ones((1, 4, 1000), np.float32)])
def test_silence_and_a_steady_sound_show_nothing(power):
    found = curves(power)
    assert tuple(found) == NAMES
    assert all(np.abs(curve[10:-10]).max() < 1e-3 for curve in found.values())


def test_shares_are_numpys_quantiles():
    rows = np.random.default_rng(3).normal(size=(23, 40)).astype(np.float32)
    for share, found in zip((0.03, 0.5, 0.95), exceeded(rows, (0.03, 0.5, 0.95)), strict=True):
        assert found == pytest.approx(np.quantile(rows.astype(float), share, axis=0), abs=1e-6)


def test_points_keep_a_slope_and_local_takes_it_out():
    # A straight line over bins that are steps is off by an eighth of a bin at each edge of a cell; local takes out any level.
    freq_hz = POINTS_HZ[POINTS_HZ > 300]
    rows = np.arange(1000.0)[np.newaxis] * BIN_HZ
    assert onto_points(rows, freq_hz, BIN_HZ, PER_OCTAVE)[0] == pytest.approx(freq_hz, abs=BIN_HZ / 4)
    assert np.abs(local(np.full((2, 500), -37.0), PER_OCTAVE)).max() < 1e-5


def test_groups_are_scipys():
    rng = np.random.default_rng(8)
    rows = (rng.normal(size=(12, 30)) * 6)[rng.integers(0, 12, 90)] + rng.normal(size=(90, 30))
    starts = [17]
    for _ in range(7):
        starts.append(int(np.argmax(np.min([((rows - rows[s]) ** 2).sum(axis=1) for s in starts], axis=0))))
    expected, _ = vq.kmeans2(rows, rows[starts], iter=5, minit="matrix")
    assert _sounds(rows.astype(np.float32), 17) == pytest.approx(expected, abs=1e-4)


def test_least_of_the_bins_near_is_scipys():
    level = np.random.default_rng(9).normal(size=(4, 300)).astype(np.float32)
    for size in (1, 3, 13, 15):
        assert np.array_equal(least_near(level, size), ndimage.minimum_filter1d(level, size, axis=1, mode="nearest"))


# What is loud counts from 100 Hz on, bin 10 of 10 Hz: sound in that bin alone is a sound, and in the one below it is none.
@pytest.mark.parametrize(("number", "heard"), [(10, True), (9, False)])
def test_a_sound_counts_from_a_hundred_hertz_on(number, heard):
    power = np.zeros((2, 4, 1000), np.float32)
    power[:, 1:, number] = 1.0
    assert any(curve.any() for curve in curves(power).values()) == heard
