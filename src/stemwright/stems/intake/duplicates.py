"""Duplicates: the same audio twice under two names, upright or inverted, whatever the word length."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from stemwright.errors import AudioError
from stemwright.stems.audio import read_blocks
from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import db

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stemwright.stems.findings import Finding
    from stemwright.stems.intake.arrived import Arrived


def duplicates(stems: Sequence[Arrived]) -> Iterator[Finding]:
    """Yield stems that are the same audio as one before them; only those alike in what was heard are read again."""
    sounding = [stem for stem in stems if stem.heard.peak >= at.SILENT]
    order = {stem.stem: number for number, stem in enumerate(sounding)}
    groups: dict[tuple[int, int, int], list[Arrived]] = {}
    for stem in sounding:
        groups.setdefault((stem.info.frames, stem.info.channels, stem.info.rate_hz), []).append(stem)
    found: dict[str, Finding] = {}
    for group in groups.values():
        alike = sorted(group, key=lambda one: sum(one.heard.energies))
        for first, second in pairwise(alike):
            pair = sorted((first, second), key=lambda one: order[one.stem])
            if _alike(*pair) and (finding := _judge(*pair)) is not None:
                found[pair[1].stem] = finding
    yield from (found[stem.stem] for stem in sounding if stem.stem in found)


def _alike(first: Arrived, second: Arrived) -> bool:
    tolerance = at.SAME_ENERGY * max(*first.heard.energies, *second.heard.energies)
    return all(abs(a - b) <= tolerance for a, b in zip(first.heard.energies, second.heard.energies, strict=True))


def _judge(first: Arrived, second: Arrived) -> Finding | None:
    upright, inverted, whole = 0.0, 0.0, 0.0
    try:
        both = zip(read_blocks(first.source, first.info), read_blocks(second.source, second.info), strict=True)
        for a, b in both:
            upright += float(((a - b) ** 2).sum())
            inverted += float(((a + b) ** 2).sum())
            whole += float((a**2).sum())
    except (AudioError, OSError, ValueError):
        return None  # it changed since it was heard; prep looks again
    least = min(upright, inverted)
    if db(least / whole, 10.0) > at.SAME_RESIDUAL_DB:
        return None
    how = "to the bit" if least == 0.0 else f"the difference is {db(least / whole, 10.0):.0f} dB"
    flipped = inverted < upright
    if second.partner == first.stem:
        return _pair(first, second, how, flipped=flipped)
    return second.finding(
        "same-audio",
        "warn",
        f"the same audio as {first.stem}{', inverted' if flipped else ''} ({how})",
        why="together they cancel" if flipped else "played together it is 6 dB louder than meant, and a stem may be missing",
        do="ask which stem this should have been, or tell session.yaml to skip one of them with a reason",
    )


def _pair(first: Arrived, second: Arrived, how: str, *, flipped: bool) -> Finding:
    if flipped:
        return second.finding(
            "side-inverted",
            "warn",
            f"this side is the other one, {first.stem}, inverted ({how})",
            why="in mono the pair vanishes",
            do="ask for it again; a swapped cable is never meant",
        )
    return second.finding(
        "mono-in-stereo",
        "info",
        f"both sides are the same: this one and {first.stem} ({how})",
        why="it is a mono stem in two files",
        do="nothing has to be done; both get the same moves",
    )
