"""By hand: the points of a ride as a person writes them under a stem of the session sheet: ``0:42.1-0:44 +1.5``."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stemwright.recipes.problems import shown
from stemwright.recipes.strict_yaml import Scalar
from stemwright.recipes.times import Times, stretch

if TYPE_CHECKING:
    from stemwright.recipes.reading import Reading
    from stemwright.recipes.strict_yaml import Node

BY_HAND = "ride by hand"  # the move of a stem that nothing else rides
MOST_DB = 12.0
SHORTEST_SECONDS = 0.1  # a gain comes and goes over 50 ms
EXAMPLE = '"0:42.1-0:44 +1.5"'
_ENTRY = re.compile(r"(?P<when>.*\S)\s+(?P<gain>[+-]?\d{1,3}(?:\.\d{1,6})?)(?:\s?dB)?")


@dataclass(frozen=True, kw_only=True)
class ByHand:
    """A gain that a person wants from one moment to another, in seconds."""

    start_s: float
    end_s: float
    gain_db: float
    line: int = field(default=1, compare=False)
    column: int = field(default=1, compare=False)

    def __str__(self) -> str:
        return f"{Times(self.start_s, self.end_s)} {self.gain_db:+g} dB"


def read_by_hand(reading: Reading, node: Node, where: str) -> tuple[ByHand, ...]:
    """Read a stem's list; what is wrong with an entry, or with their order, goes to the problems."""
    found: list[ByHand] = []
    items = reading.items(node, where, f"a list of times and gains, such as [{EXAMPLE}]")
    for way, item in items:
        text = reading.text(item, way, f"a time and a gain, such as {EXAMPLE}")
        one = None if text is None or not isinstance(item, Scalar) else _entry(reading, item, way, text)
        if one is None:
            continue
        if found and one.start_s < found[-1].end_s:
            reading.problem(
                item, way, f"begins before the one above it ends ({found[-1]}); write them in time order, none over another"
            )
            continue
        found.append(one)
    return tuple(found)


def _entry(reading: Reading, item: Scalar, way: str, text: str) -> ByHand | None:
    parts = _ENTRY.fullmatch(text)
    if parts is None:
        reading.problem(item, way, f"no time and gain ({shown(text)}); write {EXAMPLE}")
        return None
    when, gain_db = stretch(parts["when"]), float(parts["gain"])
    if not isinstance(when, Times):
        wrong = when if isinstance(when, str) else "bars are not taken here"
        reading.problem(item, way, f"{wrong} ({shown(parts['when'])}); write a time and a gain, such as {EXAMPLE}")
    elif when.end_s - when.start_s < SHORTEST_SECONDS:
        reading.problem(item, way, f"too short ({shown(text)}); allowed: {SHORTEST_SECONDS:g} s and more")
    elif abs(gain_db) > MOST_DB:
        reading.problem(item, way, f"too much ({shown(parts['gain'])} dB); allowed: -{MOST_DB:g} to +{MOST_DB:g} dB")
    else:
        return ByHand(start_s=when.start_s, end_s=when.end_s, gain_db=gain_db, line=item.line, column=item.column)
    return None
