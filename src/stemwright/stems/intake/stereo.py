"""Stereo: a mono sound in a stereo file, a side inverted or silent, and a left or right whose partner is missing."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import db
from stemwright.stems.names import side_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stemwright.stems.findings import Finding
    from stemwright.stems.intake.arrived import Arrived


def pair(stems: Sequence[Arrived]) -> Iterator[Finding]:
    """Yield the left and right files of one stem whose levels are far apart."""
    by_name = {stem.stem: stem for stem in stems}
    for stem in stems:
        other = by_name.get(stem.partner or "")
        side = side_of(stem.stem)
        if other is None or side is None or side[0] != "L" or min(stem.heard.peak, other.heard.peak) < at.SILENT:
            continue
        levels = [sum(each.heard.powers) * each.heard.frames for each in (stem, other)]
        apart_db = db(levels[0] / levels[1], 10.0)
        if abs(apart_db) >= at.SIDES_APART_DB:
            louder, quieter = (stem, other) if apart_db > 0.0 else (other, stem)
            yield louder.finding(
                "pair-apart",
                "warn",
                f"{abs(apart_db):.1f} dB louder than the other side, {quieter.stem}",
                why="two sides of one stem always get the same moves: what is apart stays apart, and leans to one side",
                do="ask whether it is meant so; if not, ask for both again, printed at one gain",
            )


def stereo(stem: Arrived) -> Iterator[Finding]:
    """Yield what is wrong between a stem's sides."""
    heard = stem.heard
    if heard.peak < at.SILENT:
        return
    if stem.info.channels == 1:
        yield from _partner(stem)
        return
    dead = [number for number, peak in enumerate(heard.peaks, start=1) if peak < at.SILENT]
    if dead:
        names = {1: "left", 2: "right"}
        which = f"the {names[dead[0]]} side" if stem.info.channels == 2 else f"channel {', '.join(map(str, dead))}"
        yield stem.finding(
            "side-silent",
            "warn",
            f"{which} is silent; the loudest reaches {db(heard.peak):.1f} dBFS",
            why="a stem panned all the way or printed with a cable missing sits wrong in the mix",
            do="ask whether it is meant so; if not, ask for it again",
        )
    elif heard.cross is not None:
        yield from _sides(stem, heard.powers[0], heard.powers[1], heard.cross)


def _sides(stem: Arrived, left: float, right: float, cross: float) -> Iterator[Finding]:
    both = left + right
    difference, total = max(both - 2.0 * cross, 0.0), max(both + 2.0 * cross, 0.0)
    if difference <= total * 10.0 ** (at.SAME_SIDES_DB / 10.0):
        exact = "to the bit" if difference == 0.0 else f"the difference is {db(difference / both, 10.0):.0f} dB"
        yield stem.finding(
            "mono-in-stereo",
            "info",
            f"both sides are the same ({exact})",
            why="it is a mono stem in twice the space",
            do="nothing has to be done; it stays stereo as received",
        )
        return
    apart_db = db(left / right, 10.0)
    if abs(apart_db) >= at.SIDES_APART_DB:
        yield stem.finding(
            "sides-apart",
            "info",
            f"the {'left' if apart_db > 0.0 else 'right'} side is {abs(apart_db):.1f} dB louder than the other",
            why="panned on purpose it is right; a gain left behind at a preamplifier pulls the stem out of its place",
            do="ask whether it is meant so; nothing here changes it",
        )
    correlation = cross / math.sqrt(left * right)
    if correlation <= at.INVERTED_CORRELATION:
        yield stem.finding(
            "side-inverted",
            "warn",
            f"one side is the other inverted: correlation {correlation:.3f}",
            why=f"in mono it drops by {db(2.0 * both / max(total, both * 1e-12), 10.0):.0f} dB or vanishes",
            do="ask for it again; a widening effect may be meant, a swapped cable never is",
        )


def _partner(stem: Arrived) -> Iterator[Finding]:
    side = side_of(stem.stem)
    if side is None or stem.partner is not None:
        return
    this, other = ("left", "right") if side[0] == "L" else ("right", "left")
    yield stem.finding(
        "partner-missing",
        "warn",
        f"the name says {this} side, and there is no {other} one",
        why="half of a stereo stem is missing, or it is called something else",
        do=f"ask for the {other} side, or rename the file if it is mono",
    )
