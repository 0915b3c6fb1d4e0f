"""Facts about resonators, windows and bands that others published, against what the ring finder uses or measures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import signal

from stemwright.dsp.rings import RingSettings, band_losses, find_rings
from stemwright.dsp.rings.shapes import bell_db

RATE_HZ = 48000


def cookbook_bell(freq_hz, q, gain_db, rate_hz):
    """Audio EQ Cookbook (W3C Note, 2021-06-08), peakingEQ: b = [1+aA, -2c, 1-aA], a = [1+a/A, -2c, 1-a/A]."""
    root, turn = 10 ** (gain_db / 40), 2 * math.pi * freq_hz / rate_hz
    alpha, c = math.sin(turn) / (2 * q), math.cos(turn)
    row = np.array([1 + alpha * root, -2 * c, 1 - alpha * root, 1 + alpha / root, -2 * c, 1 - alpha / root])
    return (row / row[3])[np.newaxis]


@pytest.mark.parametrize(("freq_hz", "q", "t60_s"), [(1000, 30, 0.065964), (1000, 100, 0.219881), (100, 10, 0.219881)])
def test_resonator_of_that_q_falls_sixty_db_in_the_time_that_ring_evidence_states(freq_hz, q, t60_s):
    # Envelope e^(-pi f0 t / Q): T60 = (ln 1000 / pi) Q / f0 = 2.1988 Q / f0; the times are that on paper. Measured here as the
    # slope of the level of a one-pole complex resonator's answer to an impulse.
    radius = math.exp(-math.pi * freq_hz / (q * RATE_HZ))
    pole = radius * np.exp(2j * math.pi * freq_hz / RATE_HZ)
    answer = pole ** np.arange(int(0.05 * RATE_HZ))
    level_db = 20 * np.log10(np.abs(answer))
    per_second = (level_db[-1] - level_db[0]) / ((len(answer) - 1) / RATE_HZ)
    assert -60 / per_second == pytest.approx(t60_s, rel=1e-5)


def test_evidence_states_the_decay_of_the_pole_pair_that_a_planted_bell_has():
    # The cookbook bell's denominator is s^2 + s/(A Q) + 1: its poles have the Q of A * Q with A = 10^(gain/40). With 12 dB, Q 30
    # and 2 kHz that is A = 1.99526, T60 = 2.198807 * 59.858 / 2000 = 0.06581 s. 25 %: the Q is measured in noise.
    noise = np.random.default_rng(3).normal(size=RATE_HZ * 8) * 0.1
    ring = find_rings(signal.sosfilt(cookbook_bell(2000, 30, 12, RATE_HZ), noise), RATE_HZ)[0]
    assert ring.evidence.decay_s == pytest.approx(0.06581, rel=0.25)


@pytest.mark.parametrize(
    ("offset_bins", "largest_bins"), [(0.1, 0.0160), (0.25, 0.0160), (0.4, 0.0160), (0.0, 1e-4), (0.5, 1e-4)]
)
def test_log_parabola_on_a_hann_line_is_as_biased_as_the_literature_says(offset_bins, largest_bins):
    # J. O. Smith, Spectral Audio Signal Processing: the bias is zero on a bin and half-way; its maximum for the Hann window without
    # zero padding is 0.0160 bins (computed, agrees with that text's figures). So bins of 2.7 Hz cost under 0.05 Hz: no 5 cents.
    size, bin_number = 4096, 300
    tone = np.cos(2 * np.pi * (bin_number + offset_bins) * np.arange(size) / size)
    window = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(size) / size)
    level = 20 * np.log10(np.abs(np.fft.rfft(tone * window)))
    left, top, right = level[bin_number - 1 : bin_number + 2]
    found = 0.5 * (left - right) / (left - 2 * top + right)
    assert found == pytest.approx(offset_bins, abs=largest_bins + 2e-5)


@pytest.mark.parametrize(
    ("freq_hz", "erb_hz"), [(500, 78.67), (1000, 132.64), (2000, 240.58), (4000, 456.46), (8000, 888.21)]
)
def test_a_ring_is_narrower_than_the_ear_s_own_filter_there(freq_hz, erb_hz):
    # Glasberg & Moore, Hearing Research 47 (1990): ERB = 24.7 (4.37 f/1000 + 1). A bell of Q 10 or more is inside one ERB from 500 Hz
    # up, so its half-gain width is what the finder calls narrow (it looks for Q 5 to 80).
    octaves = np.linspace(-0.5, 0.5, 20001)
    above = np.exp2(octaves[bell_db(octaves, 12.0, 10.0) >= 6.0]) * freq_hz
    assert above[-1] - above[0] == pytest.approx(freq_hz / 10, rel=1e-3)
    assert above[-1] - above[0] < erb_hz * 1.3
    assert 24.7 * (4.37 * freq_hz / 1000 + 1) == pytest.approx(erb_hz, abs=0.01)


@pytest.mark.parametrize("gain_db", [6.0, 12.0, 18.0])
def test_bell_shape_is_the_cookbook_s_analog_bell(gain_db):
    # H(s) = (s^2 + s A/Q + 1) / (s^2 + s/(A Q) + 1), evaluated by scipy.signal.freqs.
    octaves, root, q = np.linspace(-0.3, 0.3, 101), 10 ** (gain_db / 40), 24.0
    _, response = signal.freqs([1, root / q, 1], [1, 1 / (root * q), 1], worN=np.exp2(octaves))
    assert bell_db(octaves, gain_db, q) == pytest.approx(20 * np.log10(np.abs(response)), abs=1e-9)


@pytest.mark.parametrize(
    ("freq_hz", "q", "gain_db"), [(850.0, 25.0, 10.0), (2000.0, 40.0, 14.0), (3150.0, 30.0, 12.0), (7000.0, 20.0, 9.0)]
)
@pytest.mark.parametrize("rate_hz", [44100, 96000])
def test_bell_planted_in_white_noise_is_measured_back(freq_hz, q, gain_db, rate_hz):
    # Toole & Olive, JAES 36(3), 1988, plant resonances in noise the same way. Tolerances: 5 cents; 1 dB; Q within 25 %.
    noise = np.random.default_rng(round(freq_hz)).normal(size=rate_hz * 8) * 0.1
    rings = find_rings(signal.sosfilt(cookbook_bell(freq_hz, q, gain_db, rate_hz), noise), rate_hz)
    assert len(rings) == 1
    assert 1200 * math.log2(rings[0].freq_hz / freq_hz) == pytest.approx(0, abs=5)
    assert rings[0].excess_db == pytest.approx(gain_db, abs=1.0)
    assert rings[0].q == pytest.approx(q, rel=0.25)
    assert rings[0].width_hz == pytest.approx(rings[0].freq_hz / rings[0].q)


def test_third_octave_bands_are_those_of_iec_61260():
    # IEC 61260-1:2014, base 10: exact mid frequencies 1000 * 10^(x/10); the values are from its table of the preferred ones.
    mids = {round(band.nominal_hz, 1): band.mid_hz for band in band_losses([])}
    for nominal_hz, exact_hz in ((100, 100.0), (315, 316.2278), (630, 630.9573), (1250, 1258.9254), (2500, 2511.8864)):
        assert mids[nominal_hz] == pytest.approx(exact_hz, abs=1e-4)
    assert mids[20000] == pytest.approx(19952.6231, abs=1e-4)


def test_settings_look_at_the_whole_band_that_hearing_covers_by_default():
    # 20 Hz to 20 kHz: the common statement of the range of hearing (common practice, no source).
    assert (RingSettings().from_hz, RingSettings().to_hz) == (20.0, 20000.0)
