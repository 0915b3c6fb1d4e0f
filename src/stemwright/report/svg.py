"""Drawings as SVG: no style of their own but class names, so that the page's sheet colours them, on paper too."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from markupsafe import Markup

from stemwright.report.drawing import Badge, Box, Path, Words

if TYPE_CHECKING:
    from stemwright.report.drawing import Drawing, Point

BADGE_RADIUS = 7.5


def to_svg(drawing: Drawing, kind: str) -> Markup:
    """Return a drawing as an SVG element, hidden from screen readers: the page says in words what is on it.

    Parameters
    ----------
    drawing : Drawing
    kind : str
        Class of the element.
    """
    left, right = drawing.inner
    head = Markup(
        '<svg class="{}" viewBox="0 0 {} {}" data-left="{}" data-right="{}" aria-hidden="true" focusable="false">'
    ).format(kind, *(_n(value) for value in (drawing.width, drawing.height, left, right)))
    parts = [_shape(shape) for shape in drawing.shapes]
    pointer = Markup('<line class="pointer" y1="0" y2="{}" x1="-9" x2="-9"/>').format(_n(drawing.height))
    return head + Markup("").join(parts) + pointer + Markup("</svg>")


def _shape(shape: Path | Box | Words | Badge) -> Markup:
    if isinstance(shape, Path):
        move = Markup(' data-move="{}"').format(shape.move) if shape.move is not None else ""
        return Markup('<path class="{}"{} d="{}"/>').format(shape.style, move, _line(shape.points, closed=shape.filled))
    if isinstance(shape, Box):
        numbers = (_n(value) for value in (shape.left, shape.top, shape.width, shape.height))
        return Markup('<rect class="{}" x="{}" y="{}" width="{}" height="{}"/>').format(shape.style, *numbers)
    if isinstance(shape, Words):
        place = (shape.style, shape.anchor, _n(shape.at[0]), _n(shape.at[1]), shape.text)
        return Markup('<text class="{}" text-anchor="{}" x="{}" y="{}">{}</text>').format(*place)
    x, y = shape.at
    outline = badge_outline(shape.at, ring=shape.ring)
    mark = (
        Markup('<path d="{}"/>').format(_line(np.array(outline), closed=True))
        if outline
        else Markup('<circle cx="{}" cy="{}" r="{}"/>').format(_n(x), _n(y), BADGE_RADIUS)
    )
    label = Markup('<text text-anchor="middle" x="{}" y="{}">{}</text>').format(_n(x), _n(y + 3.7), shape.number)
    return Markup('<g class="badge" data-move="{}">{}{}</g>').format(shape.number, mark, label)


def badge_outline(at: Point, *, ring: bool) -> tuple[Point, ...]:
    """Return the corners of a ring's badge; nothing for a round one."""
    reach = BADGE_RADIUS + 2.0
    x, y = at
    return ((x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)) if ring else ()


def _line(points: np.ndarray, *, closed: bool) -> str:
    # A page has some fifty thousand points: this is the quickest way to write them.
    return "M" + "L".join(["%.1f,%.1f" % (x, y) for x, y in points.tolist()]) + ("Z" if closed else "")  # noqa: UP031


def _n(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
