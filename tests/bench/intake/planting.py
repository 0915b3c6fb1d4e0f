"""Faults as they happen, planted into recordings: each function takes and returns float64 audio, shape (frames, channels)."""

from __future__ import annotations

import numpy as np

STEM_SECONDS = 24.0


def as_stem(audio: np.ndarray, rate_hz: int, rng: np.random.Generator) -> np.ndarray:
    """Return a recording as a stem of 24 s: a long one as it is, a short one again and again on a beat."""
    frames = round(STEM_SECONDS * rate_hz)
    if len(audio) >= frames:
        return audio[:frames].copy()
    beat = max(len(audio), round(rng.choice([0.5, 1.0, 2.0]) * rate_hz))
    one = np.concatenate([audio, np.zeros((beat - len(audio), audio.shape[1]))])
    gains = 10.0 ** (rng.uniform(-6.0, 0.0, frames // beat + 1) / 20.0)
    return np.concatenate([one * gain for gain in gains])[:frames]


def with_gaps(stem: np.ndarray, rate_hz: int, share: float) -> np.ndarray:
    """Return the stem with nothing played in so much of its time: once every 8 s, faded over 10 ms."""
    played = np.ones(len(stem))
    period, fade = 8 * rate_hz, round(0.01 * rate_hz)
    for start in range(period // 3, len(stem), period):
        played[start : start + round(share * period)] = 0.0
    played = np.convolve(played, np.full(fade, 1.0 / fade), mode="same")
    return stem * np.clip(played, 0.0, 1.0)[:, np.newaxis]


def hum(stem: np.ndarray, rate_hz: int, mains_hz: float, level_dbfs: float, rng: np.random.Generator) -> np.ndarray:
    """Return the stem with hum: 6 to 10 harmonics of a frequency within 0.5 % of the mains', so loud in all (RMS)."""
    time = np.arange(len(stem)) / rate_hz
    true_hz = mains_hz * (1.0 + rng.uniform(-0.005, 0.005))
    fall = rng.uniform(0.5, 1.5)
    wave = np.zeros(len(stem))
    for number in range(1, int(rng.integers(6, 11))):
        amplitude = number**-fall * 10.0 ** (rng.uniform(-5.0, 5.0) / 20.0)
        wave += amplitude * np.sin(2.0 * np.pi * (number * true_hz * time + rng.uniform()))
    wave *= 10.0 ** (level_dbfs / 20.0) / np.sqrt(np.mean(wave**2))
    return stem + wave[:, np.newaxis]


def clipped_then_lowered(stem: np.ndarray, over_db: float, gain_db: float) -> np.ndarray:
    """Return the stem driven so far over full scale, cut off there, and turned down."""
    driven = stem / np.abs(stem).max() * 10.0 ** (over_db / 20.0)
    return np.clip(driven, -1.0, 1.0) * 10.0 ** (gain_db / 20.0)


def _loud_places(stem: np.ndarray, rate_hz: int, count: int, rng: np.random.Generator) -> np.ndarray:
    """Return frames where something sounds: within 20 dB of the loudest 10 ms, half a second or more apart."""
    step = rate_hz // 100
    level = np.abs(stem[: len(stem) // step * step]).max(axis=1).reshape(-1, step).max(axis=1)
    order = rng.permutation(np.flatnonzero(level[1:-1] >= 0.1 * level.max()) + 1)
    chosen: list[int] = []
    for place in order:
        if all(abs(place - other) >= 50 for other in chosen):
            chosen.append(int(place))
        if len(chosen) == count:
            break
    return np.array(chosen) * step + step // 2


def clicks(stem: np.ndarray, rate_hz: int, count: int, rng: np.random.Generator) -> np.ndarray:
    """Return the stem with clicks of 1 to 3 samples, as high as the peak of the sound or half of it, where it sounds."""
    made = stem.copy()
    for place in _loud_places(stem, rate_hz, count, rng):
        width = int(rng.integers(1, 4))
        height = np.abs(stem).max() * rng.uniform(0.5, 1.0) * rng.choice([-1.0, 1.0])
        made[place : place + width] += height
    return np.clip(made, -1.0, 1.0)


def dropouts(stem: np.ndarray, rate_hz: int, count: int, seconds: float, rng: np.random.Generator) -> np.ndarray:
    """Return the stem with its samples lost (zeros) for so long, where it sounds before, after and meanwhile."""
    made = stem.copy()
    for place in _loud_places(stem, rate_hz, count, rng):
        made[place : place + round(seconds * rate_hz)] = 0.0
    return made
