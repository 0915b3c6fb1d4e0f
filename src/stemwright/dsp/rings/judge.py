"""From the numbers at a place to a confidence that it is a ring.

Conventions
-----------
Two hundred short lists of questions ("is ``near_typical`` at most 21.4 dB?"), at most eleven in each; every list ends in
points, and the logistic function of their sum is the confidence. The lists are gradient boosted regression trees
(J. H. Friedman, "Greedy function approximation: a gradient boosting machine", Annals of Statistics 29(5), 2001), fitted
to planted rings by ``tests/bench/rings/fit.py`` on material that the reported figures do not use, and shipped as plain
numbers in ``judge.json``. A logistic sum of the same numbers found fewer rings at the same number of false ones: a
ring's height has to be in a range, neither more nor less.
"""

from __future__ import annotations

import functools
import json
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Sequence

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

_LARGEST: Final = 30.0


@dataclass(frozen=True)
class Table:
    """The fitted lists side by side, shape (lists, nodes) each; an end asks the first number and leads to itself.

    Parameters
    ----------
    numbers : tuple of str
        Names of the numbers that are asked about, in their order.
    start : float
        Points before any question.
    asked, if_so, if_not : np.ndarray
        Which number a node asks about, and the node it leads to when the number is at most ``limit``, or else.
    limit, points : np.ndarray
        What the number is held against; the points at an end.
    """

    numbers: tuple[str, ...]
    start: float
    asked: Whole
    limit: Floats
    if_so: Whole
    if_not: Whole
    points: Floats


@functools.cache
def table() -> Table:
    """Return the table shipped with the program."""
    read = json.loads(resources.files(__package__).joinpath("judge.json").read_text("utf-8"))
    trees = read["trees"]
    shape = len(trees), max(len(tree) for tree in trees)
    asked, if_so, if_not = (np.zeros(shape, np.int64) for _ in range(3))
    limit, points = np.zeros(shape), np.zeros(shape)
    for row, tree in enumerate(trees):
        for at, node in enumerate(tree):
            if len(node) == 1:
                points[row, at], if_so[row, at], if_not[row, at] = node[0], at, at
            else:
                asked[row, at], limit[row, at], if_so[row, at], if_not[row, at] = node
    return Table(tuple(read["numbers"]), float(read["start"]), asked, limit, if_so, if_not, points)


def confidences_of(places: Sequence[dict[str, float]]) -> list[float]:
    """Return the confidence, 0 to 1, that each place is a ring.

    Parameters
    ----------
    places : sequence of dict of str to float
        The numbers of each place, as from ``evidence.numbers_at``.
    """
    if not places:
        return []
    judge = table()
    values = np.array([[numbers[name] for name in judge.numbers] for numbers in places])
    lists = np.arange(len(judge.points))
    at = np.zeros((len(values), len(lists)), np.int64)
    while True:
        asked = np.take_along_axis(values, judge.asked[lists, at], axis=1)
        onward = np.where(asked <= judge.limit[lists, at], judge.if_so[lists, at], judge.if_not[lists, at])
        if np.array_equal(onward, at):
            break
        at = onward
    total = judge.start + judge.points[lists, at].sum(axis=1)
    return [float(v) for v in 1 / (1 + np.exp(-np.clip(total, -_LARGEST, _LARGEST)))]
