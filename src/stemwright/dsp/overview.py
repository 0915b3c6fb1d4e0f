"""A stem from start to end in a few hundred columns: how far the wave reaches, where it is clipped, where it is loud.

Conventions
-----------
Blocks are ``(frames, channels)``, floats at full scale 1.0 or integers with the scale that brings them there; they may have any
length, which never shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright import native

if TYPE_CHECKING:
    from collections.abc import Iterable

COLUMNS = 480
MOMENT_FRAMES = 16_384
FINEST = 8  # bins a column, before they are put together
# Three samples in a row at the last step of a 16-bit word or above: common practice for telling a clipped wave, no source.
CLIPPED_FROM = 1.0 - 2.0**-15
CLIPPED_RUN = 3


@dataclass(frozen=True)
class Overview:
    """What a stem looks like from far away.

    ``lows`` and ``highs`` are the lowest and highest sample of every column, ``clipped`` the times in seconds where runs of
    samples stand at full scale, ``swings`` how far the wave swings in every moment of `MOMENT_FRAMES`: the square of its reach from
    lowest to highest, mean over a few places, which tells loud from quiet at no cost.
    """

    lows: np.ndarray
    highs: np.ndarray
    clipped: tuple[float, ...]
    swings: np.ndarray


class Overviewer:
    """Looks over a stem block by block; memory grows by sixteen bytes for every `MOMENT_FRAMES` of a long stem.

    Parameters
    ----------
    frames, rate_hz : int
        Of the stem.
    """

    def __init__(self, frames: int, rate_hz: int) -> None:
        self._rate_hz = rate_hz
        self.bin_frames = 1
        while self.bin_frames < MOMENT_FRAMES and frames > self.bin_frames * COLUMNS * FINEST:
            self.bin_frames *= 2
        self._held: np.ndarray | None = None  # less than a bin
        self._scale = 1.0
        self._lows: list[np.ndarray] = []
        self._highs: list[np.ndarray] = []
        self._frames = 0
        self._clipped: set[int] = set()
        self._running: dict[tuple[int, int], int] = {}  # by channel and side: how long a run at the last block's end is

    def feed(self, block: np.ndarray, scale: float = 1.0) -> None:
        """Take in the next block; ``scale`` brings its numbers to full scale 1.0."""
        self._scale = scale
        joined = block if self._held is None else np.concatenate([self._held, block])
        whole = len(joined) // self.bin_frames * self.bin_frames
        self._held = joined[whole:].copy() if whole < len(joined) else None
        if whole:
            self._take_whole(joined[:whole], self.bin_frames, scale)

    def take(self, lows: np.ndarray, highs: np.ndarray, width: int, block: np.ndarray) -> None:
        """Take in a block, as `feed` does, whose `extremes` are known.

        Parameters
        ----------
        lows, highs : np.ndarray, shape=(channels, parts)
        width : int
            Of the parts, in frames; a bin is a whole number of them.
        block : np.ndarray, shape=(frames, channels)
            Whole bins, unless it is the last.
        """
        parts = np.arange(0, lows.shape[1], self.bin_frames // width)
        self._take(np.minimum.reduceat(lows.min(axis=0), parts), np.maximum.reduceat(highs.max(axis=0), parts), block, 1.0)

    def overview(self) -> Overview:
        """Return what was seen, once all is through."""
        if self._held is not None:
            self._take_whole(self._held, len(self._held), self._scale)
            self._held = None
        if not self._lows:
            return Overview(np.zeros(0), np.zeros(0), (), np.zeros(0))
        low, high = np.concatenate(self._lows), np.concatenate(self._highs)
        moments = np.arange(0, len(low), MOMENT_FRAMES // self.bin_frames)
        swings = np.add.reduceat((high - low) ** 2, moments) / (MOMENT_FRAMES // self.bin_frames)
        edges = np.unique(np.linspace(0, len(low), min(COLUMNS, len(low)), endpoint=False).astype(np.intp))
        clipped = tuple(place / self._rate_hz for place in sorted(self._clipped))
        return Overview(np.minimum.reduceat(low, edges), np.maximum.reduceat(high, edges), clipped, swings)

    def _take_whole(self, block: np.ndarray, bin_frames: int, scale: float) -> None:
        """Take in whole bins, by all channels at once where they lie beside each other."""
        if block.flags.c_contiguous:
            cut = block.reshape(-1, bin_frames * block.shape[1])
            lows, highs = cut.min(axis=1), cut.max(axis=1)
        else:
            of_channels = extremes(np.ascontiguousarray(block.T, np.float64), bin_frames)
            lows, highs = of_channels[0].min(axis=0), of_channels[1].max(axis=0)
        self._take(lows.astype(np.float64) * scale, highs.astype(np.float64) * scale, block, scale)

    def _take(self, lows: np.ndarray, highs: np.ndarray, block: np.ndarray, scale: float) -> None:
        self._lows.append(lows)
        self._highs.append(highs)
        if max(float(highs.max()), -float(lows.min())) >= CLIPPED_FROM:
            self._find_clipped(block.T * scale)
        else:
            self._running.clear()
        self._frames += len(block)

    def _find_clipped(self, rows: np.ndarray) -> None:
        """Note where runs of full-scale samples start, each run once, whatever blocks it came in."""
        for channel, row in enumerate(rows):
            for side, full in enumerate((row >= CLIPPED_FROM, row <= -CLIPPED_FROM)):
                edges = np.flatnonzero(np.diff(np.concatenate([[False], full, [False]]).astype(np.int8)))
                starts, ends = edges[::2], edges[1::2]
                before = self._running.pop((channel, side), 0)
                if not len(starts):
                    continue
                if starts[0] == 0:
                    starts[0] = -before  # where the run began, which `_clipped` may hold already
                lengths = ends - starts
                if ends[-1] == len(row):
                    self._running[channel, side] = int(lengths[-1])
                self._clipped.update((starts[lengths >= CLIPPED_RUN] + self._frames).tolist())


def overview_of(blocks: Iterable[np.ndarray], frames: int, rate_hz: int) -> Overview:
    """Look over a stem, float blocks of it, of so many frames in all at a rate in Hz."""
    overviewer = Overviewer(frames, rate_hz)
    for block in blocks:
        overviewer.feed(block)
    return overviewer.overview()


def extremes(rows: np.ndarray, width: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the lowest and the highest sample of every part of rows.

    Parameters
    ----------
    rows : np.ndarray, shape=(channels, frames)
        float64, contiguous.
    width : int
        Frames in a part; the last one may be shorter.

    Returns
    -------
    (np.ndarray, np.ndarray), shape=(channels, parts)
        What is no number, or infinite, makes its part none.
    """
    if native.kernels is not None:
        return native.kernels.extremes(rows, width)
    channels, frames = rows.shape
    whole = frames // width * width
    cut, rest = rows[:, :whole].reshape(channels, -1, width), rows[:, whole:]
    lows, highs = np.empty((2, channels, -(-frames // width)))
    for reduce, found in ((np.minimum, lows), (np.maximum, highs)):
        reduce.reduce(cut, axis=2, out=found[:, : cut.shape[1]])
        if whole < frames:
            reduce.reduce(rest, axis=1, out=found[:, -1])
    odd = ~(np.isfinite(lows) & np.isfinite(highs))
    lows[odd] = highs[odd] = np.nan
    return lows, highs
