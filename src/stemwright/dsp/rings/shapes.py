"""Bell shapes on a logarithmic frequency scale, and how well a curve fits one at every frequency.

Conventions
-----------
A curve is a level in dB on ``POINTS_PER_OCTAVE`` points an octave (5 cents). Two fits, each at every point and for
several Q: *wide* takes the bell against the mean of a third of an octave to each side; *near* takes it against a cubic through 1.6
widths to each side, so that slopes and broad tone colours do not count. A fit's height is the gain in dB of the bell that
fits best.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

POINTS_PER_OCTAVE: Final = 240
_WIDE_Q: Final = (14, 20, 28, 40, 56)
_NEAR_Q: Final = (5, 8, 12, 17, 24, 34, 48, 68)
_SHAPE_GAIN_DB: Final = 12.0
_LEAST_SCATTER_DB: Final = 1.5


def bell_db(octaves: Floats, gain_db: Floats | float, q: Floats | float) -> Floats:
    """Return the analog bell's level, dB, at distances in octaves from its centre (Audio EQ Cookbook, peaking EQ)."""
    ratio = np.exp2(octaves)
    root = 10 ** (gain_db / 40)
    detune = (1 - ratio**2) ** 2
    top, bottom = detune + (ratio * root / q) ** 2, detune + (ratio / (root * q)) ** 2
    level: Floats = 10 * np.log10(top / bottom)
    return level


@dataclass(frozen=True)
class Fit:
    """A fit at every point of a curve: best height in dB, height over its own scatter, and the Q that fitted best."""

    height_db: Floats
    clearness: Floats
    q: Floats


@dataclass(frozen=True)
class _Pattern:
    half: int
    background: Floats
    bell: Floats
    norm: float


def _wide_patterns() -> list[Floats]:
    octaves = np.arange(-(POINTS_PER_OCTAVE // 3), POINTS_PER_OCTAVE // 3 + 1) / POINTS_PER_OCTAVE
    patterns = []
    for q in _WIDE_Q:
        bell = bell_db(octaves, _SHAPE_GAIN_DB, q) / _SHAPE_GAIN_DB
        bell -= bell.mean()
        patterns.append(bell / (bell @ bell))
    return patterns


def _near_patterns() -> list[_Pattern]:
    patterns = []
    for q in _NEAR_Q:
        half = max(5, round(POINTS_PER_OCTAVE * 1.44 / q * 1.6))
        octaves = np.arange(-half, half + 1) / POINTS_PER_OCTAVE
        background = np.linalg.qr(np.vander(octaves / octaves[-1], 4))[0].T
        bell = bell_db(octaves, _SHAPE_GAIN_DB, q) / _SHAPE_GAIN_DB
        bell -= background.T @ (background @ bell)
        norm = float(np.linalg.norm(bell))
        patterns.append(_Pattern(half, background, bell / norm, norm))
    return patterns


_WIDE: Final = _wide_patterns()
_NEAR: Final = _near_patterns()


def wide_height_db(curve: Floats, first: int = 0, end: int | None = None) -> Floats:
    """Return the best bell's height over a third of an octave to each side, dB, at the points from a first to before an end."""
    half = POINTS_PER_OCTAVE // 3
    padded = np.pad(curve, half, mode="edge")[first : (end or len(curve)) + 2 * half]
    best: Floats = np.max([np.correlate(padded, pattern, "valid") for pattern in _WIDE], axis=0)
    return best


def near_fit(curve: Floats, first: int = 0, end: int | None = None) -> Fit:
    """Return the clearest bell over its near surroundings at the points from a first to before an end."""
    heights, clear = [], []
    level = curve - curve.mean()
    for pattern in _NEAR:
        padded = np.pad(level, pattern.half, mode="reflect")
        beyond = (end or len(curve)) + 2 * pattern.half
        total = np.concatenate([[0.0], np.cumsum(padded**2)])[first : beyond + 1]
        padded = padded[first:beyond]
        along = np.correlate(padded, pattern.bell, "valid")
        rest = total[2 * pattern.half + 1 :] - total[: -2 * pattern.half - 1] - along**2
        for row in pattern.background:
            rest -= np.correlate(padded, row, "valid") ** 2
        scatter = np.maximum(rest, 0) / (2 * pattern.half - 4) + _LEAST_SCATTER_DB**2
        heights.append(along / pattern.norm)
        clear.append(along / np.sqrt(scatter))
    best = np.argmax(clear, axis=0)
    points = np.arange(len(best))
    return Fit(np.array(heights)[best, points], np.array(clear)[best, points], np.array(_NEAR_Q, float)[best])
