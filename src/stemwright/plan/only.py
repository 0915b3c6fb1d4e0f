"""Only: a move that is made in some places of a stem and not in others, in samples, as data that survives JSON unchanged.

Conventions
-----------
A span is full from its first frame on and over at its end. It fades in over ``fade_frames`` before its first frame, and out over
as many before its end, so that bar lines are clean on both sides. Where fades of several moves meet, each counts for itself: the
sound between is the sum of what the stem would be with every choice of them, weighted with the product of their fades.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

from stemwright.plan.sections import FADE_SECONDS
from stemwright.recipes.times import clock

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stemwright.plan.sections import Span

MOST_VARIANTS = 48  # each is a run of the moves from the first such one on; a hundred would take a hundred times as long


@dataclass(frozen=True, kw_only=True)
class Only:
    """Where a move is made: ``said`` as people wrote it, ``spans`` in frames, in order and apart."""

    said: tuple[str, ...]
    fade_frames: int
    spans: tuple[tuple[int, int], ...]

    @property
    def sound(self) -> tuple[int, tuple[tuple[int, int], ...]]:
        """What of it decides samples."""
        return self.fade_frames, self.spans

    def at_rate(self, was_hz: int, rate_hz: int) -> Only:
        """Return the same places at another sample rate."""
        moved = [(round(start * rate_hz / was_hz), round(end * rate_hz / was_hz)) for start, end in self.spans]
        return Only(said=self.said, fade_frames=round(FADE_SECONDS * rate_hz), spans=tuple(moved))

    def words(self, rate_hz: int) -> str:
        """Say it: ``only hook (0:45-1:10)``."""
        times = [f"{clock(start / rate_hz)}-{clock(end / rate_hz)}" for start, end in self.spans]
        listed = ", ".join(times[:4]) + (f" and {len(times) - 4} more" if len(times) > 4 else "")
        said = ", ".join(self.said)
        return f"only {listed}" if said == listed else f"only {said} ({listed})"


def only_at(said: Sequence[str], spans: Iterable[Span], rate_hz: int, frames: int) -> Only | None:
    """Return seconds as samples of a stem; None where none of them lies in it.

    Parameters
    ----------
    said : sequence of str
        As written.
    spans : iterable of Span
        In order and apart.
    rate_hz, frames : int
        Of the stem.
    """
    inside = [(round(span.start_s * rate_hz), round(span.end_s * rate_hz)) for span in spans]
    # The last span may end with the stem: there is nothing after it to fade into, so its end stands as it was said.
    kept = tuple((max(start, 0), end) for start, end in inside if start < frames and end > max(start, 0))
    fade = round(FADE_SECONDS * rate_hz)
    return Only(said=tuple(said), fade_frames=fade, spans=kept) if kept else None


Sounds = tuple[int, tuple[tuple[int, int], ...]]


def variants(sounds: Sequence[Sounds]) -> list[frozenset[int]]:
    """Return which sets of moves are ever made together.

    Parameters
    ----------
    sounds : sequence of (int, tuple of (int, int))
        For each move, its fade and its spans.

    Returns
    -------
    list of frozenset of int
        Sets of places in `sounds`, in a fixed order, the one outside all spans among them; every moment needs some of them. No
        more than one over `MOST_VARIANTS` are looked for.
    """
    edges = {0}
    for fade, spans in sounds:
        for start, end in spans:
            edges |= {max(start - fade, 0), start, max(end - fade, start), end}
    found: set[frozenset[int]] = set()
    for edge in sorted(edges):
        states = [_states(fade, spans, edge) for fade, spans in sounds]
        for choice in product(*states):
            found.add(frozenset(at for at, on in enumerate(choice) if on))
            if len(found) > MOST_VARIANTS:
                return sorted(found, key=sorted)
    return sorted(found, key=sorted)


def _states(fade: int, spans: Sequence[tuple[int, int]], frame: int) -> tuple[bool, ...]:
    """Return what a move may be from a frame on, up to the next edge: off, on, or both while it fades."""
    for start, end in spans:
        if max(start - fade, 0) <= frame < start or max(end - fade, start) <= frame < end:
            return (False, True)
        if start <= frame < end:
            return (True,)
    return (False,)
