"""Resampling: what is kept, what may not fold back, and lengths."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright.stems.resample import Resampler, length_at

RATES = [(44_100, 48_000), (48_000, 44_100), (96_000, 44_100), (48_000, 96_000), (192_000, 48_000), (88_200, 48_000)]


def resampled(audio, from_hz, to_hz, block=10_000):
    resampler = Resampler(from_hz, to_hz, channels=audio.shape[1], frames=len(audio))
    parts = [resampler.process(audio[at : at + block]) for at in range(0, len(audio), block)]
    return np.concatenate([*parts, resampler.finish()])


def tone(freq_hz, rate_hz, seconds=2.0):
    return np.sin(2 * np.pi * freq_hz * np.arange(round(seconds * rate_hz)) / rate_hz)[:, None]


def inner(audio, rate_hz):
    return audio[round(0.25 * rate_hz) : -round(0.25 * rate_hz)]


@pytest.mark.parametrize(("from_hz", "to_hz"), RATES)
@pytest.mark.parametrize("freq_hz", [50, 997, 15_000, 20_000])
def test_a_tone_comes_out_as_that_tone_in_place(from_hz, to_hz, freq_hz):
    # Reference: the same sine sampled at the other rate (arithmetic). In level within 0.002 dB up to 0.9 of the lower half
    # rate, where soxr's pass band ends at 0.913; otherwise the same to -120 dB, below the last bit of 20-bit audio.
    if freq_hz > 0.45 * min(from_hz, to_hz):
        pytest.skip("outside the pass band")
    wanted, got = (
        inner(audio, to_hz)[:, 0] for audio in (tone(freq_hz, to_hz), resampled(tone(freq_hz, from_hz), from_hz, to_hz))
    )
    gain = (got @ wanted) / (wanted @ wanted)
    assert abs(20 * np.log10(gain)) < 0.002
    assert 20 * np.log10(np.abs(got - gain * wanted).max()) < -120


@pytest.mark.parametrize(
    ("from_hz", "to_hz"), [(96_000, 44_100), (96_000, 48_000), (192_000, 48_000), (48_000, 44_100), (88_200, 44_100)]
)
@pytest.mark.parametrize("share", [1.0, 1.05, 1.3, 1.9])
def test_what_the_new_rate_cannot_hold_does_not_fold_back(from_hz, to_hz, share):
    freq_hz = share * to_hz / 2
    if freq_hz >= 0.499 * from_hz:
        pytest.skip("the received rate cannot hold this tone")
    got = inner(resampled(tone(freq_hz * 1.0005, from_hz), from_hz, to_hz), to_hz)
    assert 20 * np.log10(np.abs(got).max()) < -120


@pytest.mark.parametrize(("from_hz", "to_hz"), [(44_100, 48_000), (48_000, 96_000), (44_100, 96_000)])
def test_no_image_of_the_old_rate_is_left(from_hz, to_hz):
    got = inner(resampled(tone(19_000, from_hz, 4.0), from_hz, to_hz), to_hz)
    spectrum = np.abs(np.fft.rfft(got[:, 0] * np.blackman(len(got)))) / (0.42 * len(got) / 2)
    freq = np.fft.rfftfreq(len(got), 1 / to_hz)
    images = spectrum[np.abs(freq - 19_000) > 200]
    assert 20 * np.log10(images.max()) < -120


@given(frames=st.integers(1, 3000), rates=st.sampled_from(RATES), block=st.integers(1, 5000))
def test_the_length_is_the_nearest_whole_number_of_frames(frames, rates, block):
    from_hz, to_hz = rates
    got = resampled(np.ones((frames, 1)), from_hz, to_hz, block)
    assert len(got) == length_at(frames, from_hz, to_hz)
    assert abs(len(got) - frames * to_hz / from_hz) <= 0.5


@given(block=st.integers(200, 50_000))
def test_the_block_size_does_not_show(block):
    audio = np.random.default_rng(0).standard_normal((40_000, 2))
    assert np.array_equal(resampled(audio, 44_100, 48_000, block), resampled(audio, 44_100, 48_000, 65_536))


def test_silence_stays_silence():
    assert not resampled(np.zeros((30_000, 2)), 48_000, 44_100).any()
