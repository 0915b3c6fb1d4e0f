"""Hot spots: runs of samples at full scale, and what the wave does between samples near it. Quiet blocks cost nothing."""

from __future__ import annotations

import numpy as np

from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import Clipping

TAPS = 32
HALF = TAPS // 2
PHASES = 4  # BS.1770-5 Annex 2: at least 192 kHz; what a 4 times meter may miss is said there (0.554 dB at 0.45 of the rate)


def _kernels() -> np.ndarray:
    """Return Kaiser-windowed sincs for 1/4, 1/2 and 3/4 of the way to the next sample, shape (TAPS, 3)."""
    distance = (np.arange(TAPS) - (HALF - 1))[:, np.newaxis] - np.arange(1, PHASES)[np.newaxis, :] / PHASES
    kernels = np.sinc(distance) * np.i0(7.0 * np.sqrt(np.clip(1.0 - (distance / HALF) ** 2, 0.0, None)))
    return np.asarray(kernels / kernels.sum(axis=0))


class HotSpots:
    """Watches blocks for samples near full scale.

    Parameters
    ----------
    channels : int
        Channels of the audio to come.
    """

    def __init__(self, channels: int) -> None:
        self._kernels = _kernels()
        self._tail = np.zeros((channels, TAPS))
        self._frames = 0
        self._open: list[tuple[int, float, int]] = [
            (0, 0.0, 0)
        ] * channels  # running at the last block's end: length, value, start
        self._runs, self._longest, self._first, self._longest_at = 0, 0, -1, 0
        self.true_peak, self.true_peak_frame = 0.0, 0

    def feed(self, rows: np.ndarray, peaks: np.ndarray, chunk: int) -> None:
        """Take in the next block, shape (channels, frames), and the peaks of its chunks of so many frames."""
        for channel, row in enumerate(rows):
            if peaks[channel].max() >= at.FULL_SCALE:
                self._find_runs(channel, row)
            else:
                self._close(channel)
        if peaks.max() >= self._floor() or np.abs(self._tail).max() >= self._floor():
            audio = np.concatenate([self._tail, rows], axis=1)
            for channel, row in enumerate(audio):
                self._oversample(row, np.flatnonzero(peaks[channel] >= self._floor()), chunk)
        length = rows.shape[1]
        self._tail = rows[:, -TAPS:].copy() if length >= TAPS else np.concatenate([self._tail, rows], axis=1)[:, -TAPS:]
        self._frames += length

    def _floor(self) -> float:
        """Return the level that is worth a look: near full scale, and near the highest peak so far."""
        return max(at.WORTH_OVERSAMPLING, 0.9 * self.true_peak)

    def clipping(self) -> Clipping | None:
        """Return the runs found, None if there are none."""
        for channel in range(len(self._open)):
            self._close(channel)
        if not self._runs:
            return None
        return Clipping(runs=self._runs, longest=self._longest, first_frame=self._first, longest_frame=self._longest_at)

    def _close(self, channel: int) -> None:
        length, _, start = self._open[channel]
        self._open[channel] = (0, 0.0, 0)
        self._count(length, start)

    def _count(self, length: int, start: int) -> None:
        if length < at.CLIPPED_SAMPLES:
            return
        self._runs += 1
        if self._first < 0 or start < self._first:
            self._first = start
        if length > self._longest:
            self._longest, self._longest_at = length, start

    def _find_runs(self, channel: int, row: np.ndarray) -> None:
        found = np.flatnonzero((row >= at.FULL_SCALE) | (row <= -at.FULL_SCALE))
        length, value, start = self._open[channel]
        self._open[channel] = (0, 0.0, 0)
        if not len(found):
            self._count(length, start)
            return
        values = row[found]
        breaks = np.flatnonzero((np.diff(found) > 1) | (np.abs(np.diff(values)) > at.FLAT)) + 1
        firsts = np.concatenate([[0], breaks])
        lasts = np.concatenate([breaks, [len(found)]])
        lengths, starts = lasts - firsts, found[firsts] + self._frames
        if length and found[0] == 0 and abs(values[0] - value) <= at.FLAT:
            lengths[0] += length
            starts[0] = start
        else:
            self._count(length, start)
        if found[-1] == len(row) - 1:
            self._open[channel] = (int(lengths[-1]), float(values[-1]), int(starts[-1]))
            lengths, starts = lengths[:-1], starts[:-1]
        for each in np.flatnonzero(lengths >= at.CLIPPED_SAMPLES):
            self._count(int(lengths[each]), int(starts[each]))

    def _oversample(self, row: np.ndarray, chunks: np.ndarray, chunk: int) -> None:
        """Look between the samples beside high local maxima: of the tail before this block, and of its loud chunks."""
        floor = self._floor()
        places = [np.arange(HALF, TAPS)] + [TAPS + number * chunk + np.arange(chunk) for number in chunks]
        at_frames = np.concatenate(places)
        at_frames = at_frames[at_frames < len(row) - HALF]
        level = np.abs(row[at_frames])
        high = level >= floor
        found, level = at_frames[high], level[high]
        maxima = (level >= np.abs(row[found - 1])) & (level >= np.abs(row[found + 1]))
        found = found[maxima]
        if not len(found):
            return
        # Both sides of the maximum: the sample before it opens the interval on its left.
        opens = np.concatenate([found - 1, found])
        windows = np.lib.stride_tricks.sliding_window_view(row, TAPS)[opens - (HALF - 1)]
        heights = np.abs(windows @ self._kernels).max(axis=1)
        best = int(heights.argmax())
        if heights[best] > self.true_peak:
            self.true_peak = float(heights[best])
            self.true_peak_frame = max(self._frames + int(opens[best]) - TAPS, 0)
