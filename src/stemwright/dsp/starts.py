"""Where a fit begins: shapes from the smallest up, with the prototype's poles and zeros in their places.

Conventions
-----------
A prototype's root ``r`` (in units of freq_hz) goes to ``exp(r omega)``, `omega` being freq_hz in radians a sample: impulse
invariance for the poles, the matched z-transform for the zeros. What that leaves out, the repeats of the spectrum above half
the rate, is made up for by further real poles and zeros on the negative axis.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from stemwright.dsp.fit import Factors, Shape

if TYPE_CHECKING:
    from collections.abc import Iterator

# Real roots that factors without a counterpart in the prototype start from: about where fits end. They alternate along the
# negative axis, as the poles and zeros of any rational function do that imitates a branch cut from z = -1.
_TOP_ROOTS = ((-0.77, -0.42), (-0.54, -0.24), (-0.88, -0.65), (-0.30, -0.10), (-0.92, -0.50))
_BOTTOM_ROOTS = ((-0.75, -0.36), (-0.47, -0.17), (-0.86, -0.61))
_LOW_PASS_TOP_ROOTS = ((-0.83, 0.0), *_TOP_ROOTS[1:])
_TOP_SINGLE, _BOTTOM_SINGLE = -0.4, -0.3
# Each try draws them toward 0 or away from it, and may let more through above the band.
_TRIES = ((1.0, 1.0), (0.7, 1.0), (1.07, 2.0), (0.4, 4.0))
_LOW_PASS_TRIES = ((0.4, 1.0), (1.0, 1.0), (0.7, 2.0), (1.07, 4.0))


class Start(NamedTuple):
    """One try.

    Parameters
    ----------
    shape : Shape
        Which factors there are.
    factors : Factors
        Where they begin.
    patience : float
        How many times the usual error is let through above the band.
    """

    shape: Shape
    factors: Factors
    patience: float


def starts(kind: str, prototype: np.ndarray, omega: float) -> Iterator[Start]:
    """Yield tries from the cheapest to the last resort.

    Parameters
    ----------
    kind : str
        As for `stemwright.dsp.prototypes.analog_sections`.
    prototype : np.ndarray, shape=(n, 6)
        Its rows.
    omega : float
        Its freq_hz in radians a sample; more than pi is allowed.

    Yields
    ------
    Start
        No further pairs of poles and zeros first, then one, two and three.
    """
    top = [_mapped(row, omega) for row in prototype[:, :3] if row[0] and row[2]]
    bottom = [_mapped(row, omega) for row in prototype[:, 3:] if row[0]]
    bottom_singles = [-math.expm1(-omega * row[5] / row[4]) for row in prototype if not row[3]]
    top_singles = []
    zeros = len(bottom_singles) + 2 * len(bottom) if kind == "high_pass" else 0
    # A low-pass has room for numerators in the rows that its poles need anyway, and an odd order for one more pole.
    spare = min(2, len(prototype)) if kind == "low_pass" else 0
    if bottom_singles:
        bottom_singles.append(1.0 - _BOTTOM_SINGLE)
        top_singles = [1.0 - _TOP_SINGLE] * min(zeros, 1)
    top_roots, tries = (_LOW_PASS_TOP_ROOTS, _LOW_PASS_TRIES) if kind == "low_pass" else (_TOP_ROOTS, _TRIES)
    for extra in range(len(_BOTTOM_ROOTS) + 1):
        for scale, patience in tries if extra else tries[:1]:
            tops = top + [_real(roots, scale) for roots in top_roots[: extra + spare]]
            bottoms = bottom + [_real(roots, scale) for roots in _BOTTOM_ROOTS[:extra]]
            shape = Shape(zeros, len(tops), len(bottoms), len(top_singles), len(bottom_singles))
            pairs = np.array(tops + bottoms).reshape(-1, 2)
            yield Start(shape, Factors(0.0, pairs, np.array(top_singles + bottom_singles)), patience)


def _mapped(quadratic: np.ndarray, omega: float) -> tuple[float, float]:
    """``s`` and ``d`` of a prototype's quadratic whose roots go to ``exp(root omega)``."""
    t2, t1, t0 = (float(c) for c in quadratic)
    middle = -omega * t1 / (2.0 * t2)
    inside = (t1 / t2) ** 2 / 4.0 - t0 / t2
    if inside > 0.0:
        large = middle - omega * math.sqrt(inside)
        small = omega * omega * t0 / t2 / large
        return math.expm1(large) * math.expm1(small), -math.expm1(2.0 * middle)
    angle = omega * math.sqrt(-inside)
    if angle > math.pi:
        # Nothing narrow can be meant at half the rate; the flank that reaches below it is broad.
        angle, middle = 0.97 * math.pi, min(middle, -0.35)
    return math.expm1(middle) ** 2 + 4.0 * math.exp(middle) * math.sin(angle / 2.0) ** 2, -math.expm1(2.0 * middle)


def _real(roots: tuple[float, float], scale: float) -> tuple[float, float]:
    first, second = (scale * root for root in roots)
    return (1.0 - first) * (1.0 - second), 1.0 - first * second
