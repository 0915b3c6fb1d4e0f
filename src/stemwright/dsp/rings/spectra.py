"""Sound in, a bounded number of long spectra out, however long the stem is.

Conventions
-----------
Frames are Hann windowed, about 0.37 s long and a quarter apart, so that neighbouring partials are separate lines. Frame
*i* is centred on sample ``i * hop``; what lies before the start or after the end counts as silence. Power is summed over
channels, so two files of one stem give one spectrum. At most ``MOST_FRAMES`` frames are kept: when there are more, the
louder of each two neighbours stays, and from then on only the loudest frame of each longer group (loudness with the low
end held back by a first difference); they are transformed at the end. Which frames these are depends on the
sound alone, never on how it was cut into blocks. Frames 60 dB under the loudest so far are
no sound and do not count. A stem of up to four seconds keeps all its frames; a longer one costs little more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from stemwright.dsp.transform import transform
from stemwright.errors import AudioError

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

FRAME_44K: Final = 16384
MOST_FRAMES: Final = 40
TOP_HZ: Final = 20000.0
_SHORTS: Final = 4
_TOGETHER: Final = 4  # frames transformed at once: each by itself takes twice as long
_SILENT: Final = 1e-6  # of the loudest so far: 60 dB
_HELD_BACK: Final = 0.9  # the energy of x[n] - 0.9 x[n-1], from two sums of products


@dataclass(frozen=True)
class Spectra:
    """Power spectra of the frames that were kept.

    Parameters
    ----------
    power : np.ndarray, shape (frames, bins)
        Power summed over channels, any scale.
    bin_hz : float
        Distance of two bins, Hz.
    short_power : np.ndarray, shape (frames, 4, short bins)
        The same of four windows of a quarter of the length, half a length apart, about the middle of each frame.
    short_bin_hz : float
        Distance of two short bins, Hz.
    """

    power: Singles
    bin_hz: float
    short_power: Singles
    short_bin_hz: float


class FrameKeeper:
    """Takes sound in blocks of any size and keeps at most ``MOST_FRAMES`` power spectra of it.

    Parameters
    ----------
    rate_hz : float
        Sample rate, Hz.
    channels : int
        Channels in every block.
    """

    def __init__(self, rate_hz: float, channels: int) -> None:
        if not (rate_hz > 0 and channels >= 1):
            raise AudioError(f"rings: cannot work with {channels} channels at {rate_hz:g} Hz")
        self.frame = FRAME_44K * 2 ** max(0, round(np.log2(rate_hz / 46000.0)))
        self.hop = self.frame // 4
        self.rate_hz = float(rate_hz)
        self.bins = min(self.frame // 2 + 1, int(TOP_HZ * 1.03 * self.frame / rate_hz) + 2)
        self._window, self._short_window = _hann(self.frame), _hann(self.hop)
        self._channels = channels
        self._recent = [np.zeros((channels, self.hop), np.float32)] * 4
        self._pending = np.zeros((0, channels))
        self._hop_energy = [0.0] * 4
        self._frames: list[list[Singles]] = []
        self._loudness: list[float] = []
        self._group, self._in_group = 1, 0
        self._best, self._best_energy = self._recent, -1.0
        self._steps_done, self._loudest = 0, 0.0
        self.frames_fed = 0

    def feed(self, block: Floats) -> None:
        """Take the next samples, shape ``(frames, channels)``."""
        if block.ndim != 2 or block.shape[1] != self._channels:
            raise AudioError(f"rings: a block has the shape {block.shape}; expected (frames, {self._channels})")
        with np.errstate(invalid="ignore", over="ignore"):
            total = float(block.sum())  # one sum instead of a test of every sample: a NaN or infinity stays one
        if not math.isfinite(total):
            raise AudioError("rings: the sound has samples that are not numbers (NaN or infinite); repair it first")
        self.frames_fed += len(block)
        waiting = np.concatenate([self._pending, block]) if len(self._pending) else block
        done = 0
        while len(waiting) - done >= self.hop:
            self._step(waiting[done : done + self.hop])
            done += self.hop
        self._pending = waiting[done:].copy()

    def spectra(self) -> Spectra:
        """Return the spectra as if the sound ended here; feeding may not go on after it."""
        while (self._steps_done - 1) * self.hop < self.frames_fed:
            part = np.zeros((self.hop, self._channels))
            part[: len(self._pending)] = self._pending
            self._pending = self._pending[:0]
            self._step(part)
        if self._in_group:
            if len(self._frames) == MOST_FRAMES:
                self._halve()
            self._keep_best()
        power = np.zeros((len(self._frames), self.bins), np.float32)
        short_power = np.zeros((len(self._frames), _SHORTS, (self.bins + 2) // 4 + 1), np.float32)
        half, short = self.hop // 2, self.hop
        for start in range(0, len(self._frames), _TOGETHER):
            some = slice(start, start + _TOGETHER)
            frames = np.stack([np.concatenate(parts, axis=1) for parts in self._frames[some]], axis=1)
            shorts = np.stack([frames[..., i * half : i * half + short] for i in range(1, 1 + _SHORTS)], axis=2)
            power[some] = _power(frames * self._window, self.bins)
            short_power[some] = _power(shorts * self._short_window, short_power.shape[2])
        return Spectra(power, self.rate_hz / self.frame, short_power, self.rate_hz / short)

    def _step(self, part: Floats) -> None:
        """Take in one hop; every hop from the second on completes a frame (the first two frames begin in silence)."""
        self._steps_done += 1
        now = np.ascontiguousarray(part.T, dtype=np.float32)
        self._recent = [*self._recent[1:], now]
        flat = now.ravel()
        energy = (1 + _HELD_BACK**2) * float(flat @ flat) - 2 * _HELD_BACK * float(flat[1:] @ flat[:-1])
        self._hop_energy = [*self._hop_energy[1:], energy]
        if self._steps_done >= 2:
            first, second, third, fourth = self._hop_energy
            self._offer(0.15 * (first + fourth) + 0.85 * (second + third))

    def _offer(self, energy: float) -> None:
        self._loudest = max(self._loudest, energy)
        if energy <= self._loudest * _SILENT:
            return  # silence round a sound must not crowd its own frames out
        if energy > self._best_energy:
            self._best, self._best_energy = self._recent, energy
        self._in_group += 1
        if self._in_group == self._group:
            self._close_group()

    def _close_group(self) -> None:
        if len(self._frames) == MOST_FRAMES:
            self._halve()  # the group is only half as long as groups are from now on: it stays open
        else:
            self._keep_best()

    def _keep_best(self) -> None:
        self._frames.append(self._best)
        self._loudness.append(self._best_energy)
        self._in_group, self._best_energy = 0, -1.0

    def _halve(self) -> None:
        pairs = range(0, MOST_FRAMES, 2)
        louder = [i + (self._loudness[i + 1] > self._loudness[i]) for i in pairs]
        self._frames = [self._frames[i] for i in louder]
        self._loudness = [self._loudness[i] for i in louder]
        self._group *= 2


def _hann(size: int) -> Singles:
    window: Singles = (0.5 - 0.5 * np.cos(2 * np.pi * np.arange(size) / size)).astype(np.float32)
    return window


def _power(frames: Singles, bins: int) -> Singles:
    """Return the power of the lowest bins, summed over the first axis."""
    parts = transform()(frames)[..., :bins].view(np.float32)
    parts *= parts
    power: Singles = parts.sum(axis=0).reshape(*parts.shape[1:-1], bins, 2) @ np.ones(2, np.float32)
    return power
