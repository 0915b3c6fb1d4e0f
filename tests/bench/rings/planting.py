"""One ring planted into a stem: a bell of the Audio EQ Cookbook, or a decaying mode convolved with it, as a room or a body has.

A mode's pole has the Q that is asked for, so it falls 60 dB in 2.1988 Q / f0 seconds (ln 1000 / pi); it comes in at any phase.
The bell of gain A^2 has a pole of A times its Q: the two are the same thing where the mode comes in in phase.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import fft, signal

Q_RANGE, GAIN_RANGE_DB, FREQ_RANGE_HZ = (5.0, 80.0), (4.0, 18.0), (120.0, 10000.0)
QUIETEST_DB = -50.0
_TRIES = 30


@dataclass(frozen=True)
class Plant:
    """A planted ring: its kind (``bell`` or ``mode``), centre, Q (of the bell, or of the mode's pole), gain at its top, dB."""

    kind: str
    freq_hz: float
    q: float
    gain_db: float
    phase: float = 0.0


def bell(plant: Plant, rate_hz: float) -> np.ndarray:
    """Return the bell's section (Audio EQ Cookbook, peakingEQ, digital form), so that it is none of our own filters."""
    root, turn = 10 ** (plant.gain_db / 40), 2 * math.pi * plant.freq_hz / rate_hz
    alpha, c = math.sin(turn) / (2 * plant.q), math.cos(turn)
    row = np.array([1 + alpha * root, -2 * c, 1 - alpha * root, 1 + alpha / root, -2 * c, 1 - alpha / root])
    return (row / row[3])[np.newaxis]


def mode(plant: Plant, rate_hz: float) -> np.ndarray:
    """Return the section of 1 + a decaying cosine of that phase, as loud as lifts the spectrum's top by the gain."""
    pole = np.exp((-math.pi / plant.q + 2j * math.pi) * plant.freq_hz / rate_hz)
    turn = np.exp(1j * plant.phase)
    below = np.array([1.0, -2 * pole.real, abs(pole) ** 2])
    above = np.array([turn.real, -(turn * np.conj(pole)).real, 0.0])
    freq_hz = plant.freq_hz * 2 ** np.linspace(-1 / plant.q, 1 / plant.q, 201)
    _, answer = signal.freqz(above, below, freq_hz, fs=rate_hz)
    low, high = 0.0, 100.0
    for _ in range(50):
        share = (low + high) / 2
        low, high = (low, share) if np.abs(1 + share * answer).max() > 10 ** (plant.gain_db / 20) else (share, high)
    return np.concatenate([below + low * above, below])[np.newaxis]


def section_of(plant: Plant, rate_hz: float) -> np.ndarray:
    """Return the section that plants it."""
    return bell(plant, rate_hz) if plant.kind == "bell" else mode(plant, rate_hz)


@dataclass(frozen=True)
class Before:
    """A stem's power spectrum before anything is planted: its lines, Hz, their power, and that of the loudest third of an octave."""

    freq_hz: np.ndarray
    power: np.ndarray
    loudest: float


def before_of(audio: np.ndarray, rate_hz: float) -> Before:
    """Return the spectrum of the whole stem; single precision and a handy length, as it took most of the time of planting."""
    size = fft.next_fast_len(len(audio), real=True)
    power = (np.abs(fft.rfft(audio.astype(np.float32), size, axis=0)) ** 2).sum(axis=1, dtype=np.float64)
    lines_hz = np.fft.rfftfreq(size, 1 / rate_hz)
    edges = 40 * 2 ** (np.arange(0, 28) / 3)
    thirds = np.add.reduceat(power, np.minimum(np.searchsorted(lines_hz, edges), len(power) - 1))
    return Before(lines_hz, power, float(thirds.max()))


def counts(before: Before, plant: Plant, rate_hz: float) -> bool:
    """Say whether the ring is there to be heard at all.

    It raises the power of its own half-gain width by at least half of its gain in dB, and what is there then is no more than
    50 dB under the loudest third of an octave.
    """
    width_q = plant.q if plant.kind == "bell" else plant.q * 10 ** (-plant.gain_db / 40)
    sides = plant.freq_hz * 2 ** (np.array([-0.72, 0.72]) / width_q)
    band = slice(*np.searchsorted(before.freq_hz, sides))
    was = before.power[band].sum()
    if not was > 0:
        return False
    _, answer = signal.freqz_sos(section_of(plant, rate_hz), before.freq_hz[band], fs=rate_hz)
    now = (before.power[band] * np.abs(answer) ** 2).sum()
    return bool(10 * math.log10(now / was) >= plant.gain_db / 2 and now > before.loudest * 10 ** (QUIETEST_DB / 10))


def plant_one(audio: np.ndarray, rate_hz: float, rng: np.random.Generator, kind: str) -> tuple[Plant, np.ndarray] | None:
    """Plant a ring that counts, or return None after thirty that do not."""
    before = before_of(audio, rate_hz)
    for _ in range(_TRIES):
        freq_hz, q = (r[0] * (r[1] / r[0]) ** rng.uniform() for r in (FREQ_RANGE_HZ, Q_RANGE))
        plant = Plant(
            kind,
            freq_hz,
            q,
            rng.uniform(*GAIN_RANGE_DB),
            float(rng.choice([0, -math.pi / 2, rng.uniform(-math.pi / 2, math.pi / 2)])),
        )
        if counts(before, plant, rate_hz):
            return plant, signal.sosfilt(section_of(plant, rate_hz), audio, axis=0)
    return None
