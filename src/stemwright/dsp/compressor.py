"""The compressor: what is louder than a threshold lowered by a ratio, all channels alike.

Conventions
-----------
Blocks are ``(frames, channels)`` float64. A feed-forward compressor whose gain is smoothed in dB with separate times up and down
(Giannoulis, Massberg and Reiss, Digital Dynamic Range Compressor Design, JAES 60(6), 2012, "smooth branching in the log domain"):

* In every step (half a millisecond, or a tenth of the attack where that is less) the level is the highest sample of all channels,
  in dBFS, and holds for 10 ms, half a wave of 50 Hz, so that the wave itself does not turn the gain. Of a release under 20 ms it
  holds for half.
* The reduction wanted is what the level is over the threshold, times (1 - 1/ratio).
* ``attack_ms`` and ``release_ms`` are the times to 63 % (1 - 1/e) of a change in dB, the hold counted in.

Within a step the gain runs straight from the last step's to its own.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from stemwright.dsp.dynamics import CompressorSettings

STEP_SECONDS = 0.0005
HOLD_SECONDS = 0.010
LEAST_DB = 1e-6  # less reduction is none; it keeps the arithmetic out of numbers that are slow


class SteppedCompressor:
    """A linked peak compressor with carried state; less than a step is held back until `finish`.

    Parameters
    ----------
    settings : CompressorSettings
    rate_hz, channels : int
    """

    def __init__(self, settings: CompressorSettings, rate_hz: int, channels: int) -> None:
        seconds = min(STEP_SECONDS, settings.attack_ms / 10_000.0)
        self._step = max(round(seconds * rate_hz), 1)
        step_ms = self._step * 1000.0 / rate_hz
        hold_ms = min(HOLD_SECONDS * 1000.0, settings.release_ms / 2.0)
        held = max(round(hold_ms / step_ms), 1)
        self._attack = 1.0 - math.exp(-step_ms / settings.attack_ms)
        self._release = 1.0 - math.exp(-step_ms / (settings.release_ms - hold_ms))
        self._threshold_db = settings.threshold_db
        self._slope = 1.0 - 1.0 / settings.ratio
        self._makeup = 10.0 ** (settings.makeup_db / 20.0)
        self._before = np.zeros(held - 1)  # the levels of the steps that still hold
        self._now_db = 0.0
        self._gain = 1.0
        self._waiting = np.zeros((0, channels))

    def process(self, block: np.ndarray) -> np.ndarray:
        """Take in the next block and return all whole steps."""
        sound = np.concatenate([self._waiting, block])
        whole = len(sound) - len(sound) % self._step
        self._waiting = sound[whole:]
        return self._steps_of(sound[:whole])

    def finish(self) -> np.ndarray:
        """Return what was held back."""
        left = len(self._waiting)
        if not left:
            return self._waiting
        padded = np.concatenate([self._waiting, np.zeros((self._step - left, self._waiting.shape[1]))])
        self._waiting = padded[:0]
        return self._steps_of(padded)[:left]

    def _steps_of(self, sound: np.ndarray) -> np.ndarray:
        if not len(sound):
            return sound
        peaks = np.abs(sound).reshape(-1, self._step * sound.shape[1]).max(axis=1)
        levels = np.concatenate([self._before, peaks])
        self._before = levels[len(peaks) :]
        highest = np.lib.stride_tricks.sliding_window_view(levels, len(self._before) + 1).max(axis=1)
        ends = np.array([self._gain, *self._gains(highest.tolist())])
        self._gain = float(ends[-1])
        rise = np.arange(1, self._step + 1) / self._step
        gains = (ends[:-1, np.newaxis] + np.diff(ends)[:, np.newaxis] * rise).reshape(-1, 1)
        return np.asarray(sound * (gains * self._makeup))

    def _gains(self, levels: list[float]) -> list[float]:
        """Return the gain at the end of each step."""
        now_db, gains = self._now_db, []
        threshold = 10.0 ** (self._threshold_db / 20.0)
        for level in levels:
            wanted_db = self._slope * (20.0 * math.log10(level) - self._threshold_db) if level > threshold else 0.0
            now_db += (self._attack if wanted_db > now_db else self._release) * (wanted_db - now_db)
            if now_db < LEAST_DB:
                now_db = 0.0
            gains.append(10.0 ** (-now_db / 20.0) if now_db else 1.0)
        self._now_db = now_db
        return gains
