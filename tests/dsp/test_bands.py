"""Bands: what a sound holds moment by moment, with silence in it."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.bands import AT_ONCE, CENTRES_HZ, EDGES_HZ, ERB_NUMBERS, WIDTHS_HZ, BandMeter, kept, powers

RATE_HZ = 48_000


def heard(sound):
    meter = BandMeter(RATE_HZ, 1)
    for start in range(0, len(sound), 65_536):
        meter.feed(sound[start : start + 65_536])
    return meter.finish()


def test_silence_between_two_sounds_is_zero_and_changes_neither():
    # Property: where no window reaches the sound there is nothing, and what is passed over there moves nothing else.
    sound = np.random.default_rng(3).standard_normal((RATE_HZ, 1)) * 0.1
    gap = np.zeros((3 * RATE_HZ, 1))
    found, alone = heard(np.concatenate([sound, gap, sound])), heard(sound)
    assert not found[110:390].any()
    assert np.array_equal(found[5:95], alone[5:95])
    assert np.array_equal(found[405:495], alone[5:95])


# By the conventions a window is 40 ms rounded to a power of two: 256 samples at 8 kHz, 32 ms, so 16 ms to each side.
def test_at_a_low_rate_a_click_is_heard_no_longer_than_the_window_is():
    meter = BandMeter(8_000, 1)
    sound = np.zeros((8_000, 1))
    sound[4_000] = 1.0
    meter.feed(sound)
    heard_at = np.flatnonzero(meter.finish().any(axis=1))
    assert (heard_at.min(), heard_at.max()) == (49, 51)


# By the conventions a level is kept in half decibels from -110 dB up: what comes back is off by a quarter of one at most.
def test_what_is_kept_of_a_level_is_right_to_a_quarter_of_a_decibel():
    level_db = np.linspace(-109.0, 17.0, 1000)
    back_db = 10 * np.log10(powers(kept(10 ** (level_db / 10))[:, np.newaxis]))[:, 0]
    assert np.abs(back_db - level_db).max() == pytest.approx(0.25, abs=0.01)
    assert powers(kept(np.array([[0.0, 1e-12]]))).tolist() == [[0.0, 0.0]]


# White noise of 0.1 has 0.01 of power, spread evenly up to half the rate: a band has its width's share of it. Means of 20 s; the
# narrowest band sees 27 Hz of it, whose mean over 20 s has a standard error of 1 / sqrt(27 * 20) = 0.19 dB.
@pytest.mark.parametrize("rate_hz", [22_050, 48_000])
def test_a_band_of_noise_has_its_widths_share_and_one_above_half_the_rate_none(rate_hz):
    meter = BandMeter(rate_hz, 2)
    meter.feed(np.random.default_rng(1).standard_normal((20 * rate_hz, 2)) * 0.1)
    found = powers(meter.finish()).astype(np.float64).mean(axis=0)
    inside = np.clip(rate_hz / 2 - EDGES_HZ[:-1], 0.0, WIDTHS_HZ)
    there = inside > 0.0
    expected_db = 10 * np.log10(0.01 * inside[there] / (rate_hz / 2))
    assert 10 * np.log10(found[there]) == pytest.approx(expected_db, abs=0.6)
    assert not found[~there].any()
    assert there.all() == (rate_hz == 48_000)


def test_bands_lie_on_the_erb_scale():
    # Glasberg & Moore (1990): ERB number = 21.4 lg(4.37 f/kHz + 1), ERB = 24.7 (4.37 f/kHz + 1) Hz.
    assert ERB_NUMBERS[[0, -1]].tolist() == [2.0, 40.0]
    assert 21.4 * np.log10(4.37 * CENTRES_HZ / 1000 + 1) == pytest.approx(ERB_NUMBERS)
    assert CENTRES_HZ[[0, -1]] == pytest.approx([55.0, 16_700.0], rel=0.01)
    assert pytest.approx(24.7 * (4.37 * CENTRES_HZ / 1000 + 1), rel=0.01) == WIDTHS_HZ
    assert 21.4 * np.log10(4.37 * EDGES_HZ / 1000 + 1) == pytest.approx(np.arange(1.5, 41.0))


def plainly(sound, rate_hz):
    """Return the powers of every frame: a Hann window of a power of two near 40 ms, power of a bin spread evenly over its width."""
    size = 2 ** round(np.log2(0.04 * rate_hz))
    window = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(size) / size)
    padded = np.pad(sound, ((size, 2 * size), (0, 0)))
    rows = []
    for number in range(-(-len(sound) * 100 // rate_hz)):
        middle = size + round(number * rate_hz / 100)
        part = padded[middle - size // 2 : middle + size // 2] * window[:, np.newaxis]
        power = (np.abs(np.fft.rfft(part, axis=0)) ** 2).mean(axis=1) * 2.0 / (size * np.sum(window**2))
        power[[0, -1]] /= 2.0
        edges_hz = (np.arange(len(power) + 1) - 0.5) * rate_hz / size
        rows.append(np.diff(np.interp(EDGES_HZ, edges_hz, np.concatenate([[0.0], np.cumsum(power)]))))
    return np.array(rows)


@pytest.mark.parametrize(("rate_hz", "channels"), [(8_000, 1), (22_050, 2), (44_100, 3), (48_000, 2), (96_000, 1)])
@pytest.mark.parametrize("size", [10**6, 777])
def test_powers_are_those_of_windows_put_down_plainly(rate_hz, channels, size):
    sound = np.random.default_rng(4).standard_normal((round(0.73 * rate_hz), channels)) * np.linspace(0.01, 0.4, channels)
    meter = BandMeter(rate_hz, channels)
    for start in range(0, len(sound), size):
        meter.feed(sound[start : start + size])
    found, expected = powers(meter.finish()), plainly(sound, rate_hz)
    assert found.shape == expected.shape == (73, 39)
    off_db = 10 * np.log10(np.maximum(found, 1e-11) / np.maximum(expected, 1e-11))
    assert np.abs(off_db).max() < 0.26


def test_white_noise_has_its_power_in_all_bands_together():
    # Parseval: the bands reach from 44 Hz to 17.7 kHz of 24 kHz.
    found = powers(heard(np.random.default_rng(6).standard_normal((RATE_HZ, 1)) * 0.1))
    share = (EDGES_HZ[-1] - EDGES_HZ[0]) / (RATE_HZ / 2)
    assert 10 * np.log10(found[10:90].sum(axis=1).mean()) == pytest.approx(10 * np.log10(0.01 * share), abs=0.2)


def test_no_sound_has_no_frames():
    assert BandMeter(RATE_HZ, 2).finish().shape == (0, 39)


# By the conventions half decibels from -110 dB to +17.5; what is below is 0, what is above stays at the most.
@pytest.mark.parametrize(
    ("level_db", "step"), [(-110.3, 0), (-109.74, 1), (-109.3, 1), (0.0, 220), (17.5, 255), (40.0, 255)]
)
def test_a_level_has_its_step(level_db, step):
    assert kept(np.array([10 ** (level_db / 10)])).tolist() == [step]
    assert powers(np.array([step], np.uint8))[0] == pytest.approx(0.0 if step == 0 else 10 ** ((step / 2 - 110) / 10))


# What is silent is passed over, several frames at once: a burst of 2 ms is heard in the frames whose windows it lies in all the same.
@pytest.mark.parametrize("frame", [*range(12), 60, 61, 62, 63, 64, 65, 66])
def test_a_burst_in_silence_is_heard_wherever_it_lies(frame):
    sound = np.zeros((RATE_HZ, 1))
    sound[frame * 480 + 300 : frame * 480 + 396] = 0.5
    found, expected = powers(heard(sound)), plainly(sound, RATE_HZ)
    assert np.abs(10 * np.log10(np.maximum(found, 1e-11) / np.maximum(expected, 1e-11))).max() < 0.26


def test_what_was_heard_is_held_no_longer():
    meter = BandMeter(RATE_HZ, 1)
    for _ in range(20):
        meter.feed(np.ones((RATE_HZ, 1)))
        assert meter._held.shape[1] <= (AT_ONCE + 5) * 480  # frames not heard yet, and half a window before them
