"""Windows: power spectra of a bounded number of evenly spaced places in a stem, and what they say of its colour."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.edge import find_edge
from stemwright.stems.intake.heard import Colour, db

if TYPE_CHECKING:
    from stemwright.stems.info import AudioInfo
    from stemwright.stems.intake.heard import Hum


SHORTEST = 64  # frames: less has no spectrum to speak of


@lru_cache(maxsize=8)
def _hann(length: int) -> np.ndarray:
    return np.asarray(0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(length) / length), dtype=np.float32)


class Windows:
    """Takes one window from the start of evenly spaced blocks.

    Parameters
    ----------
    info : AudioInfo
        Rate and length of what is to come.
    block_frames : int
        Length of the blocks to come.
    """

    def __init__(self, info: AudioInfo, block_frames: int) -> None:
        self._rate_hz = info.rate_hz
        self._length = min(1 << round(math.log2(max(at.WINDOW_SECONDS * info.rate_hz, 1024))), block_frames)
        whole = info.frames // block_frames if info.frames >= block_frames else 1
        self._chosen = frozenset(np.linspace(0, whole - 1, min(at.WINDOWS, whole)).round().astype(int).tolist())
        self._block = 0
        self._total: np.ndarray | None = None  # power of all windows
        self._taken = 0  # windows in it
        self._means: list[np.ndarray] = []

    def feed(self, rows: np.ndarray, *, inverted: bool) -> None:
        """Take in the next block, shape (channels, frames); ``inverted`` sides would cancel in the sum."""
        chosen = self._block in self._chosen
        self._block += 1
        if not chosen or rows.shape[1] < SHORTEST:
            return
        part = rows[:, : self._length]
        if len(part) == 2:
            mono = (part[0] - part[1] if inverted else part[0] + part[1]) * 0.5
        else:
            mono = part[int(np.einsum("ij,ij->i", part, part).argmax())]
        window = _hann(part.shape[1])
        # Weighted by the window, so that a low note cut in the middle of its wave does not pass for an offset.
        self._means.append(part @ window / window.sum())
        spectrum = np.fft.rfft((mono - mono.mean()).astype(np.float32) * window, self._length)
        power = spectrum.real.astype(np.float64) ** 2 + spectrum.imag.astype(np.float64) ** 2
        if not power.any():
            return
        # Scaled so that the sum over all bins is the mean square of the window's audio (Parseval, one-sided).
        power *= 2.0 / (self._length * float(np.dot(window, window)))
        self._total = power if self._total is None else self._total + power
        self._taken += 1

    def _bin(self, freq_hz: float) -> int:
        return math.ceil(freq_hz * self._length / self._rate_hz)

    def offset(self) -> tuple[float, float]:
        """Return the offset of the channel that has most of it, and the share of windows it is in at half its size or more."""
        if not self._means:
            return 0.0, 0.0
        means = np.array(self._means)
        channel = int(np.abs(means.mean(axis=0)).argmax())
        offset = float(means[:, channel].mean())
        return offset, float(np.mean(means[:, channel] * np.sign(offset) >= 0.5 * abs(offset)))

    def colour(self, hum: Hum | None) -> Colour | None:
        """Return what the spectra say, and the hum that was found; None where there was no sound in any window."""
        if self._total is None:
            return None
        mean = self._total / self._taken
        bin_hz = self._rate_hz / self._length
        audible = float(mean[self._bin(at.RUMBLE_HZ) :].sum())  # a thump under a hat does not make it a kick
        lowest = self._bin(at.RUMBLE_FROM_HZ)
        return Colour(
            level_dbfs=db(float(mean.sum()), 10.0),
            rumble_dbfs=db(float(mean[self._bin(at.RUMBLE_FROM_HZ) : self._bin(at.RUMBLE_HZ)].sum()), 10.0),
            low_share=float(mean[self._bin(at.RUMBLE_HZ) : self._bin(at.LOW_BAND_HZ)].sum()) / max(audible, 1e-30),
            high_share=float(mean[self._bin(at.HIGH_BAND_HZ) :].sum()) / max(audible, 1e-30),
            top_share=float(mean[self._bin(at.TOP_BAND_HZ) :].sum()) / max(audible, 1e-30),
            hum=hum,
            edge_hz=find_edge(mean, bin_hz),
            under=tuple((hz, float(mean[lowest : self._bin(hz)].sum())) for hz in at.RUMBLE_CORNERS_HZ),
        )
