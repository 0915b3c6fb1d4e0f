"""From the numbers at a place to a confidence that it is a ring.

Conventions
-----------
A hundred short lists of questions ("is ``near_typical`` at most 21.4 dB?"), at most seven in each; every list ends in
points, and the logistic function of their sum is the confidence. The lists are gradient boosted regression trees
(J. H. Friedman, "Greedy function approximation: a gradient boosting machine", Annals of Statistics 29(5), 2001), fitted
to planted rings by ``tests/bench/rings/fit.py`` on material that the reported figures do not use, and shipped as plain
numbers in ``judge.json``. A logistic sum of the same numbers found fewer rings at the same number of false ones: a
ring's height has to be in a range, neither more nor less.
"""

from __future__ import annotations

import functools
import json
import math
from dataclasses import dataclass
from importlib import resources

_LARGEST = 30.0


@dataclass(frozen=True)
class Table:
    """The fitted lists: names of the numbers, the points everybody starts with, and the nodes of each list."""

    numbers: tuple[str, ...]
    start: float
    trees: tuple[tuple[tuple[float, ...], ...], ...]


@functools.cache
def table() -> Table:
    """Return the table shipped with the program."""
    read = json.loads(resources.files(__package__).joinpath("judge.json").read_text("utf-8"))
    trees = tuple(tuple(tuple(node) for node in tree) for tree in read["trees"])
    return Table(tuple(read["numbers"]), read["start"], trees)


def confidence_of(numbers: dict[str, float]) -> float:
    """Return the confidence, 0 to 1, that a place with these numbers is a ring.

    Parameters
    ----------
    numbers : dict of str to float
        As from ``evidence.numbers_at``.
    """
    judge = table()
    values = [numbers[name] for name in judge.numbers]
    points = judge.start + sum(_points(tree, values) for tree in judge.trees)
    return 1 / (1 + math.exp(-max(-_LARGEST, min(_LARGEST, points))))


def _points(tree: tuple[tuple[float, ...], ...], values: list[float]) -> float:
    node = tree[0]
    while len(node) > 1:
        number, limit, if_so, if_not = node
        node = tree[int(if_so if values[int(number)] <= limit else if_not)]
    return node[0]
