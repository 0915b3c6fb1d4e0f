"""A stem in third octaves: a tone is in the band it lies in by the standard's edges, and in no other."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.passes.heard import CENTRES_HZ, FFT, change, curve_db, spectrum_of

RATE_HZ = 8_000  # bins of under 1 Hz, so that the lowest band has some


def tone(freq_hz, seconds=8.192):
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return np.sin(2 * np.pi * freq_hz * t)[:, None]


# IEC 61260-1: a third octave reaches from 10^-0.05 to 10^0.05 times its centre: 20 Hz (19.95) from 17.8 to 22.4 Hz.
@pytest.mark.parametrize(("freq_hz", "band"), [(20.0, 0), (31.5, 2), (1000.0, 17), (1100.0, 17), (1150.0, 18)])
def test_a_tone_lies_in_its_third_octave(freq_hz, band):
    power = spectrum_of([tone(freq_hz)], RATE_HZ)
    assert int(np.argmax(power)) == band
    assert power[band] > 0.95 * power.sum()


def test_what_lies_under_the_lowest_band_is_in_none():
    inside, under = spectrum_of([tone(20.0)], RATE_HZ), spectrum_of([tone(16.2)], RATE_HZ)
    assert under.sum() < 0.05 * inside.sum()


def test_blocks_follow_each_other_and_channels_are_averaged():
    sound = tone(1000.0)
    twice = np.hstack([sound, sound])
    assert spectrum_of([twice[:FFT], twice[FFT:]], RATE_HZ) == pytest.approx(spectrum_of([sound], RATE_HZ))


def test_a_gain_is_all_of_its_change_everywhere_and_what_depends_on_the_sound_is_none():
    curve = curve_db([("gain", {"gain_db": -3.0}), ("compress", {})])
    assert curve.tolist() == [-3.0] * len(CENTRES_HZ)
    found = change(np.ones(len(CENTRES_HZ)), curve)
    assert (found.mean_db, found.share_db) == (pytest.approx(-3.0), pytest.approx(0.0))
    assert curve_db([]).tolist() == [0.0] * len(CENTRES_HZ)
