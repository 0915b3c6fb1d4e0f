"""Drawings: lines, areas and words with a style's name each, to be written as SVG or painted as PNG."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Path:
    """A line through points (array of shape (n, 2)), or the area within them. ``move``: the number of its move."""

    points: np.ndarray
    style: str
    filled: bool = False
    move: int | None = None


@dataclass(frozen=True)
class Box:
    """A rectangle."""

    left: float
    top: float
    width: float
    height: float
    style: str


@dataclass(frozen=True)
class Words:
    """Text; ``at`` is on its base line."""

    at: Point
    text: str
    style: str = "tick"
    anchor: Anchor = "start"


@dataclass(frozen=True)
class Badge:
    """A number in a circle, or in a diamond for a ring's notch: which move of the list this is."""

    at: Point
    number: int
    ring: bool


@dataclass
class Drawing:
    """Shapes on a sheet, first ones below. ``inner`` is the left and right edge of what the x axis spans."""

    width: float
    height: float
    inner: tuple[float, float]
    shapes: list[Path | Box | Words | Badge] = field(default_factory=list)


@dataclass(frozen=True)
class Axis:
    """From values to a length on the sheet, linear in what it is given."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """Return the place of a value; outside the axis it stays on its edge."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)

    def places(self, values: np.ndarray) -> np.ndarray:
        """Return the places of many values."""
        share = (values.clip(self.low, self.high) - self.low) / (self.high - self.low)
        return self.start + share * (self.end - self.start)
