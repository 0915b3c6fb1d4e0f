"""The kernels that look between samples, held to what a delay by part of a sample is: all of the level, turned by that part."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.true_peak import HALF, TAPS, _interpolators


# 0.42 of the rate is 20.2 kHz at 48 kHz. A thousandth is 0.01 dB.
@pytest.mark.parametrize("share_of_rate", [0.0, 0.05, 0.25, 0.4, 0.42])
@pytest.mark.parametrize("quarter", [1, 2, 3])
def test_a_tone_keeps_its_level_and_its_time_between_samples(share_of_rate, quarter):
    tone = np.exp(2j * np.pi * share_of_rate * (np.arange(TAPS) - (HALF - 1)))
    there = tone @ _interpolators()[:, quarter - 1]
    assert there == pytest.approx(np.exp(2j * np.pi * share_of_rate * quarter / 4), abs=1e-3)
