"""The compressor behind its adapter: static curve, linked channels, block size."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.dynamics import Compressor, CompressorSettings

SETTINGS = CompressorSettings(threshold_db=-20.0, ratio=4.0, attack_ms=5.0, release_ms=80.0)


@pytest.mark.parametrize(("level_db", "expected_db"), [(-30.0, -30.0), (-8.0, -17.0), (-12.0, -18.0)])
def test_the_static_curve_is_threshold_plus_excess_over_ratio(level_db, expected_db):
    # Arithmetic: -8 dB is 12 dB over; 12 / 4 = 3 dB stay over. 0.01 dB: float32 detector.
    steady = np.full((96_000, 1), 10 ** (level_db / 20))
    out = Compressor(SETTINGS, 48_000).process(steady)[-1, 0]
    assert 20 * np.log10(out) == pytest.approx(expected_db, abs=0.01)


def test_makeup_is_added_after():
    steady = np.full((96_000, 1), 10 ** (-8 / 20))
    settings = CompressorSettings(threshold_db=-20.0, ratio=4.0, attack_ms=5.0, release_ms=80.0, makeup_db=6.0)
    assert 20 * np.log10(Compressor(settings, 48_000).process(steady)[-1, 0]) == pytest.approx(-11.0, abs=0.01)


def test_the_image_does_not_wander():
    audio = np.random.default_rng(0).standard_normal((48_000, 2)) * [0.5, 0.05]
    out = Compressor(SETTINGS, 48_000).process(audio)
    assert out[:, 0] / audio[:, 0] == pytest.approx(out[:, 1] / audio[:, 1], rel=1e-12)


@pytest.mark.parametrize("size", [1, 17, 1000, 4096])
def test_block_size_never_shows(size):
    audio = np.random.default_rng(1).standard_normal((6000, 2)) * 0.4
    whole = Compressor(SETTINGS, 48_000).process(audio)
    blocks = Compressor(SETTINGS, 48_000)
    parts = np.concatenate([blocks.process(audio[at : at + size]) for at in range(0, len(audio), size)])
    assert np.array_equal(parts, whole)


def test_silence_stays_silence():
    assert not Compressor(SETTINGS, 48_000).process(np.zeros((1000, 2))).any()
