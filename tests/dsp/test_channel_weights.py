"""Channel weights: ITU-R BS.1770-5, Table 4 of section 2.1; the order of a 7.1 file is mask 63F (L R C LFE, backs, sides)."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.loudness import LevelMeter

RATE_HZ = 48_000


# A 997 Hz sine of -20 dBFS peak in one channel reads -23.01 LUFS (Tech 3341's alignment); 1.41 is 1.49 dB more.
@pytest.mark.parametrize(
    ("channel", "lufs"),
    [(0, -23.01), (1, -23.01), (2, -23.01), (3, None), (4, -23.01), (5, -23.01), (6, -21.52), (7, -21.52)],
)
def test_seven_one_leaves_out_the_lfe_and_weighs_its_sides(channel: int, lufs: float | None) -> None:
    block = np.zeros((RATE_HZ, 8))
    block[:, channel] = 0.1 * np.sin(2.0 * np.pi * 997.0 / RATE_HZ * np.arange(RATE_HZ))
    meter = LevelMeter(RATE_HZ, 8)
    meter.feed(block)
    assert meter.levels().lufs == (None if lufs is None else pytest.approx(lufs, abs=0.01))
