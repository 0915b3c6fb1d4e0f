"""Listening: one stem's blocks reduced to numbers, a few passes over memory each, so that it costs less than decoding."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.overview import Overviewer, extremes
from stemwright.dsp.silence import is_silent
from stemwright.stems.audio import BLOCK_FRAMES, read_blocks
from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.breaks import BreakSeeker
from stemwright.stems.intake.flat import FlatTops
from stemwright.stems.intake.heard import Heard
from stemwright.stems.intake.hot import HotSpots
from stemwright.stems.intake.hum import find_hum
from stemwright.stems.intake.quiet import QuietWindows
from stemwright.stems.intake.windows import Windows
from stemwright.stems.limits import LARGEST_SAMPLE

if TYPE_CHECKING:
    from hashlib import _Hash as Hash
    from pathlib import Path

    from stemwright.stems.info import AudioInfo


CHUNK = 1024  # frames


def listen(path: Path, info: AudioInfo, digest: Hash | None = None) -> Heard:
    """Hear a whole stem.

    Parameters
    ----------
    path : Path
        The file that `info` was read from.
    info : AudioInfo
        From `probe`.
    digest : hash, optional
        Takes in the file's bytes on the way.

    Returns
    -------
    Heard

    Raises
    ------
    AudioError
        If the audio cannot be decoded or ends early.
    """
    listener = Listener(info)
    for block in read_blocks(path, info, digest=digest):
        listener.feed(block)
    return listener.heard()


class Listener:
    """Takes a stem's blocks in order; memory grows by eight bytes a block.

    Parameters
    ----------
    info : AudioInfo
        Rate, channels and length of what is to come.
    """

    def __init__(self, info: AudioInfo) -> None:
        self._channels = info.channels
        self._frames = 0
        self._peaks = np.zeros(info.channels)
        self._squares = np.zeros(info.channels)
        self._cross = 0.0
        self._energies: list[float] = []
        self._first: int | None = None
        self._last_loud: tuple[int, np.ndarray, int] | None = None  # where that block starts, it, and its last loud chunk
        self._bad, self._first_bad = 0, 0
        self._hot = HotSpots(info.channels)
        self._flat = FlatTops(info.channels, 2.0 ** (1 - (info.bits or 24)))
        self._breaks = BreakSeeker(info.rate_hz, info.channels)
        self._windows = Windows(info, BLOCK_FRAMES)
        self._quiet = QuietWindows(info)
        self._overviewer = Overviewer(info.frames, info.rate_hz)
        self._width = min(self._overviewer.bin_frames, CHUNK)

    def feed(self, block: np.ndarray) -> None:
        """Take in the next block, float64, shape (frames, channels)."""
        rows = np.ascontiguousarray(block.T)
        silent = is_silent(rows)
        lows, highs = self._extremes(rows, silent=silent)
        if not ((highs <= LARGEST_SAMPLE) & (lows >= -LARGEST_SAMPLE)).all():
            rows = self._without_bad(rows)
            lows, highs = self._extremes(rows)
        self._overviewer.take(lows, highs, self._width, rows.T)
        chunks = np.arange(0, lows.shape[1], CHUNK // self._width)
        peaks = np.maximum.reduceat(np.maximum(highs, -lows), chunks, axis=1)
        cross = 0.0
        if silent:
            self._energies.append(0.0)
        else:
            cross = self._feed_levels(rows, peaks)
        self._hot.feed(rows, peaks, CHUNK)
        self._flat.feed(rows, peaks, CHUNK)
        self._breaks.feed(rows, silent=silent)
        self._windows.feed(rows, inverted=cross < 0.0)
        self._quiet.feed(rows, silent=silent)
        self._frames += rows.shape[1]

    def _extremes(self, rows: np.ndarray, *, silent: bool = False) -> tuple[np.ndarray, np.ndarray]:
        if silent:
            lows, highs = np.zeros((2, self._channels, -(-rows.shape[1] // self._width)))
            return lows, highs
        return extremes(rows, self._width)

    def _feed_levels(self, rows: np.ndarray, peaks: np.ndarray) -> float:
        """Take in how loud a block is and where it sounds; return the product of two sides, 0 for other numbers of channels."""
        np.maximum(self._peaks, peaks.max(axis=1), out=self._peaks)
        squares = [float(row @ row) for row in rows]
        cross = float(rows[0] @ rows[1]) if self._channels == 2 else 0.0
        self._squares += squares
        self._cross += cross
        self._energies.append(sum(squares))
        loud = np.flatnonzero(peaks.max(axis=0) >= at.SOUND)
        if len(loud):
            if self._first is None:
                self._first = self._frames + _first_at(rows, int(loud[0]))
            self._last_loud = (self._frames, rows, int(loud[-1]))
        return cross

    def _without_bad(self, rows: np.ndarray) -> np.ndarray:
        bad = ~(np.abs(rows) <= LARGEST_SAMPLE)
        if not self._bad:
            self._first_bad = self._frames + int(np.flatnonzero(bad.any(axis=0))[0])
        self._bad += int(np.count_nonzero(bad))
        return np.where(bad, 0.0, rows)

    def heard(self) -> Heard:
        """Return what was heard."""
        frames = max(self._frames, 1)
        offset, offset_share = self._windows.offset()
        return Heard(
            frames=self._frames,
            peaks=tuple(self._peaks.tolist()),
            powers=tuple((self._squares / frames).tolist()),
            offset=offset,
            offset_share=offset_share,
            cross=self._cross / frames if self._channels == 2 else None,
            energies=tuple(self._energies),
            first_sound=self._first,
            last_sound=self._last_sound(),
            bad=self._bad,
            first_bad=self._first_bad,
            clipping=self._hot.clipping(),
            clipped_earlier=self._flat.clipping(),
            breaks=self._breaks.breaks(),
            true_peak=self._hot.true_peak,
            true_peak_frame=self._hot.true_peak_frame,
            colour=self._windows.colour(find_hum(self._quiet.windows(), self._quiet.rate_hz)),
            overview=None if self._bad else self._overviewer.overview(),
        )

    def _last_sound(self) -> int | None:
        if self._last_loud is None:
            return None
        start, rows, chunk = self._last_loud
        part = np.abs(rows[:, chunk * CHUNK : (chunk + 1) * CHUNK]).max(axis=0)
        return start + chunk * CHUNK + int(np.flatnonzero(part >= at.SOUND)[-1])


def _first_at(rows: np.ndarray, chunk: int) -> int:
    part = np.abs(rows[:, chunk * CHUNK : (chunk + 1) * CHUNK]).max(axis=0)
    return chunk * CHUNK + int(np.flatnonzero(part >= at.SOUND)[0])
