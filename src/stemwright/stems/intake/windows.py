"""Windows: power spectra of a bounded number of evenly spaced places in a stem, and what they say of its colour."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import Colour, db
from stemwright.stems.intake.lines import find_edge, find_hum

if TYPE_CHECKING:
    from stemwright.stems.info import AudioInfo


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
        self._length = min(1 << round(np.log2(max(at.WINDOW_SECONDS * info.rate_hz, 1024))), block_frames)
        whole = info.frames // block_frames if info.frames >= block_frames else 1
        self._chosen = frozenset(np.linspace(0, whole - 1, min(at.WINDOWS, whole)).round().astype(int).tolist())
        self._block = 0
        self._spectra: list[np.ndarray] = []
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
        # Scaled so that the sum over all bins is the mean square of the window's audio (Parseval, one-sided).
        self._spectra.append(power * (2.0 / (self._length * float(np.sum(window.astype(np.float64) ** 2)))))

    def offset(self) -> tuple[float, float]:
        """Return the offset of the channel that has most of it, and the share of windows it is in at half its size or more."""
        if not self._means:
            return 0.0, 0.0
        means = np.array(self._means)
        channel = int(np.abs(means.mean(axis=0)).argmax())
        offset = float(means[:, channel].mean())
        return offset, float(np.mean(means[:, channel] * np.sign(offset) >= 0.5 * abs(offset)))

    def colour(self) -> Colour | None:
        """Return what the spectra say; None where there was no sound in any window."""
        spectra = np.array([one for one in self._spectra if one.sum() > 0.0])
        if not len(spectra):
            return None
        mean = spectra.mean(axis=0)
        freq_hz = np.arange(len(mean)) * (self._rate_hz / self._length)
        total = float(mean.sum())
        audible = freq_hz >= at.RUMBLE_HZ  # a thump under a hat does not make it a kick
        heard = max(float(mean[audible].sum()), 1e-30)
        return Colour(
            level_dbfs=db(total, 10.0),
            rumble_dbfs=db(float(mean[(freq_hz >= at.RUMBLE_FROM_HZ) & (freq_hz < at.RUMBLE_HZ)].sum()), 10.0),
            low_share=float(mean[audible & (freq_hz < at.LOW_BAND_HZ)].sum()) / heard,
            high_share=float(mean[freq_hz >= at.HIGH_BAND_HZ].sum()) / heard,
            hum=find_hum(spectra, self._rate_hz / self._length),
            edge_hz=find_edge(mean, self._rate_hz / self._length),
        )
