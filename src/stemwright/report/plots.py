"""The plots of a stem: its spectrum over the curve of its moves, and its wave from start to end."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.plan.wording import frequency
from stemwright.report.drawing import Axis, Badge, Box, Drawing, Path, Words
from stemwright.report.spectra import HIGHEST_HZ, LOWEST_HZ, POINTS_HZ

if TYPE_CHECKING:
    from stemwright.report.drawing import Anchor, Point
    from stemwright.report.excerpt import Excerpt
    from stemwright.report.looking import Curves, Seen, StemView

TICKS_HZ = (20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000)
FEW_TICKS_HZ = (20, 100, 1000, 10_000)
SPAN_DB = 70.0
DEEPEST_DB, LEAST_DB = -24.0, 3.0
MINUS = "\N{MINUS SIGN}"
LEFT, RIGHT, TOP = 34.0, 10.0, 18.0


@dataclass(frozen=True)
class Size:
    """How wide a plot is drawn: for a desk or for a phone."""

    width: float
    ticks_hz: tuple[int, ...]
    columns: int


WIDE = Size(760.0, TICKS_HZ, 360)
NARROW = Size(340.0, FEW_TICKS_HZ, 170)


def spectrum_plot(view: StemView, size: Size, names: dict[str, str]) -> Drawing:
    """Draw the spectra and, below them on the same frequency axis, the moves.

    Parameters
    ----------
    view : StemView
    size : Size
    names : dict of str to str
        What each side is called.
    """
    has_spectra, has_curves = view.seen is not None, view.curves is not None
    spectra_height, curves_height = 150.0 if has_spectra else 0.0, 130.0 if has_curves else 0.0
    gap = 24.0 if has_spectra and has_curves else 0.0
    height = TOP + spectra_height + gap + curves_height + 20.0
    drawing = Drawing(size.width, height, (LEFT, size.width - RIGHT))
    x = Axis(math.log(LOWEST_HZ), math.log(HIGHEST_HZ), LEFT, size.width - RIGHT)
    bottom = height - 20.0
    for tick in TICKS_HZ:
        at = x(math.log(tick))
        if has_spectra:
            drawing.shapes.append(_stroke((at, TOP), (at, TOP + spectra_height)))
        if has_curves:
            drawing.shapes.append(_stroke((at, bottom - curves_height), (at, bottom)))
        if tick in size.ticks_hz:
            anchor: Anchor = "end" if tick == TICKS_HZ[-1] else "middle"
            drawing.shapes.append(
                Words((at, height - 6.0), frequency(tick).replace(" Hz", "").replace(" kHz", "k"), anchor=anchor)
            )
    if view.seen is not None:
        _spectra(drawing, view.seen, x, (TOP, TOP + spectra_height), names)
    if view.curves is not None:
        _curves(drawing, view, view.curves, x, (bottom - curves_height, bottom))
    return drawing


def _spectra(drawing: Drawing, seen: Seen, x: Axis, reach: tuple[float, float], names: dict[str, str]) -> None:
    top_db = math.ceil((max(float(levels.max()) for levels in seen.spectra_db.values()) + 2.0) / 10.0) * 10.0
    y = Axis(top_db - SPAN_DB, top_db, reach[1], reach[0])
    for level in range(int(top_db - SPAN_DB), int(top_db) + 1, 10):
        _level_line(drawing, y(level), f"{level:g}".replace("-", MINUS) if (top_db - level) % 20 == 0 else "")
    drawing.shapes.append(Words((LEFT, TOP - 6.0), "level, dB"))
    legend = drawing.width - RIGHT
    for side in ("this", "that", "received"):
        if side not in seen.spectra_db:
            continue
        levels = seen.spectra_db[side]
        shown = levels > y.low
        points = np.stack([x.places(np.log(POINTS_HZ[shown])), y.places(levels[shown])], axis=1)
        if len(points) > 1:
            drawing.shapes.append(Path(points, f"line {side}"))
        drawing.shapes.append(Words((legend, TOP - 6.0), names[side], "label", "end"))
        legend -= 6.2 * len(names[side]) + 6.0
        drawing.shapes.append(_stroke((legend - 22.0, TOP - 9.5), (legend, TOP - 9.5), f"line {side}"))
        legend -= 32.0


def _curves(drawing: Drawing, view: StemView, curves: Curves, x: Axis, reach: tuple[float, float]) -> None:
    shown = [curves.total_db, *(curve for curve in curves.each_db if curve is not None)]
    lowest = max(min(-LEAST_DB, *(float(curve.min()) for curve in shown)), DEEPEST_DB)
    highest = max(LEAST_DB, *(float(curve.max()) for curve in shown))
    step = 3 if highest - lowest <= 15.0 else 6
    low, high = math.floor(lowest / step) * step, math.ceil(highest / step) * step
    y = Axis(low, high, reach[1], reach[0])
    for level in range(low, high + 1, step):
        _level_line(drawing, y(level), f"{level:+g}".replace("-", MINUS) if level else "0", "zero" if level == 0 else "grid")
    drawing.shapes.append(Words((LEFT, reach[0] - 6.0), "moves, dB"))
    places = x.places(np.log(curves.freq_hz))
    for number, curve in enumerate(curves.each_db, start=1):
        if curve is not None:
            drawing.shapes.append(Path(_kept_inside(places, curve, y), "line move", move=number))
    drawing.shapes.append(Path(_kept_inside(places, curves.total_db, y), "line total"))
    last = -100.0
    for number, move in sorted(
        enumerate(view.entry.item.moves, start=1), key=lambda each: each[1].settings.get("freq_hz", 0.0)
    ):
        curve = curves.each_db[number - 1]
        if curve is None or "freq_hz" not in move.settings:
            continue
        at = min(max(x(math.log(move.settings["freq_hz"])), last + 17.0, LEFT + 9.0), drawing.width - RIGHT - 9.0)
        last = at
        height = y(float(np.interp(move.settings["freq_hz"], curves.freq_hz, curves.total_db)))
        drawing.shapes.append(Badge((at, height), number, ring=move.found is not None))


def _kept_inside(places: np.ndarray, curve: np.ndarray, y: Axis) -> np.ndarray:
    """Return a curve's points; where it leaves the plot it ends at the edge instead of running along it."""
    inside = np.flatnonzero(curve >= y.low)
    if not len(inside):
        return np.array([(places[0], y.start), (places[-1], y.start)])
    shown = slice(max(int(inside[0]) - 1, 0), int(inside[-1]) + 2)
    return np.stack([places[shown], y.places(curve[shown])], axis=1)


def _stroke(one: Point, other: Point, style: str = "grid") -> Path:
    return Path(np.array([one, other]), style)


def _level_line(drawing: Drawing, at: float, label: str, style: str = "grid") -> None:
    drawing.shapes.append(_stroke((LEFT, at), (drawing.width - RIGHT, at), style))
    if label:
        drawing.shapes.append(Words((LEFT - 5.0, at + 3.5), label, anchor="end"))


def wave_plot(seen: Seen, size: Size, excerpt: Excerpt | None) -> Drawing:
    """Draw the stem as received from start to end, scaled to its peak, with its clipped places and the excerpt marked.

    Parameters
    ----------
    seen : Seen
    size : Size
    excerpt : Excerpt or None
    """
    height, top, bottom = 102.0, 16.0, 80.0
    drawing = Drawing(size.width, height, (LEFT, size.width - RIGHT))
    look = seen.overview
    if not len(look.highs) or not seen.seconds:
        return drawing
    peak = max(float(look.highs.max()), -float(look.lows.min()), 1e-9)
    x = Axis(0.0, seen.seconds, LEFT, size.width - RIGHT)
    y = Axis(-peak, peak, bottom, top)
    if excerpt is not None:
        start = x(excerpt.start_s)
        drawing.shapes.append(
            Box(start, top - 4.0, x(excerpt.start_s + excerpt.seconds) - start, bottom - top + 8.0, "excerpt")
        )
    highs, lows = (
        _fewer(values, size.columns, pick) for values, pick in ((look.highs, np.maximum), (look.lows, np.minimum))
    )
    times = x.places((np.arange(len(highs)) + 0.5) * seen.seconds / len(highs))
    upper, lower = (np.stack([times, y.places(v) + thick], axis=1) for v, thick in ((highs, -0.3), (lows, 0.3)))
    drawing.shapes.append(Path(np.concatenate([upper, lower[::-1]]), "wave", filled=True))
    for place in sorted({round(x(time), 0) for time in look.clipped}):
        drawing.shapes.append(
            Path(np.array([(place, top), (place - 4.0, top - 8.0), (place + 4.0, top - 8.0)]), "clipped", filled=True)
        )
    drawing.shapes.append(Words((LEFT, height - 4.0), "0 s"))
    drawing.shapes.append(Words((size.width - RIGHT, height - 4.0), f"{seen.seconds:.1f} s", anchor="end"))
    return drawing


def _fewer(values: np.ndarray, most: int, pick: np.ufunc) -> np.ndarray:
    if len(values) <= most:
        return values
    return np.asarray(pick.reduceat(values, np.linspace(0, len(values), most, endpoint=False).astype(np.intp)))
