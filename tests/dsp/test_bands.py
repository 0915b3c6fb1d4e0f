"""Bands: what a sound holds moment by moment, with silence in it."""

from __future__ import annotations

import numpy as np

from stemwright.dsp.bands import BandMeter

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
