"""The kernels that look between samples, held to what a delay by part of a sample is: all of the level, turned by that part."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.true_peak import HALF, TAPS, TruePeak, _interpolators


# 0.42 of the rate is 20.2 kHz at 48 kHz. A thousandth is 0.01 dB.
@pytest.mark.parametrize("share_of_rate", [0.0, 0.05, 0.25, 0.4, 0.42])
@pytest.mark.parametrize("quarter", [1, 2, 3])
def test_a_tone_keeps_its_level_and_its_time_between_samples(share_of_rate, quarter):
    tone = np.exp(2j * np.pi * share_of_rate * (np.arange(TAPS) - (HALF - 1)))
    there = tone @ _interpolators()[:, quarter - 1]
    assert there == pytest.approx(np.exp(2j * np.pi * share_of_rate * quarter / 4), abs=1e-3)


def everywhere(audio):
    """Return the highest point of every sample and every quarter between, silence around the sound."""
    padded = np.pad(audio, ((TAPS, TAPS), (0, 0)))
    windows = np.lib.stride_tricks.sliding_window_view(padded, TAPS, axis=0)
    return max(float(np.abs(windows @ _interpolators()).max()), float(np.abs(audio).max()))


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("sizes", [[10**6], [1, 47, 48, 49, 5, 1000]])
def test_looking_only_where_it_can_matter_finds_the_highest_point(seed, sizes):
    rng = np.random.default_rng(seed)
    audio = rng.standard_normal((2000, 1 + seed % 3)) * rng.uniform(0.1, 2.0, 1 + seed % 3)
    audio[: 200 * (seed % 4)] = 0.0
    meter, at, turn = TruePeak(audio.shape[1]), 0, 0
    while at < len(audio):
        size = sizes[turn % len(sizes)]
        meter.feed(audio[at : at + size])
        at, turn = at + size, turn + 1
    assert meter.finish() == pytest.approx(everywhere(audio), rel=1e-9)
    assert meter.sample_peak == np.abs(audio).max()


# A lone sample at the very start or end: a quarter beside it the wave is lower, so the sample itself is the peak.
@pytest.mark.parametrize("at", [0, 1, 23, 24, 99])
def test_a_lone_sample_is_its_own_peak(at):
    audio = np.zeros((100, 1))
    audio[at] = -0.7
    meter = TruePeak(1)
    meter.feed(audio)
    assert (meter.finish(), meter.sample_peak) == (0.7, 0.7)


@pytest.mark.parametrize("height", [0.5, 1.0, 2.0])
def test_two_equal_samples_have_their_peak_half_way_between(height):
    # sinc(1/2) twice is 4/pi; the window takes a little.
    audio = np.zeros((100, 1))
    audio[49:51] = height
    meter = TruePeak(1)
    meter.feed(audio)
    assert meter.finish() == pytest.approx(height * 4.0 / np.pi, rel=0.005)


def test_nothing_and_silence_have_no_peak():
    meter = TruePeak(2)
    meter.feed(np.zeros((0, 2)))
    meter.feed(np.zeros((500, 2)))
    assert (meter.finish(), meter.sample_peak) == (0.0, 0.0)


# A clipped sound has runs of equal samples: its peak may lie beside any of them.
@pytest.mark.parametrize("seed", range(12))
def test_a_clipped_sound_is_looked_at_all_along_its_flat_tops(seed):
    rng = np.random.default_rng(seed)
    audio = np.clip(np.convolve(rng.standard_normal(300), np.ones(3 + seed % 4), "same"), -1.0, 1.0)[:, np.newaxis] * 0.5
    meter = TruePeak(1)
    meter.feed(audio)
    assert meter.finish() == pytest.approx(everywhere(audio), rel=1e-9)


@pytest.mark.parametrize("turned", [1, -1])
def test_of_a_flat_top_both_ends_are_looked_at(turned):
    # Three equal samples, a loud neighbour on one side only: the peak lies beside that one.
    audio = np.zeros((100, 1))
    audio[47:53, 0] = np.array([0.0, 0.0, 0.5, 0.5, 0.5, 0.45])[::turned]
    meter = TruePeak(1)
    meter.feed(audio)
    assert meter.finish() == pytest.approx(everywhere(audio), rel=1e-9)


def test_what_lies_between_samples_that_stand_still_is_as_high_as_they_are():
    assert _interpolators().sum(axis=0) == pytest.approx(np.ones(3), abs=1e-12)
