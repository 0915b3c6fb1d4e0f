"""Alignment: expected values are arithmetic (a shift keeps every sample, so nothing is left)."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.handover.alignment import FLOOR_DB, align

NOISE = np.random.default_rng(7).standard_normal((300_000, 2)) * 0.1
NOISE *= np.repeat(np.random.default_rng(8).uniform(0, 1, 25) ** 3, 12_000)[
    :, None
]  # bursts, so that it lies in one place only


@pytest.mark.parametrize("frames", [37, -37])
def test_a_pure_shift_leaves_nothing(frames: int) -> None:
    early, late = NOISE[1000:251_000], NOISE[1000 - abs(frames) : 251_000 - abs(frames)]
    total, reference = (early, late) if frames > 0 else (late, early)
    found = align(lambda: iter([total]), lambda: iter([reference]))
    assert found is not None
    assert found.offset_frames == frames
    assert found.residual_db <= FLOOR_DB + 20.0  # rounding of sums over 250,000 products


def test_music_that_one_of_them_lacks_still_counts() -> None:
    found = align(lambda: iter([NOISE[:150_000]]), lambda: iter([NOISE]))
    assert found is not None
    assert found.offset_frames == 0
    power = np.square(NOISE).sum(axis=1)
    lacking_db = 10.0 * np.log10(power[150_000:].sum() / power.sum())
    assert found.residual_db == pytest.approx(lacking_db, abs=0.01)
