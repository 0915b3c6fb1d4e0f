"""A stem from start to end in a few hundred columns: how far the wave reaches, where it is clipped, where it is loud."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

COLUMNS = 480
MOMENT_FRAMES = 16_384
BLOCK_FRAMES = 4 * MOMENT_FRAMES
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


def overview_of(blocks: Iterable[np.ndarray], frames: int, rate_hz: int) -> Overview:
    """Look over a stem.

    Parameters
    ----------
    blocks : iterable of np.ndarray, shape=(frames, channels)
        All of it, in blocks of `BLOCK_FRAMES`.
    frames, rate_hz : int
        Of the stem.
    """
    bin_frames = 1
    while bin_frames < BLOCK_FRAMES and frames > bin_frames * COLUMNS * FINEST:
        bin_frames *= 2
    lows, highs, swings, clipped = [], [], [], []
    done = 0
    for block in blocks:
        rows = np.ascontiguousarray(block.T)
        lows.append(_in_bins(rows, bin_frames, np.minimum))
        highs.append(_in_bins(rows, bin_frames, np.maximum))
        reach = (highs[-1] - lows[-1]) ** 2
        places = np.arange(0, len(reach), max(MOMENT_FRAMES // bin_frames, 1))
        swings.append(np.add.reduceat(reach, places) / max(MOMENT_FRAMES // bin_frames, 1))
        if max(float(highs[-1].max()), -float(lows[-1].min())) >= CLIPPED_FROM:
            clipped += [(done + place) / rate_hz for place in _clipped(rows)]
        done += rows.shape[1]
    if not lows:
        return Overview(np.zeros(0), np.zeros(0), (), np.zeros(0))
    low, high = np.concatenate(lows), np.concatenate(highs)
    edges = np.unique(np.linspace(0, len(low), min(COLUMNS, len(low)), endpoint=False).astype(np.intp))
    return Overview(
        np.minimum.reduceat(low, edges), np.maximum.reduceat(high, edges), tuple(clipped), np.concatenate(swings)
    )


def _in_bins(rows: np.ndarray, bin_frames: int, reduce: np.ufunc) -> np.ndarray:
    whole = rows.shape[1] // bin_frames * bin_frames
    parts = [reduce.reduce(reduce.reduce(rows[:, :whole].reshape(len(rows), -1, bin_frames), axis=2), axis=0)]
    if whole < rows.shape[1]:
        parts.append(np.array([reduce.reduce(rows[:, whole:], axis=None)]))
    return np.concatenate(parts)


def _clipped(rows: np.ndarray) -> list[int]:
    """Return where runs of full-scale samples start, each run once; a run over the edge of a block counts in its longer half."""
    places: set[int] = set()
    for row in rows:
        for full in (row >= CLIPPED_FROM, row <= -CLIPPED_FROM):
            edges = np.flatnonzero(np.diff(np.concatenate([[False], full, [False]]).astype(np.int8)))
            starts, ends = edges[::2], edges[1::2]
            places.update(starts[ends - starts >= CLIPPED_RUN].tolist())
    return sorted(places)
