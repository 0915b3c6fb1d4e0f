"""Loudness, true peak, sample peak and RMS against ITU-R BS.1770-5, EBU Tech 3341 V4 and libebur128."""

from __future__ import annotations

import numpy as np
import pyebur128
import pytest
from scipy.signal import resample_poly

from stemwright.dsp.loudness import LevelMeter, k_weighting

RATES = [44_100, 48_000, 88_200, 96_000, 176_400, 192_000]


def measure(audio, rate_hz=48_000, block=65_536, *, peaks=True):
    meter = LevelMeter(rate_hz, audio.shape[1], peaks=peaks)
    for at in range(0, len(audio), block):
        meter.feed(audio[at : at + block])
    return meter.levels()


def tones(parts, rate_hz=48_000, channels=2):
    """1 kHz in phase; each part is (dBFS per channel, seconds)."""
    lengths = [round(seconds * rate_hz) for _, seconds in parts]
    gains = np.repeat([10 ** (level / 20) for level, _ in parts], lengths)
    second = np.sin(2 * np.pi * 1000 * np.arange(rate_hz) / rate_hz)  # a whole number of periods
    wave = gains * np.resize(second, len(gains))
    return np.stack([wave] * channels, axis=1)


def test_k_weighting_at_48_khz_is_tables_1_and_2():
    # ITU-R BS.1770-5 (11/2023), Annex 1, Tables 1 and 2. The second stage's b carries our 48 kHz scale of one.
    shelf, high_pass = k_weighting(48_000)
    assert shelf[:3] == pytest.approx([1.53512485958697, -2.69169618940638, 1.19839281085285], abs=1e-12)
    assert shelf[4:] == pytest.approx([-1.69065929318241, 0.73248077421585], abs=1e-12)
    assert high_pass[:3] == pytest.approx([1.0, -2.0, 1.0], abs=1e-12)
    assert high_pass[4:] == pytest.approx([-1.99004745483398, 0.99007225036621], abs=1e-12)


@pytest.mark.parametrize("rate_hz", RATES)
def test_a_full_scale_997_hz_sine_on_one_channel_reads_minus_3_01(rate_hz):
    # BS.1770-5, Annex 1: "-3.01 LKFS". 0.01: the K curve is the 48 kHz one carried over by a bilinear transform.
    wave = np.sin(2 * np.pi * 997 * np.arange(10 * rate_hz) / rate_hz)[:, None]
    assert measure(wave, rate_hz, peaks=False).lufs == pytest.approx(-3.01, abs=0.01)


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        ([(-23, 20)], -23.0),  # case 1
        ([(-33, 20)], -33.0),  # case 2
        ([(-36, 10), (-23, 60), (-36, 10)], -23.0),  # case 3
        ([(-72, 10), (-36, 10), (-23, 60), (-36, 10), (-72, 10)], -23.0),  # case 4
        ([(-26, 20), (-20, 20.1), (-26, 20)], -23.0),  # case 5
    ],
)
@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_ebu_tech_3341_cases_1_to_5(parts, expected, rate_hz):
    # EBU Tech 3341 V4 (11/2023), Table 1: +-0.1 LU.
    assert measure(tones(parts, rate_hz), rate_hz, peaks=False).lufs == pytest.approx(expected, abs=0.1)


def test_ebu_tech_3341_case_6_five_channels():
    # Same table: L R -28, C -24, Ls Rs -30 dBFS.
    wave = np.sin(2 * np.pi * 1000 * np.arange(20 * 48_000) / 48_000)[:, None]
    gains = 10 ** (np.array([-28.0, -28.0, -24.0, -30.0, -30.0]) / 20)
    assert measure(wave * gains, peaks=False).lufs == pytest.approx(-23.0, abs=0.1)


@pytest.mark.parametrize(
    ("period", "phase_degrees", "amplitude", "expected_dbtp"),
    [(4, 0, 0.5, -6.0), (4, 45, 0.5, -6.0), (6, 60, 0.5, -6.0), (8, 67.5, 0.5, -6.0), (4, 45, 1.41, 3.0)],
)
def test_ebu_tech_3341_true_peak_cases_15_to_19(period, phase_degrees, amplitude, expected_dbtp):
    # Tech 3341 V4, Table 1: +0.2/-0.4 dB, with its 10 ms fades.
    frames = np.arange(48_000)
    wave = amplitude * np.sin(2 * np.pi * frames / period + np.radians(phase_degrees))
    fade = np.minimum(1.0, np.minimum(frames, frames[::-1]) / 480)
    reading = measure((wave * fade)[:, None]).true_peak_dbtp
    assert expected_dbtp - 0.4 <= reading <= expected_dbtp + 0.2


@pytest.mark.parametrize("offset", [0, 1, 2, 3])
def test_ebu_tech_3341_true_peak_cases_20_to_23(offset):
    # Tech 3341 V4, Table 1: fs/6 at 0.5 with one period of fs/4 at 1.0, phase-continuous, made at 4 fs, decimated.
    quiet = np.sin(2 * np.pi * np.arange(24 * 400) / 24) * 0.5
    burst = np.sin(2 * np.pi * np.arange(16) / 16)
    made = np.concatenate([quiet, burst, quiet])
    made *= np.minimum(1.0, np.minimum(np.arange(len(made)), np.arange(len(made))[::-1]) / 1920)
    limited = resample_poly(made, 1, 1)  # already band-limited but for the burst's corners
    wave = resample_poly(np.concatenate([np.zeros(offset), limited]), 1, 4)[:, None]
    assert -0.4 <= measure(wave).true_peak_dbtp <= 0.2


@pytest.mark.parametrize("rate_hz", RATES)
def test_loudness_agrees_with_libebur128_on_noise_bursts(rate_hz):
    # libebur128 through pyebur128 (MIT), an independent implementation of BS.1770 with the same gating; it leaves the
    # second stage's numerator unscaled, worth up to 0.03 dB at 192 kHz.
    noise = np.random.default_rng(5)
    audio = noise.standard_normal((6 * rate_hz, 2)) * 0.05
    audio *= (np.sin(np.arange(len(audio)) / rate_hz * 2.0) ** 2)[:, None]
    oracle = pyebur128.R128State(2, rate_hz, pyebur128.MeasurementMode.MODE_I)
    oracle.add_frames(audio.reshape(-1), len(audio))
    assert measure(audio, rate_hz, peaks=False).lufs == pytest.approx(pyebur128.get_loudness_global(oracle), abs=0.04)


def test_the_sparse_true_peak_equals_oversampling_everything():
    # scipy.signal.resample (whole-file FFT interpolation) as the reference; periodic, so the edges are faded.
    noise = np.random.default_rng(6).standard_normal(48_000)
    spectrum = np.fft.rfft(noise)
    spectrum[21_000:] = 0  # below 0.45 of the rate, where a four times reading is good to 0.55 dB
    wave = np.fft.irfft(spectrum) * np.hanning(48_000)
    wave /= np.abs(wave).max() * 2
    full = 20 * np.log10(np.abs(np.fft.irfft(np.fft.rfft(wave), 4 * 48_000)).max() * 4)
    assert measure(wave[:, None]).true_peak_dbtp == pytest.approx(full, abs=0.05)


def test_a_sine_has_the_rms_and_peak_of_a_sine():
    # Arithmetic: a sine of peak 1 has RMS 1/sqrt(2), -3.0103 dB.
    levels = measure(tones([(0, 1)]))
    assert levels.rms_dbfs == pytest.approx(-3.0103, abs=1e-4)
    assert levels.sample_peak_dbfs == pytest.approx(0.0, abs=1e-9)


def test_silence_and_sounds_under_400_ms_have_no_loudness():
    # BS.1770-5: a gating block is 400 ms, an incomplete one is not used.
    assert measure(np.zeros((48_000, 2))).lufs is None
    assert measure(tones([(-20, 0.399)])).lufs is None
    assert measure(tones([(-20, 0.401)])).lufs == pytest.approx(-20.0, abs=0.1)


def test_block_size_does_not_change_the_reading():
    audio = np.random.default_rng(8).standard_normal((100_000, 2)) * 0.1
    whole, parts = measure(audio, block=100_000), measure(audio, block=777)
    assert parts.lufs == pytest.approx(whole.lufs, abs=1e-9)
    assert parts.true_peak_dbtp == pytest.approx(whole.true_peak_dbtp, abs=1e-9)
    assert parts.sample_peak_dbfs == whole.sample_peak_dbfs


def test_a_meter_without_peaks_reads_the_same_loudness_and_rms_and_no_peak():
    audio = np.random.default_rng(9).standard_normal((96_000, 2)) * 0.1
    meters = [LevelMeter(48_000, 2), LevelMeter(48_000, 2, peaks=False)]
    for meter in meters:
        meter.feed(audio)
    both, without = (meter.levels() for meter in meters)
    assert (without.lufs, without.rms_dbfs) == (both.lufs, both.rms_dbfs)
    assert (without.true_peak_dbtp, without.sample_peak_dbfs) == (None, None)
