"""The level meter against BS.1770-5 written out plainly: weighting, blocks to the nearest sample, both gates, every rate and block."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from stemwright.dsp.loudness import LevelMeter, Levels, channel_gains, k_weighting, k_weights

# Analog prototypes behind the standard's tables, as libraries and an unofficial note of 2011 give them.
SHELF_HZ, SHELF_DB, SHELF_Q, BAND = 1681.974450955533, 3.999843853973347, 0.7071752369554196, 0.4996667741545416
PASS_HZ, PASS_Q = 38.13547087602444, 0.5003270373238773


def bilinear(top, bottom, corner_hz, rate_hz):
    """Return scipy's bilinear transform of a prototype in s/corner, the corner kept in its place."""
    warped = 2.0 * rate_hz * math.tan(math.pi * corner_hz / rate_hz)
    scale = warped ** -np.arange(2, -1, -1.0)
    return signal.bilinear(np.array(top) * scale, np.array(bottom) * scale, rate_hz)


@pytest.mark.parametrize("rate_hz", [8_000, 22_050, 44_100, 48_000, 96_000, 192_000])
def test_weighting_is_the_bilinear_transform_of_the_prototypes(rate_hz):
    high = 10.0 ** (SHELF_DB / 20.0)
    shelf = bilinear([high, high**BAND / SHELF_Q, 1.0], [1.0, 1.0 / SHELF_Q, 1.0], SHELF_HZ, rate_hz)
    b, a = bilinear([1.0, 0.0, 0.0], [1.0, 1.0 / PASS_Q, 1.0], PASS_HZ, rate_hz)
    # At 48 kHz the standard's second stage has the numerator 1 -2 1; that gain is kept at every rate.
    b48, _ = bilinear([1.0, 0.0, 0.0], [1.0, 1.0 / PASS_Q, 1.0], PASS_HZ, 48_000)
    expected = np.array([np.concatenate(shelf), np.concatenate([b / b48[0], a])])
    assert k_weighting(rate_hz) == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_weights_of_power_are_the_tables_response():
    freq_hz = np.array([20.0, 50.0, 100.0, 500.0, 1000.0, 2000.0, 5000.0, 10_000.0, 20_000.0])
    _, response = signal.sosfreqz(k_weighting(48_000), freq_hz, fs=48_000)
    assert k_weights(freq_hz) == pytest.approx(np.abs(response) ** 2, rel=1e-9)
    # In dB as two libraries agree on it.
    expected_db = [-13.275, -3.934, -1.133, 0.042, 0.698, 3.071, 4.013, 4.042, 4.043]
    assert 10.0 * np.log10(k_weights(freq_hz)) == pytest.approx(expected_db, abs=1e-3)


def plainly(audio, rate_hz):
    """Return BS.1770-5's gated loudness: Annex 1, equations 2 to 7."""
    weighted = signal.sosfilt(k_weighting(rate_hz), audio, axis=0) ** 2 @ channel_gains(audio.shape[1])
    starts = [math.floor(step * rate_hz / 10 + 0.5) for step in range(len(audio) * 10 // rate_hz + 2)]
    starts = [start for start in starts if start <= len(audio)]
    blocks = [weighted[starts[n] : starts[n + 4]].mean() for n in range(len(starts) - 4)]
    loud = [z for z in blocks if -0.691 + 10 * math.log10(max(z, 1e-30)) > -70.0]
    if not loud:
        return None
    gate = -0.691 + 10 * math.log10(np.mean(loud)) - 10.0
    louder = [z for z in loud if -0.691 + 10 * math.log10(z) > gate]
    return -0.691 + 10 * math.log10(np.mean(louder))


def programme(rate_hz, seconds, channels=2, seed=1):
    """Return noise whose level wanders over 60 dB, so that both gates have something to do."""
    rng = np.random.default_rng(seed)
    frames = round(seconds * rate_hz)
    level_db = -30.0 + 30.0 * np.sin(np.arange(frames) / rate_hz * 1.7) - 30.0 * (np.arange(frames) > 0.7 * frames)
    return (
        rng.standard_normal((frames, channels))
        * (10.0 ** (level_db / 20.0))[:, None]
        * [0.3, 0.1, 0.2, 0.5, 0.2, 0.4][:channels]
    )


def meter_of(audio, rate_hz, sizes):
    meter = LevelMeter(rate_hz, audio.shape[1])
    at = 0
    for number in range(len(audio)):
        if at >= len(audio):
            break
        size = sizes[number % len(sizes)]
        meter.feed(audio[at : at + size])
        at += size
    return meter


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 22_050, 44_100, 48_000])
@pytest.mark.parametrize("sizes", [[10**9], [1000, 1, 0, 5000], [4410], [40_000, 7]])
def test_loudness_is_the_standards_to_the_last_digit(rate_hz, sizes):
    # 11,025 Hz has no whole number of samples in 100 ms: blocks go to the nearest.
    audio = programme(rate_hz, 3.03)
    assert meter_of(audio, rate_hz, sizes).levels().lufs == pytest.approx(plainly(audio, rate_hz), abs=1e-6)


@pytest.mark.parametrize("channels", [1, 5, 6])
def test_loudness_of_other_layouts_is_the_standards(channels):
    audio = programme(8_000, 2.0, channels)
    assert meter_of(audio, 8_000, [3000]).levels().lufs == pytest.approx(plainly(audio, 8_000), abs=1e-6)


# A block is 400 ms, 3200 samples at 8 kHz: one sample less is no block, and what follows a whole block is used when 100 ms are full.
@pytest.mark.parametrize("frames", [3199, 3200, 3999, 4000])
def test_a_block_counts_from_its_last_sample_on(frames):
    audio = programme(8_000, 0.5)[:frames] * np.linspace(0.1, 2.0, frames)[:, None]
    assert meter_of(audio, 8_000, [frames]).levels().lufs == (
        None if frames < 3200 else pytest.approx(plainly(audio, 8_000))
    )


# The gates are strict: -70 LUFS itself is not over them. Half a decibel over it is loudness, half under is none.
@pytest.mark.parametrize(("off_db", "heard"), [(0.5, True), (-0.5, False)])
def test_what_is_under_minus_70_has_no_loudness(off_db, heard):
    audio = np.random.default_rng(3).standard_normal((8_000, 1))
    audio *= 10.0 ** ((-70.0 + off_db - plainly(audio, 8_000)) / 20.0)
    found = meter_of(audio, 8_000, [8_000]).levels().lufs
    assert found == (pytest.approx(-70.0 + off_db, abs=0.4) if heard else None)


def test_rms_and_peak_are_of_all_channels():
    # Arithmetic: one channel at 0.5, the other at 0.1, so a mean square of (0.25 + 0.01) / 2.
    levels = meter_of(np.tile([0.5, -0.1], (100, 1)), 48_000, [30]).levels()
    assert levels.rms_dbfs == pytest.approx(10.0 * math.log10(0.13))
    assert levels.sample_peak_dbfs == pytest.approx(20.0 * math.log10(0.5))


def test_nothing_has_no_levels_and_silence_none_either():
    assert LevelMeter(48_000, 2).levels() == Levels(None, None, None, None)
    assert meter_of(np.zeros((48_000, 2)), 48_000, [10_000]).levels() == Levels(None, None, None, None)
