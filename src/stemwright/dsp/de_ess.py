"""De-ess: the top of a voice lowered while it is most of the sound, all channels alike.

Conventions
-----------
Blocks are ``(frames, channels)`` float64. Our definition, there being no published one:

* The band is what two equal first-order high-passes at ``freq_hz`` let through (-6 dB there). The sound minus the band times
  (1 - gain) comes out: with no reduction it is the sound itself, with a steady one nearly a shelf.
* In every step of 1 ms, counted from the start of the sound, the band's power over all channels is held against the whole
  sound's, both smoothed over the last 8 steps. That says how much of the sound is sibilance, however loud it is.
* The reduction wanted is by how many dB the band is nearer to the whole than ``over_db``, at most ``most_db``; none under
  -60 dBFS. It comes with ``attack_ms`` and goes with ``release_ms``: 63 % of a change in dB (IEC's time constant of a
  first-order system). Within a step the gain runs straight from the last step's to its own, so nothing is late.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from stemwright.dsp.cascade import Cascade

STEP_SECONDS = 0.001
SMOOTHED_STEPS = 8
SILENT = 1e-6  # mean square: -60 dBFS
WORKING_DB = 0.1


@dataclass(frozen=True, kw_only=True)
class DeEssSettings:
    """In Hz, dB and ms: ``over_db`` is how near the band comes to the whole sound, ``most_db`` the largest reduction."""

    freq_hz: float
    over_db: float
    most_db: float
    attack_ms: float
    release_ms: float


@dataclass(frozen=True, kw_only=True)
class Reduction:
    """What a de-esser did: the largest reduction, its mean while it worked (dB), and the share of time it worked."""

    most_db: float
    mean_db: float
    share: float


class DeEsser:
    """A linked split-band de-esser with carried state; ``sections`` are of one first-order high-pass at its frequency.

    Parameters
    ----------
    settings : DeEssSettings
    sections : np.ndarray, shape=(n, 6)
    rate_hz, channels : int
    """

    def __init__(self, settings: DeEssSettings, sections: np.ndarray, rate_hz: int, channels: int) -> None:
        self._settings = settings
        self._channels = channels
        self._band = Cascade(np.concatenate([sections, sections]), channels)
        self._step = max(round(STEP_SECONDS * rate_hz), 1)
        step_ms = self._step * 1000.0 / rate_hz
        self._attack = 1.0 - math.exp(-step_ms / settings.attack_ms)
        self._release = 1.0 - math.exp(-step_ms / settings.release_ms)
        self._smoothing = 1.0 / SMOOTHED_STEPS
        self._powers = (0.0, 0.0)  # of the band and of the whole
        self._now_db = 0.0
        self._gain = 1.0
        self._waiting = np.zeros((0, channels))
        self._steps, self._working, self._sum_db, self._most_db = 0, 0, 0.0, 0.0

    def process(self, block: np.ndarray) -> np.ndarray:
        """Take in the next block and return all whole steps; less than one is held back."""
        sound = np.concatenate([self._waiting, block])
        whole = len(sound) - len(sound) % self._step
        self._waiting = sound[whole:]
        return self._steps_of(sound[:whole])

    def finish(self) -> np.ndarray:
        """Return what was held back."""
        left = len(self._waiting)
        if not left:
            return self._waiting
        padded = np.concatenate([self._waiting, np.zeros((self._step - left, self._channels))])
        self._waiting = padded[:0]
        return self._steps_of(padded)[:left]

    @property
    def reduction(self) -> Reduction:
        """What it did so far."""
        mean_db = self._sum_db / self._working if self._working else 0.0
        return Reduction(most_db=self._most_db, mean_db=mean_db, share=self._working / max(self._steps, 1))

    def _steps_of(self, sound: np.ndarray) -> np.ndarray:
        if not len(sound):
            return sound
        band = self._band.process(sound)
        squares = [np.square(part).reshape(-1, self._step * self._channels).mean(axis=1).tolist() for part in (band, sound)]
        ends = np.array([self._gain, *(self._next(top, all_) for top, all_ in zip(*squares, strict=True))])
        rise = np.arange(1, self._step + 1) / self._step
        gains = (ends[:-1, np.newaxis] + np.diff(ends)[:, np.newaxis] * rise).reshape(-1, 1)
        return np.asarray(sound - (1.0 - gains) * band)

    def _next(self, top: float, whole: float) -> float:
        """Return the gain at the end of a step with these mean squares."""
        asked = self._settings
        was_top, was_whole = self._powers
        top, whole = was_top + self._smoothing * (top - was_top), was_whole + self._smoothing * (whole - was_whole)
        self._powers = (top, whole)
        wanted = 0.0
        if whole > SILENT and top > 0.0:
            wanted = min(max(10.0 * math.log10(top / whole) - asked.over_db, 0.0), asked.most_db)
        self._now_db += (self._attack if wanted > self._now_db else self._release) * (wanted - self._now_db)
        self._steps += 1
        if self._now_db >= WORKING_DB:
            self._working += 1
            self._sum_db += self._now_db
        self._most_db = max(self._most_db, self._now_db)
        self._gain = 10.0 ** (-self._now_db / 20.0)
        return self._gain
