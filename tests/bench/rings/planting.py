"""One ring planted into a stem, and whether it can be heard of at all: does it raise its own twelfth of an octave?"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy import signal

LEAST_RAISE_DB = 4.0
_TRIES = 20


@dataclass(frozen=True)
class Plant:
    """A planted ring: an Audio EQ Cookbook bell."""

    freq_hz: float
    q: float
    gain_db: float


def bell(plant: Plant, rate_hz: float) -> np.ndarray:
    """Return the bell's section (Audio EQ Cookbook, peakingEQ, digital form), so that it is none of our own filters."""
    root, turn = 10 ** (plant.gain_db / 40), 2 * math.pi * plant.freq_hz / rate_hz
    alpha, c = math.sin(turn) / (2 * plant.q), math.cos(turn)
    row = np.array([1 + alpha * root, -2 * c, 1 - alpha * root, 1 + alpha / root, -2 * c, 1 - alpha / root])
    return (row / row[3])[np.newaxis]


def raise_db(before: np.ndarray, after: np.ndarray, freq_hz: float, rate_hz: float) -> float:
    """Return how much more power there is within a 24th of an octave to each side, dB."""
    lines_hz = np.fft.rfftfreq(len(before), 1 / rate_hz)
    band = (lines_hz > freq_hz * 2 ** (-1 / 24)) & (lines_hz < freq_hz * 2 ** (1 / 24))
    powers = [(np.abs(np.fft.rfft(a, axis=0)[band]) ** 2).sum() for a in (before, after)]
    return 10 * math.log10(powers[1] / powers[0]) if powers[0] > 0 else 0.0


def plant_one(
    audio: np.ndarray, rate_hz: float, rng: np.random.Generator, from_hz: float = 700.0, to_hz: float = 8000.0
) -> tuple[Plant, np.ndarray] | None:
    """Plant a ring of +9 to +16 dB and Q 20 to 50 that counts, or return None after 20 that do not."""
    for _ in range(_TRIES):
        freq_hz = from_hz * (to_hz / from_hz) ** rng.uniform()
        plant = Plant(freq_hz, 20 * 2.5 ** rng.uniform(), rng.uniform(9, 16))
        after = signal.sosfilt(bell(plant, rate_hz), audio, axis=0)
        if raise_db(audio, after, freq_hz, rate_hz) >= LEAST_RAISE_DB:
            return plant, after
    return None
