"""The plots of a stem: its spectrum over the curve of its moves, and its wave from start to end."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.plan.wording import frequency
from stemwright.report.drawing import Axis, Badge, Drawing, Path, Words
from stemwright.report.spectra import HIGHEST_HZ, LOWEST_HZ, POINTS_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.report.drawing import Anchor, Point
    from stemwright.report.looking import GainCurves, Seen, StemView
    from stemwright.report.rings import Around

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


@dataclass(frozen=True)
class Scale:
    """What all plots of a page share, so that one can be held against another: the top of the spectra, and the moves' reach."""

    top_db: float
    low_db: int
    high_db: int

    @property
    def step_db(self) -> int:
        """Distance of the moves' level lines."""
        return 3 if self.high_db - self.low_db <= 18 else 6


def scale_of(views: Iterable[StemView]) -> Scale:
    """Return the scale that holds every stem's spectra and moves."""
    looked = list(views)
    levels = [float(db.max()) for view in looked if view.seen for db in view.seen.spectra_db.values()]
    curves = [db for view in looked if view.curves for db in (view.curves.total_db, *view.curves.each_db) if db is not None]
    lowest = max(min([-LEAST_DB, *(float(curve.min()) for curve in curves)]), DEEPEST_DB)
    highest = max([LEAST_DB, *(float(curve.max()) for curve in curves)])
    step = 3 if highest - lowest <= 15.0 else 6
    top_db = math.ceil((max(levels, default=-10.0) + 2.0) / 10.0) * 10.0
    return Scale(top_db, math.floor(lowest / step) * step, math.ceil(highest / step) * step)


def spectrum_plot(view: StemView, size: Size, names: dict[str, str], scale: Scale) -> Drawing:
    """Draw the spectra and, below them on the same frequency axis, the moves.

    Parameters
    ----------
    view : StemView
    size : Size
    names : dict of str to str
        What each side is called.
    scale : Scale
        The page's.
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
            drawing.shapes.append(Words((at, height - 6.0), frequency(tick), anchor=anchor))
    if view.seen is not None:
        _spectra(drawing, view.seen, x, (TOP, TOP + spectra_height), names, scale)
    if view.curves is not None:
        _curves(drawing, view, view.curves, x, (bottom - curves_height, bottom), scale)
    return drawing


def _spectra(drawing: Drawing, seen: Seen, x: Axis, reach: tuple[float, float], names: dict[str, str], scale: Scale) -> None:  # noqa: PLR0913, PLR0917 - a drawing's parts
    top_db = scale.top_db
    y = Axis(top_db - SPAN_DB, top_db, reach[1], reach[0])
    for level in range(int(top_db - SPAN_DB), int(top_db) + 1, 10):
        _level_line(drawing, y(level), f"{level:g}".replace("-", MINUS) if (top_db - level) % 20 == 0 else "")
    drawing.shapes.append(Words((LEFT, TOP - 6.0), "dB re full-scale sine" if drawing.width > 500 else "dBFS"))
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


def _curves(drawing: Drawing, view: StemView, curves: GainCurves, x: Axis, reach: tuple[float, float], scale: Scale) -> None:  # noqa: PLR0913, PLR0917 - a drawing's parts
    low, high, step = scale.low_db, scale.high_db, scale.step_db
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
        if move.settings["freq_hz"] > HIGHEST_HZ:  # off the axis: an arrow says where it points
            edge = drawing.width - RIGHT
            words = f"{frequency(move.settings['freq_hz'])} \N{RIGHTWARDS ARROW}"
            drawing.shapes.append(Words((edge, reach[0] + 12.0), words, "label", "end"))
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


def clock(seconds: float) -> str:
    """Return a time as ``1:04``."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def ring_plot(around: Around, names: dict[str, str]) -> Drawing:
    """Draw half an octave around a ring, before and after, with the excess that its sentence names in a bracket."""
    width, height, top, bottom = 340.0, 150.0, 20.0, 128.0
    drawing = Drawing(width, height, (LEFT, width - RIGHT))
    before = around.levels_db["received"]
    peak = float(before[np.abs(np.log2(around.freqs_hz / around.freq_hz)) < 0.03].max())
    high = math.ceil((max(float(db.max()) for db in around.levels_db.values()) + 3.0) / 6.0) * 6
    low = high - max(30, math.ceil((around.excess_db + 18.0) / 6.0) * 6)
    x = Axis(math.log(around.freqs_hz[0]), math.log(around.freqs_hz[-1]), LEFT, width - RIGHT)
    y = Axis(low, high, bottom, top)
    for level in range(low, high + 1, 6):
        _level_line(drawing, y(level), f"{level}".replace("-", MINUS) if (high - level) % 12 == 0 else "")
    for freq, anchor in ((around.freqs_hz[0], "start"), (around.freq_hz, "middle"), (around.freqs_hz[-1], "end")):
        drawing.shapes.append(Words((x(math.log(freq)), height - 6.0), frequency(float(f"{freq:.3g}")), anchor=anchor))  # type: ignore[arg-type]
    for side in ("received", "that", "this"):
        if side in around.levels_db:
            points = np.stack([x.places(np.log(around.freqs_hz)), y.places(around.levels_db[side])], axis=1)
            drawing.shapes.append(Path(points, f"line {side}"))
    at = x(math.log(around.freq_hz))
    ends = (y(peak), y(peak - around.excess_db))
    for end in ends:
        drawing.shapes.append(_stroke((at + 12.0, end), (at + 20.0, end), "bracket"))
    drawing.shapes.append(_stroke((at + 20.0, ends[0]), (at + 20.0, ends[1]), "bracket"))
    drawing.shapes.append(Words((at + 25.0, (ends[0] + ends[1]) / 2.0 + 4.0), f"{around.excess_db:.1f} dB", "label"))
    drawing.shapes.append(Words((LEFT, top - 7.0), "dBFS in narrow bands"))
    drawing.shapes.append(Words((width - RIGHT, top - 7.0), f"dashed {names['received']}", anchor="end"))
    return drawing
