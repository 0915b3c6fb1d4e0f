"""Zero phase: sections run forward and then backward, so that no frequency is turned against another; nothing is late.

Conventions
-----------
Blocks are ``(frames, channels)`` float64, sections rows ``b0 b1 b2 a0 a1 a2``. The gain is that of the sections twice. What
comes out in all is as long as what went in: `process` holds back what it cannot know yet, `finish` gives the rest.

The backward run starts anew for every stretch of a fixed length, counted from the start of the sound, as far ahead of its end
as the sections need to forget (-300 dB). So the result does not depend on block size, and it is arithmetic of `Cascade` alone,
which gives the same bits everywhere; a convolution by Fourier transform would not.
"""

from __future__ import annotations

import math

import numpy as np

from stemwright.dsp.cascade import Cascade

FORGOTTEN = 1e-15
LEAST_STRETCH = 1 << 16
HEARD = 1e-3  # -60 dB


def frames_to_forget(sections: np.ndarray) -> int:
    """Return after how many frames the slowest pole of sections, shape (n, 6), has fallen to -300 dB."""
    radii = [abs(root) for row in np.asarray(sections).reshape(-1, 6) for root in np.roots(row[3:])]
    slowest = max((radius for radius in radii if radius > 0.0), default=0.0)
    return math.ceil(math.log(FORGOTTEN) / math.log(slowest)) if slowest else 1


class ZeroPhase:
    """Runs sections forward and backward over a sound that comes in blocks.

    Parameters
    ----------
    sections : np.ndarray, shape=(n, 6)
        Half of what is to be heard.
    channels : int

    Raises
    ------
    DesignError
        As `Cascade` does.
    """

    def __init__(self, sections: np.ndarray, channels: int) -> None:
        self._sections = np.asarray(sections, dtype=np.float64)
        self._channels = channels
        self._forward = Cascade(self._sections, channels)
        self._ahead = frames_to_forget(self._sections)
        self._stretch = max(LEAST_STRETCH, 1 << (2 * self._ahead).bit_length())
        self._waiting: list[np.ndarray] = []
        self._held = 0

    def process(self, block: np.ndarray) -> np.ndarray:
        """Take in the next block and return what is settled by now, possibly nothing."""
        self._waiting.append(self._forward.process(block))
        self._held += len(block)
        if self._held < self._stretch + self._ahead:
            return block[:0]
        held = np.concatenate(self._waiting)
        done = []
        while len(held) >= self._stretch + self._ahead:
            done.append(self._backward(held[: self._stretch + self._ahead])[: self._stretch])
            held = held[self._stretch :]
        self._waiting, self._held = [held], len(held)
        return np.concatenate(done)

    def finish(self) -> np.ndarray:
        """Return what was held back."""
        left = self._held
        tail = self._forward.process(np.zeros((self._ahead, self._channels)))
        held = np.concatenate([*self._waiting, tail])
        self._waiting, self._held = [], 0
        done = []
        for start in range(0, left, self._stretch):
            end = min(start + self._stretch, left)
            done.append(self._backward(held[start : end + self._ahead])[: end - start])
        return np.concatenate(done) if done else np.zeros((0, self._channels))

    def _backward(self, part: np.ndarray) -> np.ndarray:
        return Cascade(self._sections, self._channels).process(part[::-1])[::-1]


def ahead_of_a_step(sections: np.ndarray, rate_hz: int) -> tuple[float, float]:
    """Return what is heard ahead of a step: how long before it (ms, over -60 dB of it), and how loud at most (dB of it)."""
    frames = frames_to_forget(sections)
    step = np.concatenate([np.zeros((frames, 1)), np.ones((2 * frames, 1))])
    stage = ZeroPhase(sections, 1)
    early = np.abs(np.concatenate([stage.process(step), stage.finish()])[:frames, 0])
    heard = np.flatnonzero(early >= HEARD)
    if not len(heard):
        return 0.0, -math.inf
    return (frames - int(heard[0])) * 1000.0 / rate_hz, 20.0 * math.log10(float(early.max()))
