"""Loudness and levels: gated programme loudness (ITU-R BS.1770-5), true peak, sample peak and RMS of a stem.

Conventions
-----------
Blocks are ``(frames, channels)`` float64, full scale 1.0. Loudness is in LUFS, peaks in dBTP and dBFS, RMS in dB re a
full-scale square (a full-scale sine reads -3.01). Programme loudness needs at least 400 ms; a shorter sound has none.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass

import numpy as np

from stemwright import native
from stemwright.dsp.cascade import Cascade
from stemwright.dsp.rows import rows_db
from stemwright.dsp.silence import is_silent
from stemwright.dsp.true_peak import TruePeak

ABSOLUTE_GATE_LUFS = -70.0  # BS.1770-5, Annex 1
RELATIVE_GATE_LU = -10.0
OFFSET_DB = -0.691  # equation 2
K_RATE_HZ = 48_000  # of the published tables
STEPS_A_BLOCK = 4  # 400 ms blocks every 100 ms
LFE, BACKS, SIDES = 0x8, 0x30, 0x600  # of a channel mask (Microsoft, WAVEFORMATEXTENSIBLE)
SURROUND_GAIN = 1.41  # Ls and Rs of a five-channel or 5.1 file, the sides of 7.1

# Analog prototypes behind the tables for 48 kHz; they give those coefficients to 12 digits and carry them to other rates.
SHELF = (1681.974450955533, 3.999843853973347, 0.7071752369554196)
SHELF_BAND_EXPONENT = 0.4996667741545416
HIGH_PASS = (38.13547087602444, 0.5003270373238773)


@dataclass(frozen=True)
class Levels:
    """What a meter says of one stem; None where the sound is silent, too short for the measure, or not measured."""

    lufs: float | None = None
    true_peak_dbtp: float | None = None
    sample_peak_dbfs: float | None = None
    rms_dbfs: float | None = None

    @property
    def rounded(self) -> Levels:
        """The same to a hundredth of a decibel, as manifests have it."""
        return Levels(**{key: None if value is None else round(value, 2) for key, value in asdict(self).items()})


def k_weighting(rate_hz: int) -> np.ndarray:
    """Return the two K-weighting sections at a sample rate.

    Parameters
    ----------
    rate_hz : int
        Sample rate.

    Returns
    -------
    np.ndarray, shape=(2, 6)
        Rows ``b0 b1 b2 a0 a1 a2``; BS.1770-5 Annex 1 Tables 1 and 2 at 48 kHz, "the same frequency response" elsewhere.
    """
    f0, gain_db, q = SHELF
    k = math.tan(math.pi * f0 / rate_hz)
    high = 10.0 ** (gain_db / 20.0)
    band = high**SHELF_BAND_EXPONENT
    a0 = 1.0 + k / q + k * k
    shelf = [
        (high + band * k / q + k * k) / a0,
        2.0 * (k * k - high) / a0,
        (high - band * k / q + k * k) / a0,
        1.0,
        2.0 * (k * k - 1.0) / a0,
        (1.0 - k / q + k * k) / a0,
    ]
    f0, q = HIGH_PASS
    k = math.tan(math.pi * f0 / rate_hz)
    a0 = 1.0 + k / q + k * k
    # The tables leave the numerator at 1 -2 1; its pass band then depends on the rate by a few hundredths of a dB, so
    # it is scaled by what 48 kHz has.
    k48 = math.tan(math.pi * f0 / 48000.0)
    scale = (1.0 + k48 / q + k48 * k48) / a0
    high_pass = [scale, -2.0 * scale, scale, 1.0, 2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0]
    return np.array([shelf, high_pass])


def k_weights(freq_hz: np.ndarray) -> np.ndarray:
    """Return by what K-weighting multiplies power at frequencies in Hz up to 24 kHz (BS.1770-5, the tables for 48 kHz)."""
    return np.asarray(10.0 ** (rows_db(k_weighting(K_RATE_HZ), np.sin(np.pi * freq_hz / K_RATE_HZ) ** 2) / 10.0))


def channel_gains(channels: int, speakers: int = 0) -> np.ndarray:
    """Return BS.1770-5's weight of each channel, by its speaker, or by the layout that so many channels usually are.

    Annex 3 Table 4 gives 1.41 to what stands 60 to 120 degrees to the side at ear height, 1 to all else, and an LFE is left
    out. So the sides have 1.41, and the backs where there are no sides (they are 5.1's surrounds then).

    Parameters
    ----------
    channels : int
    speakers : int
        One bit a channel, in order, as WAVE_FORMAT_EXTENSIBLE's channel mask; anything else is taken by the count: 5.0, 5.1
        and 7.1 as L R C LFE, backs, sides.
    """
    if speakers.bit_count() == channels and channels > 2:
        there = [1 << bit for bit in range(32) if speakers >> bit & 1]
        beside = SIDES if speakers & SIDES else BACKS
        return np.array([0.0 if one == LFE else SURROUND_GAIN if one & beside else 1.0 for one in there])
    gains = np.ones(channels)
    if channels in (5, 6, 8):
        gains[-2:] = SURROUND_GAIN
    if channels in (6, 8):
        gains[3] = 0.0
    return gains


class LevelMeter:
    """Measure a stem block by block; memory grows by eight bytes for every 100 ms.

    Parameters
    ----------
    rate_hz : int
        Sample rate.
    channels : int
        Number of channels.
    speakers : int
        As in `channel_gains`.
    peaks : bool
        Whether peaks are measured too, which is most of the work; without it they are None.
    """

    def __init__(self, rate_hz: int, channels: int, speakers: int = 0, *, peaks: bool = True) -> None:
        self._rate_hz = rate_hz
        self._sos = k_weighting(rate_hz)
        self._state = np.zeros((2, channels, 2))
        self._weighting = Cascade(self._sos, channels)  # for where there are no kernels
        self._gains = channel_gains(channels, speakers)
        self._true_peak = TruePeak(channels) if peaks else None
        self._channels = channels
        self._frames = 0
        self._power = 0.0
        self._steps: list[float] = [0.0]  # weighted energy of every 100 ms step; the last one is still filling

    def feed(self, block: np.ndarray) -> None:
        """Take in the next block, float64, shape (frames, channels)."""
        if not len(block):
            return
        rows = np.ascontiguousarray(block.T, dtype=np.float64)
        if self._true_peak is not None:
            self._true_peak.feed(rows.T)
        first = len(self._steps) - 1
        last = self._step_of(self._frames + len(block) - 1)
        edges = np.array([max(self._start_of(step) - self._frames, 0) for step in range(first, last + 1)], np.int64)
        power, sums = self._energies(rows, edges)
        self._power += power
        self._steps[-1] += float(sums[0])
        self._steps.extend(sums[1:].tolist())
        self._frames += len(block)
        if self._start_of(last + 1) == self._frames:
            self._steps.append(0.0)

    def _energies(self, rows: np.ndarray, edges: np.ndarray) -> tuple[float, np.ndarray]:
        """Return the sum of squares of the rows, and their weighted energy from every edge to the next."""
        if native.kernels is not None:
            if not self._state.any() and is_silent(rows):
                return 0.0, np.zeros(len(edges))
            return native.kernels.meter(self._sos, self._state, rows, self._gains, edges)
        weighted = self._weighting.process(rows.T).T
        return float(np.dot(rows.ravel(), rows.ravel())), np.add.reduceat(self._gains @ np.square(weighted), edges)

    def levels(self) -> Levels:
        """Return the levels of all that was fed."""
        if not self._frames:
            return Levels(None, None, None, None)
        return Levels(
            lufs=self._integrated(),
            true_peak_dbtp=None if self._true_peak is None else _db(self._true_peak.finish(), 20.0),
            sample_peak_dbfs=None if self._true_peak is None else _db(self._true_peak.sample_peak, 20.0),
            rms_dbfs=_db(self._power / (self._frames * self._channels), 10.0),
        )

    def _start_of(self, step: int) -> int:
        """Return the first frame of a 100 ms step, to the nearest sample."""
        return (step * self._rate_hz + 5) // 10

    def _step_of(self, frame: int) -> int:
        guess = frame * 10 // self._rate_hz
        while self._start_of(guess + 1) <= frame:
            guess += 1
        while self._start_of(guess) > frame:
            guess -= 1
        return guess

    def _integrated(self) -> float | None:
        steps = np.array(self._steps[:-1])  # the step still filling belongs to an incomplete block: not used
        if len(steps) < STEPS_A_BLOCK:
            return None
        starts = np.array([self._start_of(step) for step in range(len(steps) + 1)])
        totals = np.concatenate([[0.0], np.cumsum(steps)])
        blocks = (totals[STEPS_A_BLOCK:] - totals[:-STEPS_A_BLOCK]) / (starts[STEPS_A_BLOCK:] - starts[:-STEPS_A_BLOCK])
        loud = blocks[blocks > _mean_square(ABSOLUTE_GATE_LUFS)]
        if not len(loud):
            return None
        gate = float(np.mean(loud)) * 10.0 ** (RELATIVE_GATE_LU / 10.0)
        return OFFSET_DB + 10.0 * math.log10(float(np.mean(loud[loud > gate])))


def _mean_square(lufs: float) -> float:
    return float(10.0 ** ((lufs - OFFSET_DB) / 10.0))


def _db(value: float, factor: float) -> float | None:
    return factor * math.log10(value) if value > 0.0 else None
