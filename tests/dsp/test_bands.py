"""Bands: what a sound holds moment by moment, with silence in it."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.bands import EDGES_HZ, WIDTHS_HZ, BandMeter, kept, powers

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
