"""Waves: a stem and the beat from start to end, with what is heard, what is ridden, what is clipped and what is covered."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.overview import Overview
from stemwright.report.drawing import Axis, Box, Drawing, Path, Words
from stemwright.report.plots import LEFT, MINUS, RIGHT, clock

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.report.excerpt import Excerpt
    from stemwright.report.looking import Seen
    from stemwright.report.places import PlaceOnPage, RidePoint
    from stemwright.report.plots import Size

BAR_HEIGHT = 3.0
RIDE_DB = 12.0  # the most that a ride moves


def wave_plot(
    seen: Seen,
    size: Size,
    excerpts: Sequence[Excerpt] = (),
    ride: Sequence[RidePoint] = (),
    covered: Sequence[PlaceOnPage] = (),
) -> Drawing:
    """Draw the stem from start to end as received, over it as it is now, with clipped places and excerpts marked.

    Parameters
    ----------
    seen : Seen
    size : Size
    excerpts : sequence of Excerpt
    ride : sequence of RidePoint
        Drawn over the wave, `RIDE_DB` up and down from its middle.
    covered : sequence of Place
        Where the stem is covered: bars under the wave.
    """
    height, top, bottom = 102.0, 16.0, 80.0
    drawing = Drawing(size.width, height, (LEFT, size.width - RIGHT))
    look = seen.overview
    if not len(look.highs) or not seen.seconds:
        return drawing
    looks = [("wave", look), *([("wave after", seen.after)] if seen.after is not None and len(seen.after.highs) else [])]
    peak = max(1e-9, *(max(float(each.highs.max()), -float(each.lows.min())) for _, each in looks))
    x = Axis(0.0, seen.seconds, LEFT, size.width - RIGHT)
    y = Axis(-peak, peak, bottom, top)
    for excerpt in excerpts:
        start = min(excerpt.start_s, seen.seconds)
        end = min(excerpt.start_s + excerpt.seconds, seen.seconds)
        if end > start:
            drawing.shapes.append(Box(x(start), top - 4.0, x(end) - x(start), bottom - top + 8.0, "excerpt"))
    for style, each in looks:
        drawing.shapes.append(outline(each, x.low, seen.seconds, (x, y), size.columns, style))
    for place in sorted({round(x(time), 0) for time in look.clipped}):
        drawing.shapes.append(
            Path(np.array([(place, top), (place - 4.0, top - 8.0), (place + 4.0, top - 8.0)]), "clipped", filled=True)
        )
    if ride:
        gains = Axis(-RIDE_DB, RIDE_DB, bottom, top)
        ends = [(0.0, ride[0].gain_db), *((point.time_s, point.gain_db) for point in ride), (seen.seconds, ride[-1].gain_db)]
        points = [(x(min(time_s, seen.seconds)), gains(gain_db)) for time_s, gain_db in ends]
        drawing.shapes.append(Path(np.array(points), "line ride"))
    drawing.shapes += _bars_under(covered, x, bottom + 5.0, seen.seconds)
    drawing.shapes.append(Words((LEFT, height - 4.0), "0 s"))
    drawing.shapes.append(Words((size.width - RIGHT, height - 4.0), f"{seen.seconds:.1f} s", anchor="end"))
    drawing.shapes.append(
        Words((LEFT - 5.0, top + 4.0), f"{20.0 * math.log10(peak):.0f}".replace("-0", "0").replace("-", MINUS), anchor="end")
    )
    return drawing


def _bars_under(places: Sequence[PlaceOnPage], x: Axis, top: float, seconds: float) -> list[Box]:
    """Return a thin bar for each place that lies in a stem or a song of this length."""
    ends = [(x(each.start_s), x(min(each.end_s, seconds))) for each in places if each.start_s < seconds]
    return [Box(start, top, end - start, BAR_HEIGHT, "covered") for start, end in ends]


def outline(look: Overview, start_s: float, seconds: float, axes: tuple[Axis, Axis], columns: int, style: str) -> Path:  # noqa: PLR0913, PLR0917 - a drawing's parts
    """Return an overview as an area between its lowest and highest samples."""
    x, y = axes
    highs, lows = (_fewer(values, columns, pick) for values, pick in ((look.highs, np.maximum), (look.lows, np.minimum)))
    times = x.places(start_s + (np.arange(len(highs)) + 0.5) * seconds / len(highs))
    upper, lower = (np.stack([times, y.places(v) + thick], axis=1) for v, thick in ((highs, -0.3), (lows, 0.3)))
    return Path(np.concatenate([upper, lower[::-1]]), style, filled=True)


def beat_plot(seen: Sequence[Seen], size: Size, excerpts: Sequence[Excerpt], covered: Sequence[PlaceOnPage] = ()) -> Drawing:
    """Draw the beat: its stems' outlines put together as powers, which is what they mostly come to, excerpts, covered places."""
    height, top, bottom = 84.0, 6.0, 66.0
    drawing = Drawing(size.width, height, (0.0, size.width))
    seconds = max((each.seconds for each in seen), default=0.0)
    if not seconds:
        return drawing
    x = Axis(0.0, seconds, 0.0, size.width)
    power = np.zeros(size.columns)
    for each in seen:
        look = each.overview
        if len(look.highs):
            places = np.minimum(
                (np.arange(len(look.highs)) * each.seconds / len(look.highs)) / seconds * size.columns, size.columns - 1
            )
            np.maximum.at(column := np.zeros(size.columns), places.astype(np.intp), np.maximum(look.highs, -look.lows))
            power += column**2
    reach = np.sqrt(power)
    y = Axis(-1.0, 1.0, bottom, top)
    both = Overview(-reach / max(float(reach.max()), 1e-9), reach / max(float(reach.max()), 1e-9), (), np.zeros(0))
    for excerpt in excerpts:
        start = x(excerpt.start_s)
        drawing.shapes.append(Box(start, 1.0, x(excerpt.start_s + excerpt.seconds) - start, bottom + 2.0, "excerpt"))
    drawing.shapes.append(outline(both, 0.0, seconds, (x, y), size.columns, "wave"))
    drawing.shapes += _bars_under(covered, x, bottom + 4.0, seconds)
    drawing.shapes.append(Words((0.0, height - 3.0), "0:00"))
    drawing.shapes.append(Words((size.width, height - 3.0), clock(seconds), anchor="end"))
    return drawing


def _fewer(values: np.ndarray, most: int, pick: np.ufunc) -> np.ndarray:
    if len(values) <= most:
        return values
    return np.asarray(pick.reduceat(values, np.linspace(0, len(values), most, endpoint=False).astype(np.intp)))
