"""Where a ring could be, and the numbers that speak for or against each place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, Fit, against_others, near_fit, wide_height_db

if TYPE_CHECKING:
    from stemwright.dsp.rings.curves import Curves

Floats = NDArray[np.float64]

_WIDE_CURVES: Final = ("power", "typical", "floor", "lines", "between")
_NEAR_CURVES: Final = ("power", "typical", "floor", "quarter", "between", "low", "lowest")
_SAME_IN_A_RING: Final = ("power", "typical", "floor", "quarter", "between")
_APART: Final = POINTS_PER_OCTAVE // 12
_NEARBY: Final = POINTS_PER_OCTAVE // 60
_MOST_OF_SUM, _MOST_OF_ONE = 8, 3
_LINE_RISES_DB: Final = 8.0
_LINES_EACH_SIDE: Final = 4


@dataclass(frozen=True)
class Scores:
    """Fits of every curve at every point; *rare* is a height over what is usual within an octave to each side."""

    wide_db: dict[str, Floats]
    wide_rare: dict[str, Floats]
    near: dict[str, Fit]
    near_rare: dict[str, Floats]
    clear_rare: dict[str, Floats]
    least_near_db: Floats
    line_over_lines_db: Floats


def scores_of(curves: Curves) -> Scores:
    """Fit bells to every curve."""
    wide = {name: wide_height_db(curves.level[name]) for name in _WIDE_CURVES}
    near = {name: near_fit(curves.level[name]) for name in _NEAR_CURVES}
    rare = against_others(
        [
            *wide.values(),
            *(near[name].height_db for name in _NEAR_CURVES),
            *(near[name].clearness * 2 for name in _NEAR_CURVES),
        ]
    )
    count = len(_WIDE_CURVES), len(_WIDE_CURVES) + len(_NEAR_CURVES)
    return Scores(
        wide,
        dict(zip(_WIDE_CURVES, rare[: count[0]], strict=True)),
        near,
        dict(zip(_NEAR_CURVES, rare[count[0] : count[1]], strict=True)),
        dict(zip(_NEAR_CURVES, rare[count[1] :], strict=True)),
        np.min([near[name].height_db for name in _SAME_IN_A_RING], axis=0),
        _line_over_lines_db(curves.level["power"]),
    )


def places_of(scores: Scores, inside: NDArray[np.bool_]) -> list[int]:
    """Return the points worth judging: tops of the sum of all scores, then of single ones."""
    rare = (*scores.wide_rare.values(), *scores.near_rare.values(), *scores.clear_rare.values())
    places = _tops(np.sum(rare, axis=0), inside, _MOST_OF_SUM)
    singles = (
        *(scores.wide_rare[name] for name in ("power", "floor", "between", "lines")),
        *(scores.near_rare[name] for name in ("floor", "between", "lowest")),
        *(scores.clear_rare[name] for name in ("power", "floor", "between")),
        scores.least_near_db,
        scores.line_over_lines_db,
    )
    for single in singles:
        tops = _tops(single, inside, _MOST_OF_ONE)
        places += [p for p in tops if all(abs(p - q) > _APART // 2 for q in places)]
    return places


def numbers_at(place: int, curves: Curves, scores: Scores) -> dict[str, float]:
    """Return the numbers a place is judged by, each the best within a sixtieth of an octave.

    ``wide_`` and ``near_`` are heights in dB of the best bell on a curve (see ``shapes``), ``_rare_`` the same over what is
    usual within an octave, ``clear_`` over its own scatter. A ring has about one height on all curves; a partial is much
    higher on some (``near_typical`` over 20 dB) and absent from others (``near_low``, ``least_near``).
    """
    near = slice(max(0, place - _NEARBY), place + _NEARBY + 1)

    def best(values: Floats) -> float:
        return float(values[near].max())

    return {
        "wide_floor": best(scores.wide_db["floor"]),
        "wide_lines": best(scores.wide_db["lines"]),
        "wide_between": best(scores.wide_db["between"]),
        "wide_rare_power": best(scores.wide_rare["power"]),
        "wide_rare_typical": best(scores.wide_rare["typical"]),
        "wide_rare_floor": best(scores.wide_rare["floor"]),
        "wide_rare_between": best(scores.wide_rare["between"]),
        "near_typical": best(scores.near["typical"].height_db),
        "near_quarter": best(scores.near["quarter"].height_db),
        "near_low": best(scores.near["low"].height_db),
        "near_rare_lowest": best(scores.near_rare["lowest"]),
        "clear_between": best(scores.near["between"].clearness),
        "least_near": min(best(scores.near[name].height_db) for name in _SAME_IN_A_RING),
        "line_over_lines": best(scores.line_over_lines_db),
        "over_harmonics": peak_to_harmonics_db(place, curves.level["power"]),
    }


def peak_to_harmonics_db(place: int, level: Floats) -> float:
    """Level at a place over the loudest of 0.5, 1.5, 2, 3 and 4 times its frequency, dB.

    Source: PHPR of T. van Waterschoot, M. Moonen, "Fifty years of acoustic feedback control", Proc. IEEE 99(2), 2011,
    eq. 45.
    """
    others = place + np.rint(np.log2((0.5, 1.5, 2, 3, 4)) * POINTS_PER_OCTAVE).astype(int)
    tops = [level[max(0, p - _NEARBY) : p + _NEARBY + 1].max() for p in others if 0 <= p < len(level)]
    own = level[max(0, place - _NEARBY) : place + _NEARBY + 1].max()
    return float(own - max(tops)) if tops else 0.0


def _tops(score: Floats, inside: NDArray[np.bool_], most: int) -> list[int]:
    """Return the points of the highest values, a twelfth of an octave apart."""
    left = np.where(inside, score, -np.inf)
    places: list[int] = []
    for _ in range(most):
        top = int(np.argmax(left))
        if left[top] <= 0:
            break
        places.append(top)
        left[max(0, top - _APART) : top + _APART + 1] = -np.inf
    return places


def _line_over_lines_db(level: Floats) -> Floats:
    """Height of each line (a narrow local maximum) over the median of its nearest lines and itself; 0 elsewhere."""
    peaks = np.flatnonzero((level[1:-1] > level[:-2]) & (level[1:-1] >= level[2:])) + 1
    low = ndimage.minimum_filter1d(level, _APART)
    peaks = peaks[level[peaks] - low[peaks] > _LINE_RISES_DB]
    out = np.zeros_like(level)
    if len(peaks) > _LINES_EACH_SIDE:
        padded = np.pad(level[peaks], _LINES_EACH_SIDE, mode="reflect")
        windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * _LINES_EACH_SIDE + 1)
        out[peaks] = level[peaks] - np.median(windows, axis=1)
    return out
