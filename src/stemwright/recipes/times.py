"""Times: places in a song as people write them: ``bars 5-20``, ``0:45-1:10``, ``42.1 s``.

Conventions
-----------
Seconds count from the first sample of a stem, bars from 1. A stretch of bars holds its last bar whole. Moments are exact: they
become samples only where a stem's rate is known.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

LATEST_S = 86_400.0  # no stem is longer than a day
HIGHEST_BAR = 100_000
WANTED = "bars 5-20, bar 5, or a time such as 1:02-1:18"

_CLOCK = r"(?:(?:\d{1,2}:)?\d{1,4}:\d{2}(?:\.\d{1,6})?|\d{1,5}(?:\.\d{1,6})?\s?(?:s|sec|ms))"
_RANGE = r"\s*(?:-|\N{EN DASH}|\bto\b)\s*"
_MOMENT = re.compile(_CLOCK)
_TIMES = re.compile(rf"(?P<start>{_CLOCK}){_RANGE}(?P<end>{_CLOCK})")
_BARS = re.compile(rf"bars?\s+(?P<first>\d{{1,6}})(?:{_RANGE}(?:bar\s+)?(?P<last>\d{{1,6}}))?", re.IGNORECASE)


@dataclass(frozen=True)
class Bars:
    """Bars ``first`` to ``last``, both whole."""

    first: int
    last: int

    def __str__(self) -> str:
        return f"bar {self.first}" if self.first == self.last else f"bars {self.first}-{self.last}"


@dataclass(frozen=True)
class Times:
    """From one moment to another, in seconds."""

    start_s: float
    end_s: float

    def __str__(self) -> str:
        return f"{clock(self.start_s)}-{clock(self.end_s)}"


Stretch = Bars | Times


def clock(seconds: float) -> str:
    """Write a moment as ``1:02``, ``0:45.25`` or ``1:00:03``, to a thousandth; `moment` reads it back."""
    thousandths = round(seconds * 1000)
    minutes, left = divmod(thousandths, 60_000)
    text = f"{left / 1000:06.3f}".rstrip("0").rstrip(".")
    return f"{minutes // 60}:{minutes % 60:02d}:{text}" if minutes >= 60 else f"{minutes}:{text}"


def moment(text: str) -> float | None:
    """Return the seconds of ``1:02.5``, ``0.52 s`` or ``520 ms``; None where it is no such thing or too late."""
    clean = text.strip()
    if not _MOMENT.fullmatch(clean):
        return None
    if ":" not in clean:
        number = float(re.sub(r"\s?[a-z]+$", "", clean))
        seconds = number / 1000.0 if clean.endswith("ms") else number
    else:
        parts = clean.split(":")
        if any(float(part) >= 60.0 for part in parts[1:]):
            return None
        seconds = 0.0
        for part in parts:
            seconds = seconds * 60.0 + float(part)
    return seconds if seconds <= LATEST_S else None


def stretch(text: str) -> Stretch | str:
    """Read a stretch.

    Parameters
    ----------
    text : str
        ``bars 5-20``, ``bar 5``, ``1:02-1:18``.

    Returns
    -------
    Bars, Times or str
        A text says what is wrong.
    """
    clean = " ".join(text.split())
    found = _BARS.fullmatch(clean)
    if found is not None:
        first = int(found["first"])
        last = int(found["last"] or first)
        if not 1 <= first <= last <= HIGHEST_BAR:
            return f"bars count from 1 to {HIGHEST_BAR}, and the last is no earlier than the first"
        return Bars(first, last)
    found = _TIMES.fullmatch(clean)
    if found is None:
        return f"no place in a song; write {WANTED}"
    start, end = moment(found["start"]), moment(found["end"])
    if start is None or end is None:
        return f"no time of a song; write {WANTED}"
    return Times(start, end) if start < end else "ends before it begins, or as it begins"


def is_stretch(text: str) -> bool:
    """Whether a text is bars or a time rather than a section's name."""
    return not isinstance(stretch(text), str)


def looks_like_stretch(text: str) -> bool:
    """Whether a text is meant as bars or a time, right or wrong: it has nothing of a name in it."""
    return re.match(r"\s*(?:bars?\s+\d|\d+:\d)", text, re.IGNORECASE) is not None
