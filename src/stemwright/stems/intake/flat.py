"""Flat tops: runs of equal samples at a stem's own highest level, cut off before the stem was turned down.

Conventions
-----------
A clipped wave arrives at its top on a slope and leaves it on one; a wave that is round up there changes by less and less. So a
flat top is two samples or more within a few steps of the word, with a corner on each side. Squares are flat most of the time, a
coarse word is flat at every level, and a sound played again and again has one top with the same corners every time: none of
them was clipped on its way here.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import Clipping, db

MOST = 4096  # flat runs kept of each channel: more change no verdict


class _Run(NamedTuple):
    """A flat top: its level, its length and where it begins in frames, and how far the samples beside it are below it."""

    level: float
    length: int
    frame: int
    corners: tuple[float, float]


class FlatTops:
    """Watches blocks for flat tops.

    Parameters
    ----------
    channels : int
        Channels of the audio to come.
    step : float
        One step of the stem's word; of 24 bits for what is finer.
    """

    def __init__(self, channels: int, step: float) -> None:
        self._flat = at.FLAT_STEPS * max(step, 2.0**-23)
        self._tops = np.zeros(channels)
        self._runs: list[list[_Run]] = [[] for _ in range(channels)]
        self._rich = np.zeros(channels, dtype=np.int64)  # samples looked at
        self._frames = 0

    def feed(self, rows: np.ndarray, peaks: np.ndarray, chunk: int) -> None:
        """Take in the next block, shape (channels, frames), and the peaks of its chunks of so many frames."""
        for channel, row in enumerate(rows):
            top = float(peaks[channel].max(initial=0.0))
            self._tops[channel] = max(self._tops[channel], top)
            least = max(at.FLAT_FROM * self._tops[channel], at.FLAT_LEAST)
            if top < least or len(self._runs[channel]) >= MOST:
                continue
            for number in np.flatnonzero(peaks[channel] >= least):
                self._look(channel, row, int(number) * chunk, min((int(number) + 1) * chunk, len(row)), least)
        self._frames += rows.shape[1]

    def _look(self, channel: int, row: np.ndarray, start: int, stop: int, least: float) -> None:
        part = row[max(start - 1, 0) : stop + 1]
        level = np.abs(part)
        same = np.abs(np.diff(part)) <= self._flat
        flat = same & (level[1:] >= least)
        self._rich[channel] += len(part)
        if not flat.any():
            return
        edges = np.diff(np.concatenate([[0], flat.view(np.int8), [0]]))
        firsts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
        for first, end in zip(firsts, ends, strict=True):
            length = int(end - first) + 1
            if first == 0 or end >= len(part) - 1:
                continue
            before, after = level[first] - level[first - 1], level[end] - level[end + 1]
            if min(before, after) >= at.FLAT_CORNER * self._flat:
                corners = (round(float(before), 3), round(float(after), 3))
                frame = self._frames + max(start - 1, 0) + int(first)
                self._runs[channel].append(_Run(float(level[first]), length, frame, corners))

    def clipping(self) -> tuple[Clipping, float] | None:
        """Return the runs at a channel's top and that top in dBFS; None if there are none, or they are the sound's own."""
        best: tuple[Clipping, float] | None = None
        for top, runs, looked in zip(self._tops, self._runs, self._rich, strict=True):
            found = [run for run in runs if run.level >= top - 2.0 * self._flat]
            different = len({run.corners for run in found})
            share = sum(run.length for run in found) / max(int(looked), 1)
            if top >= at.FULL_SCALE or different < at.FLAT_RUNS or different < at.FLAT_DIFFERENT * len(found):
                continue
            if share > at.FLAT_MOST or len(runs) - len(found) > at.FLAT_ELSEWHERE * len(found):
                continue
            longest = max(found, key=lambda run: run.length)
            clipping = Clipping(
                runs=len(found), longest=longest.length, first_frame=found[0].frame, longest_frame=longest.frame
            )
            if best is None or clipping.runs > best[0].runs:
                best = (clipping, db(float(top)))
        return best
