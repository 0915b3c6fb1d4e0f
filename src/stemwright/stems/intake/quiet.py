"""Quiet windows: the quietest moments of a stem's low end, kept at a low rate; what is steady there is not music.

Conventions
-----------
Channels are averaged, and the rate is brought down in two steps to about 1.4 kHz: means over a power of two of samples, then a
Hann-weighted mean. Aliases of what lies above are at least 35 dB down by the first and 30 by the second (arithmetic).
"""

from __future__ import annotations

import heapq
from typing import TYPE_CHECKING

import numpy as np

from stemwright import native

if TYPE_CHECKING:
    from stemwright.stems.info import AudioInfo

LOWEST_RATE_HZ = 5000.0  # after the first step
SECOND = 4
TAPS = 16
LENGTH = 800  # frames at the low rate: about 0.6 s, so that a Hann window tells lines 7 Hz apart
HOP = LENGTH // 4  # a gap of 0.8 s has a whole window in it wherever it begins
MOST = 96  # windows kept: memory does not grow with the stem
SILENT = 1e-12  # mean square: under it there is digital silence, and nothing to judge


def folded(rows: np.ndarray, width: int) -> np.ndarray:
    """Return means over all channels and `width` frames of rows, shape (channels, frames); what is left over is not counted."""
    if native.kernels is not None:
        return native.kernels.folded(rows, width)
    count = rows.shape[1] // width
    return np.asarray(rows.sum(axis=0)[: count * width].reshape(-1, width).sum(axis=1) / (width * len(rows)))


def lowered(frames: np.ndarray, taps: np.ndarray) -> np.ndarray:
    """Return the mean of every `TAPS` frames, weighted with `taps`, `SECOND` frames apart; of at least so many."""
    if native.kernels is not None:
        return native.kernels.lowered(frames, taps)
    return np.asarray(np.lib.stride_tricks.sliding_window_view(frames, TAPS)[::SECOND] @ taps)


def variances(frames: np.ndarray) -> np.ndarray:
    """Return the variance of every window of `LENGTH` frames, `HOP` frames apart; of at least so many."""
    if native.kernels is not None:
        return native.kernels.variances(frames)
    return np.asarray(np.lib.stride_tricks.sliding_window_view(frames, LENGTH)[::HOP].var(axis=1))


class QuietWindows:
    """Keeps the quietest windows of blocks, three quarters overlapping.

    Parameters
    ----------
    info : AudioInfo
        Rate of what is to come.
    """

    def __init__(self, info: AudioInfo) -> None:
        self._first = 1
        while info.rate_hz / (2 * self._first) >= LOWEST_RATE_HZ:
            self._first *= 2
        self.rate_hz = info.rate_hz / (self._first * SECOND)
        hann = np.hanning(TAPS + 2)[1:-1]
        self._taps = hann / hann.sum()
        self._waiting = np.zeros(TAPS - SECOND)
        self._low = np.zeros(0)
        self._number = 0
        self._kept: list[tuple[float, int, np.ndarray]] = []  # minus mean square, number, window: the loudest first

    def feed(self, rows: np.ndarray, *, silent: bool = False) -> None:
        """Take in the next block, shape (channels, frames), or as much silence; what is left over of 64 samples is not heard."""
        whole = rows.shape[1] // (self._first * SECOND) * (self._first * SECOND)
        if not whole:
            return
        count = whole // self._first
        means = np.zeros(count) if silent else folded(rows, self._first)[:count]
        joined = np.concatenate([self._waiting, means])
        self._waiting = joined[-(TAPS - SECOND) :]
        self._low = np.concatenate([self._low, lowered(joined, self._taps)])
        if len(self._low) < LENGTH:
            return
        levels = variances(self._low).tolist()
        for number, level in enumerate(levels):
            self._keep(self._low[number * HOP : number * HOP + LENGTH], level)
        self._low = self._low[len(levels) * HOP :]

    def _keep(self, window: np.ndarray, level: float) -> None:
        number = self._number
        self._number += 1
        if level < SILENT or (len(self._kept) == MOST and level >= -self._kept[0][0]):
            return
        one = (-level, number, window.astype(np.float32))
        if len(self._kept) == MOST:
            heapq.heapreplace(self._kept, one)
        else:
            heapq.heappush(self._kept, one)

    def windows(self) -> np.ndarray:
        """Return the windows that do not overlap a quieter one, the quietest first, shape (windows, `LENGTH`)."""
        chosen: list[np.ndarray] = []
        taken: set[int] = set()
        for _, number, window in sorted(self._kept, key=lambda one: (-one[0], one[1])):
            if not taken & set(range(number - LENGTH // HOP + 1, number + LENGTH // HOP)):
                taken.add(number)
                chosen.append(window)
        return np.array(chosen) if chosen else np.zeros((0, LENGTH), dtype=np.float32)
