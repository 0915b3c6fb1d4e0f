"""A block of zeros is taken in by a shorter way: what is heard of the stem must not tell which way it went."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.stems.audio import BLOCK_FRAMES
from stemwright.stems.info import AudioInfo
from stemwright.stems.intake.listening import Listener

RATE_HZ = 48_000


def _heard(audio: np.ndarray):
    info = AudioInfo(
        container="WAV", subtype="PCM_24", rate_hz=RATE_HZ, channels=2, frames=len(audio), promised_frames=len(audio),
        bits=24, lossy=False, wave=None,
    )  # fmt: skip
    listener = Listener(info)
    for start in range(0, len(audio), BLOCK_FRAMES):
        listener.feed(audio[start : start + BLOCK_FRAMES])
    return listener.heard()


@pytest.mark.parametrize("break_at", [None, BLOCK_FRAMES - 100, 3 * BLOCK_FRAMES + 100])
def test_a_silent_block_is_heard_as_one_that_is_all_but_silent(break_at):
    # Property: -4000 dBFS says nothing, but is not zero, so it goes the long way.
    rng = np.random.default_rng(4)
    time = np.arange(5 * BLOCK_FRAMES)[:, np.newaxis] / RATE_HZ
    audio = 0.4 * np.sin(2 * np.pi * np.array([80.0, 83.0]) * time) + 0.01 * rng.standard_normal((len(time), 2))
    audio[BLOCK_FRAMES : 3 * BLOCK_FRAMES] = 0.0
    if break_at is not None:
        audio[break_at] = 1.0
    almost = audio.copy()
    almost[[BLOCK_FRAMES + 5000, 2 * BLOCK_FRAMES + 5000]] = 1e-200
    silent, long_way = _heard(audio), _heard(almost)
    assert silent.energies[1:3] == (0.0, 0.0)
    assert silent.breaks == long_way.breaks
    assert silent == long_way
