"""Bar lines: where excerpts begin and end so that they are whole bars, and what the session sheet calls a stretch."""

from __future__ import annotations

import math
from contextlib import suppress
from itertools import takewhile
from typing import TYPE_CHECKING

from stemwright.plan.sections import NoSuchSectionError, bar_at, bar_seconds, bar_start, places

if TYPE_CHECKING:
    from stemwright.recipes.timeline import Timeline


def bar_lines(timeline: Timeline, until_s: float) -> tuple[float, ...]:
    """Return the beginnings of a song's bars up to a time, in seconds; nothing where the sheet does not say where bars are."""
    if not timeline.has_bars:
        return ()
    shortest = min(bar_seconds(timeline, each.bpm) for each in timeline.tempo)
    bars = range(1, math.ceil(until_s / shortest) + 2)
    return tuple(takewhile(lambda at: at <= until_s, (bar_start(timeline, bar) for bar in bars)))


def whole_bars_s(timeline: Timeline, at_most_s: float) -> float:
    """Return how long the most whole bars are that fit into a length, at the first tempo; the length where not one fits."""
    if not timeline.has_bars:
        return at_most_s
    bar = bar_seconds(timeline, timeline.tempo[0].bpm)
    return max(math.floor(at_most_s / bar + 1e-9), 0) * bar or at_most_s


def called(timeline: Timeline, start_s: float, end_s: float) -> str:
    """Return what a stretch is called: ``hook, bars 9 to 11``; the section is that which has most of it, if any has half."""
    names = {name: _inside(timeline, name, start_s, end_s) for name in timeline.sections}
    most = max(names, key=lambda name: names[name], default="")
    section = most if most and names[most] >= (end_s - start_s) / 2.0 else ""
    first, last = bar_at(timeline, start_s), bar_at(timeline, end_s - 1e-6)
    bars = ""
    if first is not None and last is not None:
        bars = f"bar {first.bar}" if first.bar == last.bar else f"bars {first.bar} to {last.bar}"
    return ", ".join(part for part in (section, bars) if part)


def _inside(timeline: Timeline, name: str, start_s: float, end_s: float) -> float:
    """Return how many seconds of a stretch lie in a section; none where the section is of bars and nobody says where bars are."""
    with suppress(NoSuchSectionError):
        return sum(max(min(span.end_s, end_s) - max(span.start_s, start_s), 0.0) for span in places(timeline, [name]))
    return 0.0
