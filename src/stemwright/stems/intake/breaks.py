"""Breaks: clicks, which are there for a sample or a few and gone, and dropouts, where samples were lost while it sounded.

Conventions
-----------
A click is an impulse: the wave before and after it belong together. A step, such as the edge of a square wave or of a bad cut, is
none. A dropout is a stretch of zeros that the wave falls into and jumps out of; a pause is reached by a fade, or starts from one.
"""

from __future__ import annotations

import numpy as np

from stemwright import native
from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import Breaks

WIDEST = 4  # samples a click may be wide
BESIDE = native.CELL  # frames on each side that a click is held against
MOST = 512  # places kept: a sound with more of them is made of them


class BreakSeeker:
    """Watches blocks for breaks.

    Parameters
    ----------
    rate_hz, channels : int
        Of the audio to come.
    """

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._shortest, self._longest = (round(seconds * rate_hz) for seconds in (at.LOST_FROM, at.LOST_TO))
        self._stride = max(self._shortest // 3, 1)
        self._overlap = self._longest + 2 * BESIDE
        self._held = np.zeros((channels, 0))
        self._frames = 0
        self._clicks: set[int] = set()
        self._lost: set[int] = set()

    def feed(self, rows: np.ndarray, *, silent: bool = False) -> None:
        """Take in the next block, shape (channels, frames); of a silent one only the border with the one before can hold a break."""
        # What lies across the border of two blocks is looked at by itself: joining whole blocks would copy everything.
        seam = np.concatenate([self._held, rows[:, : self._overlap]], axis=1)
        parts = [(seam, self._frames - self._held.shape[1])] + ([] if silent else [(rows, self._frames)])
        for part, start in parts:
            for row in part:
                if len(self._lost) < MOST:
                    self._find_lost(row, start)
            if len(self._clicks) < MOST:
                self._find_clicks(part, start)
        self._frames += rows.shape[1]
        latest = rows if rows.shape[1] >= self._overlap else seam
        self._held = latest[:, max(latest.shape[1] - self._overlap, 0) :].copy()

    def breaks(self) -> Breaks:
        """Return what was found; places within a hundredth of a second count once."""
        return Breaks(_apart(self._clicks, 2 * BESIDE), _apart(self._lost, self._longest))

    def _find_lost(self, row: np.ndarray, offset: int) -> None:
        zeros = np.flatnonzero(row[:: self._stride] == 0.0)
        if len(zeros) < 2:
            return
        groups = np.split(zeros, np.flatnonzero(np.diff(zeros) > 1) + 1)
        for group in groups:
            first, last = int(group[0]) * self._stride, int(group[-1]) * self._stride
            if last - first > self._longest or len(group) < 2:
                continue
            before, after = row[max(first - self._stride, 0) : first + 1], row[last : last + self._stride + 1]
            start = first - (len(before) - 1 - int(np.flatnonzero(before)[-1])) + 1 if before.any() else -1
            stop = last + int(np.flatnonzero(after)[0]) if after.any() else -1
            length = stop - start
            if start <= BESIDE or stop < 0 or stop + BESIDE > len(row) or not self._shortest <= length <= self._longest:
                continue
            if row[start:stop].any():
                continue
            sides = row[start - BESIDE : start], row[stop : stop + BESIDE]
            levels = [float(np.sqrt(np.mean(side**2))) for side in sides]
            if min(levels) < at.LOST_LEAST:
                continue
            jumps = abs(row[start - 1]) / levels[0], abs(row[stop]) / levels[1]
            if max(jumps) >= at.LOST_JUMP and min(jumps) >= at.LOST_LEAST_JUMP:
                self._lost.add(offset + start)

    def _find_clicks(self, rows: np.ndarray, offset: int) -> None:
        highest, usual = bends(rows)
        high = highest >= at.CLICK_LEAST
        if not high.any():
            return
        around = usual.copy()
        np.maximum(around[:, 1:], usual[:, :-1], out=around[:, 1:])
        np.maximum(around[:, :-1], usual[:, 1:], out=around[:, :-1])
        for row, sharp in zip(rows, high & (highest > at.CLICK_MEAN * around), strict=True):
            if len(self._clicks) >= MOST:
                return
            for cell in np.flatnonzero(sharp).tolist():
                bend = np.diff(row[cell * BESIDE : (cell + 1) * BESIDE + 2], 2)
                self._judge(row, cell * BESIDE + int(np.abs(bend).argmax()) + 1, offset)

    def _judge(self, row: np.ndarray, place: int, offset: int) -> None:
        if place < BESIDE or place + BESIDE > len(row):
            return  # seen whole with the block before or after
        near = slice(place - WIDEST - 2, place + WIDEST + 3)
        beside = np.concatenate([row[place - BESIDE : near.start], row[near.stop : place + BESIDE]])
        bends = np.abs(np.diff(beside, 2))
        # The line across: what the wave would have done, from the samples on both sides.
        left, right = float(row[near.start]), float(row[near.stop - 1])
        across = np.linspace(left, right, near.stop - near.start)
        out = np.abs(row[near] - across)
        height = float(out.max())
        if height < at.CLICK_LEAST or np.count_nonzero(out > 0.25 * height) > WIDEST:
            return
        if height < at.CLICK_OVER * float(np.quantile(bends, 0.98)) or height < at.CLICK_OVER_STEP * abs(right - left):
            return
        self._clicks.add(offset + place)


def bends(rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return how much each cell of rows bends: its highest second difference, by size, and the mean size of every fourth.

    Parameters
    ----------
    rows : np.ndarray, shape=(channels, frames)
        float64, contiguous.

    Returns
    -------
    (np.ndarray, np.ndarray), shape=(channels, cells)
    """
    if native.kernels is not None:
        return native.kernels.bends(rows)
    cells = max((rows.shape[1] - 2) // BESIDE, 0)
    part = rows[:, : cells * BESIDE + 2]
    bend = part[:, 2:] + part[:, :-2]
    bend -= part[:, 1:-1]
    bend -= part[:, 1:-1]
    bend = bend[:, : cells * BESIDE].reshape(len(rows), cells, BESIDE)
    return np.maximum(bend.max(axis=2), -bend.min(axis=2)), np.abs(bend[:, :, ::4]).mean(axis=2)


def _apart(places: set[int], frames: int) -> tuple[int, ...]:
    kept: list[int] = []
    for place in sorted(places):
        if not kept or place - kept[-1] > frames:
            kept.append(place)
    return tuple(kept)
