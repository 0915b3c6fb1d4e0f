"""From the curves of a sound to the odds that a ring is at a place.

Conventions
-----------
A small convolutional network looks at twenty-one curves, some against their own mean of an octave, and at how high a place is,
on every second point. Each layer adds to the one before what it sees through seven taps, twice as far apart as the last time, so
that the whole sees an octave and a half to each side. Two layers see the mean and the greatest of all points as well (in a sound
full of peaks one more means little), and the end sees what lies one octave, a twelfth and two octaves above and one octave and a
twelfth below, where a partial has its kin. ``tests/bench/rings/fit.py`` fits it to rings planted in
the ``fitted`` packages: the exponentials of its answers are odds against "no ring", and odds of neighbouring points add up. Two
such networks, begun differently, err less alike than each by itself: the mean of their answers counts. Two
more numbers, from packages they were not fitted to, turn those odds into a certainty: the share of such candidates that are rings
where half of all stems have one.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from stemwright.dsp.rings.curves import THIN, thin_hz
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from stemwright.dsp.rings.curves import Curves

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

_OCTAVE: Final = POINTS_PER_OCTAVE // THIN + 1
_NEAR: Final = POINTS_PER_OCTAVE // THIN // 24
_APART: Final = POINTS_PER_OCTAVE // THIN // 12
_AGAINST_THEIR_MEAN: Final = ("power", "typical", "low", "between")
_LOOKED_AT: Final = ("power", "typical", "lines", "quarter", "floor", "lowest", "low", "between", "line_excess")
_LARGEST: Final = 5.0
_TAPS: Final = 7
_LOW_HZ: Final = 120.0  # where rings begin: what is below counts as just there,
_OCTAVES: Final = 6.4  # and likewise above 10 kHz
HARMONICS: Final = (120, 190, 240, -120, -190)  # in points: 2, 3 and 4 times, a half and a third of the frequency
_CERTAIN: Final = 60.0


@dataclass(frozen=True)
class Layer:
    """Weights ``(taps, inputs, outputs)`` and offsets; weights ``(2 x inputs, outputs)`` of the mean and greatest of all points."""

    weights: Singles
    offsets: Singles
    whole: Singles | None = None


@dataclass(frozen=True)
class Harmonics:
    """What makes few numbers of a point, and mixes those of a point and its harmonics into one answer."""

    narrow: Singles
    mixed: Singles
    offsets: Singles
    weights: Singles


@dataclass(frozen=True)
class Judge:
    """One fitted network: its layers, the weights and offset of their sum, and what is added for the harmonics."""

    layers: tuple[Layer, ...]
    weights: Singles
    offset: float
    harmonics: Harmonics


@dataclass(frozen=True)
class Judges:
    """The networks, and slope and shift that turn the logarithm of their odds into a certainty that is a probability."""

    judges: tuple[Judge, ...]
    certainty: tuple[float, float]


@functools.cache
def fitted() -> Judges:
    """Return the networks shipped with the program."""
    with resources.files(__package__).joinpath("judges.npz").open("rb") as file, np.load(file, allow_pickle=False) as kept:
        judges = tuple(_judge(kept, number) for number in range(int(kept["judges"])))
        slope, shift = (float(value) for value in kept["certainty"])
        return Judges(judges, (slope, shift))


def _judge(kept: Mapping[str, Singles], number: int) -> Judge:
    mine = {name.partition(".")[2]: kept[name] for name in kept if name.startswith(f"{number}.")}
    count = sum(name.startswith("weights.") for name in mine)
    layers = tuple(
        Layer(
            mine[f"weights.{n}"].reshape(_TAPS, -1, len(mine[f"offsets.{n}"])), mine[f"offsets.{n}"], mine.get(f"whole.{n}")
        )
        for n in range(count)
    )
    harmonics = Harmonics(mine["narrow"], mine["mixed"], mine["mixed_offsets"], mine["harmonic"][:, 0])
    return Judge(layers, mine["last"][:, 0], float(mine["offset"][0]), harmonics)


def looks(curves: Curves) -> Singles:
    """Return what the network looks at, shape (points / 2, 22)."""
    level = {name: _thin(curve) for name, curve in curves.level.items()}
    over_low = level["power"] - level["low"]
    in_tens = [
        level[name] - _mean_of_an_octave(level[name]) if name in _AGAINST_THEIR_MEAN else level[name] for name in _LOOKED_AT
    ]
    rows = [
        *(row / 10 for row in in_tens),
        level["line_share"],
        (over_low - 20 - over_low.mean()) / 20,
        (level["low"] - level["between"]) / 10,
        *(curve / 10 for curve in curves.moments.values()),
        curves.spread / 5,
        curves.median / 10,
        2 * np.clip(np.log2(thin_hz(curves.freq_hz) / _LOW_HZ) / _OCTAVES, 0, 1) - 1,
    ]
    seen: Singles = np.clip(np.stack(rows, axis=1), -_LARGEST, _LARGEST).astype(np.float32)
    return seen


def log_odds_of(seen: Singles, judge: Judge) -> Floats:
    """Return the logarithm of the odds of a ring at every point, shape (points / 2,), from what is seen there."""
    total = np.full(len(seen), judge.offset)
    width = len(judge.layers[0].offsets)
    values = seen
    for number, layer in enumerate(judge.layers):
        apart, taps = 2**number, len(layer.weights)
        reach = apart * (taps // 2)
        padded = np.pad(values, ((reach, reach), (0, 0)), mode="edge")
        new = (
            sum(padded[tap * apart : tap * apart + len(values)] @ layer.weights[tap] for tap in range(taps)) + layer.offsets
        )
        if layer.whole is not None:
            new = new + np.concatenate([values.mean(axis=0), values.max(axis=0)]) / 2 @ layer.whole
        new = np.maximum(new, 0)
        values = new + values if number else new
        total += values @ judge.weights[number * width : (number + 1) * width]
    return total + _of_harmonics(values, judge.harmonics)


def _of_harmonics(values: Singles, harmonics: Harmonics) -> Floats:
    """Return what the points an octave, a twelfth and two octaves away say about each; beyond the ends there is nothing."""
    narrow = values @ harmonics.narrow
    reach = max(abs(points) for points in HARMONICS)
    padded = np.pad(narrow, ((reach, reach), (0, 0)))
    beside = [padded[reach + points : reach + points + len(narrow)] for points in (0, *HARMONICS)]
    mixed = np.maximum(np.concatenate(beside, axis=1) @ harmonics.mixed + harmonics.offsets, 0)
    answer: Floats = (mixed @ harmonics.weights).astype(np.float64)
    return answer


def places_of(curves: Curves, inside: NDArray[np.bool_]) -> Iterator[tuple[float, float]]:
    """Yield confidence and place of all places where a ring could be, most certain first, a twelfth of an octave apart.

    A place is counted in points and mostly lies between two.

    Parameters
    ----------
    curves : Curves
    inside : np.ndarray of bool, shape (points,)
        The points of the band to look in.
    """
    seen = looks(curves)
    opinions = np.mean([log_odds_of(seen, judge) for judge in fitted().judges], axis=0)
    slope, shift = fitted().certainty
    for odds, place in peaks_of(np.where(_thin(inside.astype(float)) == 1.0, opinions, -np.inf)):
        yield 1 / (1 + math.exp(-(slope * math.log(odds) + shift))), place


def peaks_of(log_odds: Floats) -> Iterator[tuple[float, float]]:
    """Yield the added odds and where they lie, in points, of every place, highest first, a twelfth of an octave apart."""
    odds = np.exp(np.clip(log_odds, -_CERTAIN, _CERTAIN)) * np.isfinite(log_odds)
    near = np.convolve(odds, np.ones(2 * _NEAR + 1), "same")  # a running sum would lose small odds beside great ones
    while True:
        top = int(np.argmax(near))
        if near[top] <= 0:
            return
        around = np.arange(max(0, top - _NEAR), min(len(odds), top + _NEAR + 1))
        weights = odds[around]
        yield float(near[top]), THIN * float(around @ weights / weights.sum()) + (THIN - 1) / 2
        near[max(0, top - _APART) : top + _APART + 1] = 0


def _thin(curve: Floats) -> Floats:
    mean: Floats = curve[: len(curve) // THIN * THIN].reshape(-1, THIN).mean(axis=1)
    return mean


def _mean_of_an_octave(curve: Floats) -> Floats:
    running = np.cumsum(np.pad(np.pad(curve, _OCTAVE // 2, mode="edge"), (1, 0)))
    mean: Floats = (running[_OCTAVE:] - running[:-_OCTAVE]) / _OCTAVE
    return mean
