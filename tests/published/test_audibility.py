"""Audibility against the worked examples of ANSI S3.5-1997, third-octave method.

Expected values: the standard's annex C.2 (0.8513749, as a statistics package quotes it) and the working group's test files TO and
TO_1 (0.445, 0.438), with further digits computed from the published tables by two independent programs.
"""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.audibility import IMPORTANCE, NORMAL_DB, full_scale_db, index
from stemwright.dsp.bands import CENTRES_HZ, BandMeter, powers

TO = (
    np.array([90.0, 5.0] + [40.0] * 12 + [-10.0] * 4),
    np.array([10.0, -10.0, -10.0, 75.0] + [-10.0] * 10 + [10.0] * 4),
    np.array([90.0] + [0.0] * 17),
)
EXAMPLES = [
    (*TO, 0.4453910059),
    (np.full(18, 54.0), np.array([40.0, 30.0, 20.0] + [0.0] * 15), 0.0, 0.8513748619),
    (NORMAL_DB, np.full(18, 30.0), np.full(18, 40.0), 0.2184539329),
    (NORMAL_DB, np.full(18, -50.0), 0.0, 0.9958251667),
]


@pytest.mark.parametrize(
    ("speech", "noise", "threshold", "expected"), EXAMPLES, ids=["TO", "annex C.2", "raised threshold", "quiet"]
)
def test_the_index_of_a_worked_example(speech, noise, threshold, expected):
    assert index(speech[None], noise[None], threshold)[0] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("snr_db", "expected"), [(-15, 0.0), (-10, 0.1248), (-5, 0.2957), (0, 0.4663), (5, 0.6363), (10, 0.8052), (15, 0.9715)]
)
def test_the_index_of_speech_in_noise_of_its_own_spectrum(snr_db, expected):
    assert index(NORMAL_DB[None], NORMAL_DB[None] - snr_db)[0] == pytest.approx(expected, abs=1e-4)


def test_importance_sums_to_one():
    assert IMPORTANCE.sum() == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("rate_hz", [22_050, 44_100, 48_000, 96_000])
def test_a_sine_has_its_power_in_its_band_at_any_rate(rate_hz):
    band = 18
    sound = 0.5 * np.sin(2 * np.pi * CENTRES_HZ[band] * np.arange(rate_hz) / rate_hz)[:, None]
    meter = BandMeter(rate_hz, 1)
    for start in range(0, rate_hz, 5000):
        meter.feed(sound[start : start + 5000])
    found = powers(meter.finish())
    assert found.shape == (100, 39)
    assert 10 * np.log10(found[50].sum()) == pytest.approx(10 * np.log10(0.125), abs=0.3)  # amplitude squared by two
    assert found[50].argmax() == band


def test_calibrated_a_voice_is_at_normal_effort():
    flat = np.ones((10, 39), dtype=np.float32) * 1e-4
    assert full_scale_db(flat * 10.0) == pytest.approx(full_scale_db(flat) - 10.0, abs=1e-6)
