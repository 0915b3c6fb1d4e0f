"""Heard: what a note changes in the sound of one stem, measured on the stem as received, and the least that is heard.

Conventions
-----------
A change is the mean of a curve in dB over a band, each third of an octave weighted with the stem's own power in it. The least
step is 1 dB: twice the smallest difference in level that is heard (0.41 dB in noise, 0.5 dB in a loud tone: Zwicker & Fastl).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.prototypes import RANGES, magnitude_db
from stemwright.stems.audio import probe, read_blocks

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from stemwright.plan.items import PlannedMove

LEAST_DB = 1.0
LARGEST_SCALE = 3.0
FFT = 8192
QUIET_DB = -50.0  # a band this far under the stem's whole power has nothing to lift
CENTRES_HZ = 1000.0 * 10.0 ** (np.arange(-17, 14) / 10.0)  # IEC 61260-1, base 10


@dataclass(frozen=True)
class Change:
    """A band in Hz, the mean change in it in dB, and how far its power lies under the whole stem's, dB."""

    low_hz: float
    high_hz: float
    mean_db: float
    share_db: float


def spectrum(path: Path) -> np.ndarray:
    """Return a stem's power in third octaves, from 20 Hz to 20 kHz, shape (31,), without a scale."""
    info = probe(path)
    return spectrum_of(read_blocks(path, info, FFT), info.rate_hz)


def spectrum_of(blocks: Iterable[np.ndarray], rate_hz: int) -> np.ndarray:
    """Return the power of a sound in third octaves, shape (31,), without a scale; each block, (frames, channels), by itself."""
    window = np.hanning(FFT)
    total = np.zeros(FFT // 2 + 1)
    for block in blocks:
        for start in range(0, len(block), FFT):
            piece = block[start : start + FFT]
            mono = np.zeros(FFT)
            mono[: len(piece)] = piece.mean(axis=1)
            total += np.abs(np.fft.rfft(mono * window)) ** 2
    return in_thirds(total, rate_hz)


def in_thirds(total: np.ndarray, rate_hz: int) -> np.ndarray:
    """Return the power in third octaves, shape (31,), of that in the bins of a transform of `FFT` frames."""
    freq_hz = np.fft.rfftfreq(FFT, 1.0 / rate_hz)
    edges = CENTRES_HZ * 10.0**0.05
    return np.array(
        [
            _between(total, freq_hz, low, high)
            for low, high in zip([CENTRES_HZ[0] / 10**0.05, *edges[:-1]], edges, strict=True)
        ]
    )


def _between(total: np.ndarray, freq_hz: np.ndarray, low: float, high: float) -> float:
    inside = (freq_hz >= low) & (freq_hz < high)
    if inside.any():
        return float(total[inside].sum())
    return float(np.interp((low * high) ** 0.5, freq_hz, total) * (high - low) / freq_hz[1])


def curve_db(moves: Sequence[tuple[str, Mapping[str, float]]]) -> np.ndarray:
    """Return what moves do together in each third octave, dB, shape (31,)."""
    curves = [
        np.full(len(CENTRES_HZ), settings["gain_db"]) if kind == "gain" else magnitude_db(kind, settings, CENTRES_HZ)
        for kind, settings in moves
        if kind in RANGES  # what others do depends on the sound, or is no change of it
    ]
    return np.asarray(np.sum(curves, axis=0)) if curves else np.zeros(len(CENTRES_HZ))


def change(power: np.ndarray, curve: np.ndarray) -> Change:
    """Return the band in which a curve does at least half of its most, and its mean there on this stem."""
    most = float(np.max(np.abs(curve)))
    peak = curve[int(np.argmax(np.abs(curve)))]
    inside = (np.abs(curve) >= most / 2) & (np.sign(curve) == np.sign(peak))
    weights = power[inside]
    whole = float(power.sum())
    mean = float(np.average(curve[inside], weights=weights)) if weights.sum() > 0 else float(curve[inside].mean())
    share = 10.0 * np.log10(float(weights.sum()) / whole) if whole > 0 and weights.sum() > 0 else -np.inf
    bands = CENTRES_HZ[inside]
    return Change(float(bands[0] / 10**0.05), float(bands[-1] * 10**0.05), mean, float(share))


def scale(power: np.ndarray, moves: Sequence[PlannedMove], amount: float) -> float:
    """Return by how much an amount must grow for its change to be `LEAST_DB`, at least 1 and at most `LARGEST_SCALE`.

    It is worked out for the amount without its sign, so that a word and its opposite stay each other's inverse.
    """
    plain = [
        (move.kind, {**move.settings, "gain_db": move.note.base_db * abs(amount)})
        for move in moves
        if move.note is not None and "gain_db" in move.settings
    ]
    if not plain:
        return 1.0
    mean = abs(change(power, curve_db(plain)).mean_db)
    return 1.0 if mean >= LEAST_DB or mean == 0.0 else min(LARGEST_SCALE, LEAST_DB / mean)
