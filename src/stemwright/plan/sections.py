"""Sections: where in a stem a section, bars or a time lie, in seconds and in samples; pure arithmetic on the sheet's timeline.

Conventions
-----------
Bar n begins at bar one plus the lengths of all bars before it, each at the tempo of its own beginning. Frames are rounded to
the nearest, so a bar line is at most half a sample off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import StemwrightError
from stemwright.recipes.problems import hint, shown
from stemwright.recipes.times import Bars, Times, clock, stretch

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stemwright.recipes.timeline import Timeline
    from stemwright.recipes.times import Stretch

FADE_SECONDS = 0.02
HOW = "sections: {hook: bars 21-28} or {hook: 0:45-1:10}"


class NoSuchSectionError(StemwrightError):
    """A section, or bars, of which the sheet does not say where they are; the message says what there is and how to write one."""


@dataclass(frozen=True)
class Span:
    """A stretch in seconds."""

    start_s: float
    end_s: float


@dataclass(frozen=True)
class BarAt:
    """A moment by bars: the bar, the beat in it from 1 on, and how far into the beat, 0 to 1."""

    bar: int
    beat: int
    part: float

    def __str__(self) -> str:
        return f"bar {self.bar} beat {self.beat}" if self.beat > 1 else f"bar {self.bar}"


def bar_seconds(timeline: Timeline, bpm: float) -> float:
    """Return how long a bar lasts at a tempo in quarters a minute."""
    beats, unit = timeline.meter
    return beats * (4.0 / unit) * 60.0 / bpm


def bar_start(timeline: Timeline, bar: int) -> float:
    """Return where a bar begins, in seconds.

    Raises
    ------
    NoSuchSectionError
        If the sheet does not say where bars are.
    """
    if timeline.bar_one_s is None or not timeline.tempo:
        raise NoSuchSectionError("bars need tempo and bar_one in session.yaml, as in: tempo: 88 and bar_one: 0.52 s")
    at = timeline.bar_one_s
    for here, after in zip(timeline.tempo, [*timeline.tempo[1:], None], strict=True):
        last = bar if after is None else min(bar, after.bar)
        at += max(last - here.bar, 0) * bar_seconds(timeline, here.bpm)
    return at


def bar_at(timeline: Timeline, seconds: float) -> BarAt | None:
    """Return which bar and beat a moment lies in; None before bar one, or where the sheet does not say where bars are."""
    if not timeline.has_bars or timeline.bar_one_s is None or seconds < timeline.bar_one_s - 1e-9:
        return None
    for here, after in zip(timeline.tempo, [*timeline.tempo[1:], None], strict=True):
        start = bar_start(timeline, here.bar)
        if after is not None and seconds >= bar_start(timeline, after.bar) - 1e-9:
            continue
        length = bar_seconds(timeline, here.bpm)
        bars = math.floor((seconds - start) / length + 1e-9)
        beats = max((seconds - start - bars * length) / length * timeline.meter[0], 0.0)
        beat = min(math.floor(beats + 1e-9), timeline.meter[0] - 1)
        return BarAt(here.bar + bars, beat + 1, max(beats - beat, 0.0))
    return None


def when(timeline: Timeline, seconds: float) -> str:
    """Say a moment as people do: ``bar 21 beat 3 (0:52.4)``, or the time alone where no bars are known."""
    at, time = bar_at(timeline, seconds), clock(round(seconds, 1))
    return time if at is None else f"{at} ({time})"


def seconds_of(timeline: Timeline, place: Stretch) -> Span:
    """Return where bars or a time lie, in seconds."""
    if isinstance(place, Times):
        return Span(place.start_s, place.end_s)
    return Span(bar_start(timeline, place.first), bar_start(timeline, place.last + 1))


def places(timeline: Timeline, said: Iterable[str]) -> tuple[Span, ...]:
    """Return where all that is said lies, in order, what touches made one.

    Parameters
    ----------
    timeline : Timeline
        Of the session sheet.
    said : iterable of str
        Sections' names, bars, or times.

    Raises
    ------
    NoSuchSectionError
        If one is none of these.
    """
    spans = [seconds_of(timeline, each) for text in said for each in _stretches(timeline, text)]
    merged: list[Span] = []
    for span in sorted(spans, key=lambda each: (each.start_s, each.end_s)):
        # Less than a fade apart they are one: a move that goes and comes back at once is heard as a flutter.
        if merged and span.start_s <= merged[-1].end_s + FADE_SECONDS:
            merged[-1] = Span(merged[-1].start_s, max(merged[-1].end_s, span.end_s))
        else:
            merged.append(span)
    return tuple(merged)


def _stretches(timeline: Timeline, text: str) -> Sequence[Stretch]:
    name = " ".join(text.split()).casefold()
    # A section may be called "hook 2"; only what is none is read as bars or a time.
    named = {" ".join(key.split()).casefold(): value for key, value in timeline.sections.items()}
    if name in named:
        return named[name]
    read = stretch(text)
    if isinstance(read, (Bars, Times)):
        return (read,)
    known = list(timeline.sections)
    there = f"there are: {', '.join(shown(each) for each in known)}" if known else "session.yaml names none"
    near = f"{hint(text, known)}; " if known else ""
    raise NoSuchSectionError(f"no section is called {shown(text)}; {near or there + '; '}in session.yaml write {HOW}")
