"""Drawings as SVG: no style of their own but class names, so that the page's sheet colours them, on paper too."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from markupsafe import Markup, escape

from stemwright.report.drawing import Badge, Box, Path, Words
from stemwright.stems.names import safe

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
    left, right = (_n(edge) for edge in drawing.inner)
    box = f"0 0 {_n(drawing.width)} {_n(drawing.height)}"
    head = f'<svg class="{escape(kind)}" viewBox="{box}" data-left="{left}" data-right="{right}" aria-hidden="true" focusable="false">'
    pointer = f'<line class="pointer" y1="0" y2="{_n(drawing.height)}" x1="-9" x2="-9"/>'
    shapes = "".join([_shape(shape) for shape in drawing.shapes])
    return Markup(f"{head}{shapes}{pointer}</svg>")  # noqa: S704 - numbers and our own names; words are escaped below


def _shape(shape: Path | Box | Words | Badge) -> str:
    if isinstance(shape, Path):
        move = "" if shape.move is None else f' data-move="{shape.move}"'
        return f'<path class="{shape.style}"{move} d="{_line(shape.points, closed=shape.filled)}"/>'
    if isinstance(shape, Box):
        place = f'x="{_n(shape.left)}" y="{_n(shape.top)}" width="{_n(shape.width)}" height="{_n(shape.height)}"'
        return f'<rect class="{shape.style}" {place}/>'
    x, y = shape.at
    if isinstance(shape, Words):
        place = f'text-anchor="{shape.anchor}" x="{_n(x)}" y="{_n(y)}"'
        return f'<text class="{shape.style}" {place}>{escape(safe(shape.text))}</text>'
    outline = badge_outline(shape.at, ring=shape.ring)
    mark = f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{BADGE_RADIUS}"/>'
    if outline:
        mark = f'<path d="{_line(np.array(outline), closed=True)}"/>'
    label = f'<text text-anchor="middle" x="{_n(x)}" y="{_n(y + 3.7)}">{shape.number}</text>'
    return f'<g class="badge" data-move="{shape.number}">{mark}{label}</g>'


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
