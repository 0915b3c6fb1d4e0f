"""From the curves of a sound to the odds that a ring is at a place.

Conventions
-----------
A small convolutional network looks at nineteen curves, some against their own mean of an octave, on every second point. Each
layer adds to the one before what it sees through seven taps, twice as far apart as the last time, so that the whole sees three
quarters of an octave to each side and is the same at every frequency. ``tests/bench/rings/fit.py`` fits it to rings planted in
the ``fitted`` packages: the exponentials of its answers are odds against "no ring", and odds of neighbouring points add up. Two
more numbers, from packages it was not fitted to, turn those odds into a certainty: the share of such candidates that are rings
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

from stemwright.dsp.rings.curves import THIN
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
_CERTAIN: Final = 60.0


@dataclass(frozen=True)
class Judge:
    """One fitted network: weights ``(taps, inputs, outputs)`` and offsets of each layer, and of the sum at the end."""

    layers: tuple[tuple[Singles, Singles], ...]
    weights: Singles
    offset: float


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
    count = sum(name.startswith(f"{number}.weights.") for name in kept)
    layers = tuple((kept[f"{number}.weights.{layer}"], kept[f"{number}.offsets.{layer}"]) for layer in range(count))
    return Judge(layers, kept[f"{number}.last"], float(kept[f"{number}.offset"]))


def looks(curves: Curves) -> Singles:
    """Return what the network looks at, shape (points / 2, 19)."""
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
    ]
    seen: Singles = np.clip(np.stack(rows, axis=1), -_LARGEST, _LARGEST).astype(np.float32)
    return seen


def log_odds_of(seen: Singles, judge: Judge) -> Floats:
    """Return the logarithm of the odds of a ring at every point, shape (points / 2,), from what is seen there."""
    total = np.full(len(seen), judge.offset)
    width = judge.layers[0][0].shape[2]
    values = seen
    for number, (weights, offsets) in enumerate(judge.layers):
        apart, taps = 2**number, len(weights)
        reach = apart * (taps // 2)
        padded = np.pad(values, ((reach, reach), (0, 0)), mode="edge")
        new = sum(padded[tap * apart : tap * apart + len(values)] @ weights[tap] for tap in range(taps)) + offsets
        new = np.maximum(new, 0)
        values = new + values if number else new
        total += values @ judge.weights[number * width : (number + 1) * width]
    return total


def places_of(curves: Curves, inside: NDArray[np.bool_]) -> Iterator[tuple[float, int]]:
    """Yield confidence and point of every place where a ring could be, most certain first, a twelfth of an octave apart.

    Parameters
    ----------
    curves : Curves
    inside : np.ndarray of bool, shape (points,)
        The points of the band to look in.
    """
    seen = looks(curves)
    opinions = np.mean([log_odds_of(seen, judge) for judge in fitted().judges], axis=0)
    slope, shift = fitted().certainty
    for odds, point in peaks_of(np.where(_thin(inside.astype(float)) == 1.0, opinions, -np.inf)):
        yield 1 / (1 + math.exp(-(slope * math.log(odds) + shift))), point


def peaks_of(log_odds: Floats) -> Iterator[tuple[float, int]]:
    """Yield the added odds and the point of every place, highest first, a twelfth of an octave apart."""
    odds = np.exp(np.clip(log_odds, -_CERTAIN, _CERTAIN)) * np.isfinite(log_odds)
    near = np.convolve(odds, np.ones(2 * _NEAR + 1), "same")  # a running sum would lose small odds beside great ones
    while True:
        top = int(np.argmax(near))
        if near[top] <= 0:
            return
        around = np.arange(max(0, top - _NEAR), min(len(odds), top + _NEAR + 1))
        weights = odds[around]
        if weights.sum() > 0:
            yield float(near[top]), round(THIN * float(around @ weights / weights.sum()) + (THIN - 1) / 2)
        near[max(0, top - _APART) : top + _APART + 1] = 0


def _thin(curve: Floats) -> Floats:
    mean: Floats = curve[: len(curve) // THIN * THIN].reshape(-1, THIN).mean(axis=1)
    return mean


def _mean_of_an_octave(curve: Floats) -> Floats:
    running = np.cumsum(np.pad(np.pad(curve, _OCTAVE // 2, mode="edge"), (1, 0)))
    mean: Floats = (running[_OCTAVE:] - running[:-_OCTAVE]) / _OCTAVE
    return mean
