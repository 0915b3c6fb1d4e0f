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

WIDE_CURVES: Final = ("power", "typical", "floor", "quarter", "lines", "smooth_floor", "between")
NEAR_CURVES: Final = ("power", "typical", "floor", "quarter", "lines", "smooth_floor", "between", "low", "lowest")
_APART: Final = POINTS_PER_OCTAVE // 12
_NEARBY: Final = POINTS_PER_OCTAVE // 60
_MOST_PLACES: Final = 8


@dataclass(frozen=True)
class Scores:
    """Every curve's fits at every point, and the same against what is usual within an octave."""

    wide_db: dict[str, Floats]
    wide_rare: dict[str, Floats]
    near: dict[str, Fit]
    near_rare: dict[str, Floats]
    clear_rare: dict[str, Floats]
    spread: Floats
    spread_around: Floats
    line_over_lines: Floats
    least_near: Floats


def scores_of(curves: Curves) -> Scores:
    """Fit bells to every curve."""
    wide = {name: wide_height_db(curves.level[name]) for name in WIDE_CURVES}
    near = {name: near_fit(curves.level[name]) for name in NEAR_CURVES}
    spread = curves.local.std(axis=0) + 0.5
    return Scores(
        wide,
        {name: against_others(height) for name, height in wide.items()},
        near,
        {name: against_others(fit.height_db) for name, fit in near.items()},
        {name: against_others(fit.clearness * 2) for name, fit in near.items()},
        spread,
        ndimage.uniform_filter1d(spread, POINTS_PER_OCTAVE // 2),
        _line_over_lines(curves.level["power"]),
        np.min([near[name].height_db for name in ("power", "typical", "floor", "quarter", "between")], axis=0),
    )


def _tops(score: Floats, inside: NDArray[np.bool_], most: int) -> list[int]:
    """Return the points of the highest values, a twelfth of an octave apart."""
    left = np.where(inside, score, -np.inf)
    places = []
    for _ in range(most):
        top = int(np.argmax(left))
        if left[top] <= 0:
            break
        places.append(top)
        left[max(0, top - _APART) : top + _APART + 1] = -np.inf
    return places


def places_of(scores: Scores, inside: NDArray[np.bool_]) -> list[int]:
    """Return the points worth judging: tops of the sum of all scores, then of single ones."""
    total = sum(scores.wide_rare.values()) + sum(scores.near_rare.values()) + sum(scores.clear_rare.values())
    places = _tops(np.asarray(total), inside, _MOST_PLACES)
    singles = (
        *(scores.wide_rare[name] for name in ("floor", "power", "between", "lines", "smooth_floor")),
        *(scores.near_rare[name] for name in ("floor", "between", "smooth_floor", "lines")),
        *(scores.clear_rare[name] for name in ("floor", "power", "between", "lowest")),
        scores.least_near,
        scores.line_over_lines,
    )
    for single in singles:
        places += [p for p in _tops(single, inside, 4) if all(abs(p - q) > _APART // 2 for q in places)]
    return places


def numbers_at(place: int, curves: Curves, scores: Scores) -> dict[str, float]:
    """Return the numbers a place is judged by, each the best within a sixtieth of an octave."""
    near = slice(max(0, place - _NEARBY), place + _NEARBY + 1)
    out: dict[str, float] = {}
    for name in WIDE_CURVES:
        out[f"wide_{name}"] = float(scores.wide_db[name][near].max())
        out[f"wide_rare_{name}"] = float(scores.wide_rare[name][near].max())
    for name in NEAR_CURVES:
        out[f"near_{name}"] = float(scores.near[name].height_db[near].max())
        out[f"near_rare_{name}"] = float(scores.near_rare[name][near].max())
        out[f"clear_{name}"] = float(scores.near[name].clearness[near].max())
        out[f"clear_rare_{name}"] = float(scores.clear_rare[name][near].max())
    local = curves.local[:, place]
    out["frames"] = float(len(local))
    out["spread"] = float(scores.spread[place])
    out["spread_rare"] = float(scores.spread[place] / scores.spread_around[place])
    out["persistence"] = float((local > 3).mean())
    out["q"] = float(scores.near["floor"].q[place])
    out["octave"] = float(np.log2(curves.freq_hz[place] / 1000))
    out["under_loudest"] = float(curves.level["power"].max() - curves.level["power"][place])
    five = ("power", "typical", "floor", "quarter", "between")
    out["least_wide"] = min(out[f"wide_{name}"] for name in five)
    out["least_near"] = min(out[f"near_{name}"] for name in five)
    out["range_near"] = max(out[f"near_{name}"] for name in five) - out["least_near"]
    out["line_over_lines"] = float(scores.line_over_lines[near].max())
    around = slice(max(0, place - 2 * _NEARBY), place + 2 * _NEARBY + 1)
    tops = [int(np.argmax(scores.near[name].height_db[around])) for name in (*five, "lines")]
    out["apart"] = float(np.std(tops[:5]))
    out["apart_lines"] = float(abs(tops[5] - tops[2]))
    for name in ("power", "floor"):
        out[f"harmonics_{name}"] = peak_to_harmonics_db(place, scores.near[name].height_db)
    out["harmonics_level"] = peak_to_harmonics_db(place, curves.level["power"])
    return out


def _line_over_lines(level: Floats) -> Floats:
    """Height of each line (a narrow local maximum) over the median of its four nearest lines to each side; 0 elsewhere."""
    peaks = np.flatnonzero((level[1:-1] > level[:-2]) & (level[1:-1] >= level[2:])) + 1
    low = ndimage.minimum_filter1d(level, POINTS_PER_OCTAVE // 12)
    peaks = peaks[level[peaks] - low[peaks] > 8]
    out = np.zeros_like(level)
    if len(peaks) >= 5:
        padded = np.pad(level[peaks], 4, mode="reflect")
        out[peaks] = level[peaks] - np.median(np.lib.stride_tricks.sliding_window_view(padded, 9), axis=1)
    return out


def peak_to_harmonics_db(place: int, level: Floats) -> float:
    """Level at a place over the loudest of 0.5, 1.5, 2, 3 and 4 times its frequency, dB."""
    peaks = ndimage.maximum_filter1d(level, 2 * _NEARBY + 1)
    others = place + np.rint(np.log2((0.5, 1.5, 2, 3, 4)) * POINTS_PER_OCTAVE).astype(int)
    others = others[(others >= 0) & (others < len(level))]
    return float(peaks[place] - peaks[others].max()) if len(others) else 0.0
