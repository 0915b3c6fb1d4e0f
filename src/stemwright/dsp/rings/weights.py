"""How much each number counts: a logistic sum, fitted once, written down here."""

from __future__ import annotations

import math
from typing import Final

BIAS: Final = -6.4976
WEIGHTS: Final = {
    "wide_rare_power": 0.26245,
    "wide_rare_floor": 0.06997,
    "wide_rare_smooth_floor": 0.50764,
    "wide_rare_between": 0.31118,
    "near_typical": -0.01220,
    "clear_rare_between": 0.22595,
    "clear_rare_lowest": 0.28312,
    "persistence": 1.24492,
}


def confidence_of(numbers: dict[str, float]) -> float:
    """Return the confidence, 0 to 1, that a place with these numbers is a ring."""
    total = BIAS + sum(weight * numbers[name] for name, weight in WEIGHTS.items())
    return 1 / (1 + math.exp(-max(-50.0, min(50.0, total))))
