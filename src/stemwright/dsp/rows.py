"""Turn fitted factors into rows of second-order sections, and read the level back from rows.

Conventions
-----------
``s = 1 + c1 + c2`` and ``d = 1 - c2`` of a factor ``1 + c1 z^-1 + c2 z^-2``; ``phi = sin^2(w / 2)``; rows are
``b0 b1 b2 a0 a1 a2``.
"""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.fit import pair_power

if TYPE_CHECKING:
    from stemwright.dsp.fit import Factors, Shape

_ONE = (0.0, 0.0)
_CLOSED = 1e-12  # a zero this near to z = 1 is one that rounding has moved
_Pair = tuple[float, float]


def assemble(shape: Shape, factors: Factors) -> np.ndarray:
    """Return the factors as rows, leaving out the gain.

    Parameters
    ----------
    shape : Shape
        Which factors there are.
    factors : Factors
        Their values.

    Returns
    -------
    np.ndarray, shape=(n, 6)
        Rows with ``b0 = a0 = 1``, poles nearest the unit circle last, each with the zeros nearest to it.
    """
    pairs = [(s - 2.0 + d, 1.0 - d) for s, d in factors.pairs.tolist()]
    singles = [t - 1.0 for t in factors.singles.tolist()]
    top = pairs[: shape.top_pairs] + _grouped([-1.0] * shape.zeros_at_one + singles[: shape.top_singles])
    bottom = pairs[shape.top_pairs :] + _grouped(singles[shape.top_singles :])
    return np.array([[1.0, *b, 1.0, *a] for b, a in _matched(top, bottom)])


def spread(rows: np.ndarray, gain: float, reference_phi: float | None) -> np.ndarray:
    """Return rows with the gain worked in.

    Parameters
    ----------
    rows : np.ndarray, shape=(n, 6)
        Rows with ``b0 = a0 = 1``, one or more.
    gain : float
        The factor in front of them, above 0.
    reference_phi : float or None
        Where every row but the first gets unit gain, so that no stage of a steep filter is needlessly loud or faint. None
        leaves all of the gain to the first row, and with it all of the rounding: a cut is then the closest of inverses.

    Returns
    -------
    np.ndarray, shape=(n, 6)
        New rows with ``a0 = 1``.
    """
    rows = rows.copy()
    for row in rows[1:] if reference_phi is not None else ():
        share = 10.0 ** (-float(rows_db(row[None], np.array([reference_phi]))[0]) / 20.0)
        row[:3] *= share
        gain /= share
    rows[0, :3] *= gain
    return rows


def close_dc(rows: np.ndarray) -> np.ndarray:
    """Return rows in which a zero at ``z = 1`` is exact: ``b0 + b1 + b2`` is 0, not merely small.

    Parameters
    ----------
    rows : np.ndarray, shape=(n, 6)
        High-pass rows; those without a zero at ``z = 1`` stay as they are.

    Returns
    -------
    np.ndarray, shape=(n, 6)
        New rows; b0 and b2 keep 48 bits, so that their sum is exact.
    """
    rows = rows.copy()
    for row in rows:
        if abs(row[0] + row[1] + row[2]) < _CLOSED * row[0]:
            step = np.ldexp(1.0, np.frexp(row[0])[1] - 48)
            row[[0, 2]] = np.rint(row[[0, 2]] / step) * step
            row[1] = -(row[0] + row[2])
    return rows


def rows_db(rows: np.ndarray, phi: np.ndarray) -> np.ndarray:
    """Return the gain of rows.

    Parameters
    ----------
    rows : np.ndarray, shape=(n, 6)
        Sections.
    phi : np.ndarray
        ``sin^2(pi f / rate)``, any shape.

    Returns
    -------
    np.ndarray
        dB, the shape of `phi`; minus infinity at a zero on the unit circle.
    """
    total = np.zeros_like(phi)
    with np.errstate(divide="ignore"):
        for b0, b1, b2, _, a1, a2 in rows:
            top = pair_power((b0 + b1 + b2) / b0, 1.0 - b2 / b0, phi)
            total += 10.0 * (np.log10(b0 * b0 * top) - np.log10(pair_power((1.0 + a1) + a2, 1.0 - a2, phi)))
    return total


def _grouped(singles: list[float]) -> list[_Pair]:
    """Multiply first-order factors two by two; an odd one stays alone, with ``c2 = 0``."""
    return [(c + e, c * e) for c, e in zip_longest(singles[::2], singles[1::2], fillvalue=0.0)]


def _matched(top: list[_Pair], bottom: list[_Pair]) -> list[tuple[_Pair, _Pair]]:
    """Pair poles with zeros, the poles nearest the unit circle choosing first."""
    left = list(top) + [_ONE] * (len(bottom) - len(top))
    poles = list(bottom) + [_ONE] * (len(top) - len(bottom))
    chosen = []
    for a in sorted(poles, key=lambda pair: -pair[1]):
        nearest = min(left, key=lambda b: (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2)
        left.remove(nearest)
        chosen.append((nearest, a))
    return chosen[::-1]
