"""Silence is zeros alone: one sample of any size, anywhere, is sound."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.silence import is_silent

FRAMES = 4099  # not a whole number of strides


@pytest.mark.parametrize("sample", [5e-324, -1e-9, 0.5, np.nan, -np.inf])
@pytest.mark.parametrize("place", [0, 1, 1021, 2048, FRAMES - 1])
def test_one_sample_is_sound(sample, place):
    for channel in range(2):
        rows = np.zeros((2, FRAMES))
        rows[channel, place] = sample
        assert not is_silent(rows)


@pytest.mark.parametrize("shape", [(1, 1), (2, FRAMES), (3, 0)])
def test_zeros_of_either_sign_are_silent(shape):
    rows = np.zeros(shape)
    rows[..., ::2] = -0.0
    assert is_silent(rows)
    assert is_silent(np.zeros(shape))
