"""Sounds made here, the smaller part of the material: steady noise, noise hits, lines, held and vibrato tones, gliding low notes."""

from __future__ import annotations

import numpy as np
from scipy import signal

RATE_HZ = 44100
SHAPES = ("noise", "hits", "hits", "line", "held", "vibrato", "low glide")


def made(rng: np.random.Generator, count: int) -> list[tuple[str, str, np.ndarray]]:
    """Return class, name and samples of so many sounds."""
    out = []
    for number in range(count):
        shape = SHAPES[number % len(SHAPES)]
        frames = int(RATE_HZ * rng.uniform(3, 9))
        audio = {"noise": _noise, "hits": _hits, "line": _line}.get(shape, lambda n, r, s=shape: _tone(n, r, s))(frames, rng)
        audio = audio / np.abs(audio).max() + rng.normal(size=frames) * 10 ** (rng.uniform(-100, -60) / 20)
        kind = {"hits": "percussion", "line": "melody", "low glide": "bass", "noise": "effects"}.get(shape, shape)
        out.append((kind, f"{shape} #{number}", audio[:, np.newaxis].astype(np.float32)))
    return out


def _noise(frames: int, rng: np.random.Generator) -> np.ndarray:
    return signal.lfilter([1.0], [1.0, -float(rng.choice([0.0, 0.0, 0.5, 0.9, 0.97]))], rng.normal(size=frames))


def _hits(frames: int, rng: np.random.Generator) -> np.ndarray:
    out, step, spread = np.zeros(frames), rng.uniform(0.12, 0.5), rng.uniform(0.02, 0.1)
    for at in range(0, frames, int(step * RATE_HZ)):
        length = int(rng.uniform(0.08, 0.25) * RATE_HZ)
        burst = rng.normal(size=length) * np.exp(-np.arange(length) / (spread * RATE_HZ)) * 10 ** (rng.uniform(-12, 0) / 20)
        part = signal.lfilter([1.0], [1.0, -rng.uniform(0.0, 0.9)], burst)[: frames - at]
        out[at : at + len(part)] += part
    return out


def _partials(freq_hz: np.ndarray, rng: np.random.Generator, tilt: float, uneven: np.ndarray) -> np.ndarray:
    turn = 2 * np.pi * np.cumsum(freq_hz) / RATE_HZ
    count = min(len(uneven), int(10000 / freq_hz.max()))
    phases = rng.uniform(0, 6.28, count)
    tone: np.ndarray = sum((k + 1) ** -tilt * uneven[k] * np.sin((k + 1) * turn + phases[k]) for k in range(count))
    return tone


def _line(frames: int, rng: np.random.Generator) -> np.ndarray:
    out, root_hz, tilt = np.zeros(frames), 65 * 2 ** rng.uniform(0, 3), rng.uniform(0.6, 1.6)
    uneven, at = 10 ** (rng.normal(0, float(rng.choice([0, 2, 4])), 60) / 20), 0
    while at < frames:
        length = int(rng.uniform(0.12, 0.7) * RATE_HZ)
        tone = _partials(np.full(length, root_hz * 2 ** (int(rng.integers(0, 18)) / 12)), rng, tilt, uneven)
        tone *= np.exp(-np.arange(length) / RATE_HZ * rng.uniform(0.5, 4)) * np.minimum(1, np.arange(length) / 200)
        out[at : at + length] += tone[: frames - at]
        at += length
    return out


def _tone(frames: int, rng: np.random.Generator, shape: str) -> np.ndarray:
    t = np.arange(frames) / RATE_HZ
    uneven, root_hz = 10 ** (rng.normal(0, 3, 60) / 20), 65 * 2 ** rng.uniform(0, 3)
    if shape == "vibrato":
        return _partials(
            root_hz * (1 + rng.uniform(0.003, 0.02) * np.sin(2 * np.pi * rng.uniform(4, 6.5) * t)),
            rng,
            rng.uniform(0.6, 1.4),
            uneven,
        )
    if shape == "low glide":
        period = rng.uniform(0.4, 1.5)
        freq_hz = 38 * 2 ** (rng.uniform(0, 1) + rng.uniform(0.5, 3) * np.exp(-(t % period) * rng.uniform(5, 40)))
        return np.tanh(3 * np.sin(2 * np.pi * np.cumsum(freq_hz) / RATE_HZ) * np.exp(-(t % period) * 2))
    chord = [1.0, 1.26, 1.5][: int(rng.integers(1, 4))]
    return np.asarray(sum(_partials(np.full(frames, root_hz * r), rng, rng.uniform(0.6, 1.6), uneven) for r in chord))
