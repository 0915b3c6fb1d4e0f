"""Beat: the stems of a song as powers of bands on one grid, and how much of the one in front is heard over the others.

Conventions
-----------
A voice's audibility is the Speech Intelligibility Index in frames of 20 ms; anything else's is the share of its ERB bands that
stands out of the others, weighted with its own excitation, over the same span of 30 dB. The front's own level is its mean
over 10 s where it sounds, so that consonants and soft words do not count as covers; the index counts where the front sounds.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.audibility import IMPORTANCE, band_audibility, full_scale_db, spectrum_levels
from stemwright.dsp.bands import FRAMES_A_SECOND

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

STEP = 2  # frames of a matrix to one of the index
A_SECOND = FRAMES_A_SECOND // STEP
OWN_SECONDS = 10.0  # shorter, and soft phrases would be called covered, which are a matter of the voice's own level
SOUNDS_DB = -25.0  # the front sounds where it is no further under its loud moments
FLOOR = 1e-12  # power: less is nothing


class Beat:
    """The stems of a song as powers of bands on one grid of 20 ms.

    Parameters
    ----------
    stems : mapping of str to np.ndarray
        Powers, shape (frames, bands), every 10 ms, from the song's start.
    front : sequence of str
        The stem in front, and its other side where it is a pair.
    voice : bool
        Whether the front is a voice.
    """

    def __init__(self, stems: Mapping[str, np.ndarray], front: Sequence[str], *, voice: bool) -> None:
        self.front, self.voice = tuple(front), voice
        length = max((len(power) for power in stems.values()), default=0)
        length += -length % STEP
        grid = {stem: _on_grid(power, length) for stem, power in stems.items()}
        own = np.sum([grid.pop(stem) for stem in self.front], axis=0)
        self.others = grid
        self.total = np.sum(list(grid.values()), axis=0) if grid else np.zeros_like(own)
        loud = own.sum(axis=1)
        peak = float(np.percentile(loud[loud > FLOOR], 95)) if (loud > FLOOR).any() else 0.0
        self.sounds = (loud > peak * 10.0 ** (SOUNDS_DB / 10.0)) & (loud > FLOOR)
        around = running(own * self.sounds[:, np.newaxis], round(OWN_SECONDS * A_SECOND))
        counts = running(self.sounds[:, np.newaxis].astype(np.float64), round(OWN_SECONDS * A_SECOND))
        self.own = around / np.maximum(counts, 1e-9)
        self.scale_db = full_scale_db(own[self.sounds]) if self.sounds.any() else 0.0

    def audible(self, rest: np.ndarray, frames: slice | np.ndarray = slice(None)) -> np.ndarray:
        """Return how much of each band of the front is heard over `rest`, weighted so that a frame's sum is its index."""
        own = self.own[frames]
        if self.voice:
            speech, noise = (spectrum_levels(each, self.scale_db) for each in (own, rest))
            return np.asarray(band_audibility(speech, noise) * IMPORTANCE)
        ratio_db = 10.0 * np.log10(np.maximum(own, FLOOR) / np.maximum(rest, FLOOR))
        weight = np.maximum(own, 0.0) ** 0.3  # loudness grows with the power to about 0.3 (Stevens)
        return np.asarray(
            np.clip((ratio_db + 15.0) / 30.0, 0.0, 1.0) * weight / np.maximum(weight.sum(axis=1, keepdims=True), FLOOR)
        )

    def index_of(self, rest: np.ndarray, frames: slice) -> float:
        """Return the mean index in a stretch, over the frames in which the front sounds, given the others' powers there."""
        sounding = self.sounds[frames]
        return float(self.audible(rest, frames).sum(axis=1)[sounding].mean()) if sounding.any() else 0.0


def _on_grid(power: np.ndarray, frames: int) -> np.ndarray:
    padded = np.zeros((frames, power.shape[1]))
    padded[: len(power)] = power
    return np.asarray(padded.reshape(frames // STEP, STEP, power.shape[1]).mean(axis=1))


def running(rows: np.ndarray, frames: int) -> np.ndarray:
    """Return the mean over so many rows around each; what is beyond the ends counts as 0."""
    sums = np.concatenate([np.zeros((1, rows.shape[1])), np.cumsum(rows, axis=0)])
    at = np.arange(len(rows))
    low, high = np.maximum(at - frames // 2, 0), np.minimum(at - frames // 2 + frames, len(rows))
    return np.asarray((sums[high] - sums[low]) / frames)
