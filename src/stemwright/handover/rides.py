"""Rides to hand over: the points of each stem's ride by time, for whoever rides by hand, as a table and as CSV."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stemwright.passes.manifest import Manifest
    from stemwright.plan.items import PlannedMove

HEADER = ("stem", "time", "gain_db")
_A_ROW = 4
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def times_of(move: PlannedMove, rate_hz: int) -> list[tuple[str, str]]:
    """Return a move's points as ``m:ss.mmm`` from the stem's first sample and dB with a sign; none but a ride has any."""
    return [(_time(frame, rate_hz), f"{gain_db:+.2f}") for frame, gain_db, _ in move.points]


def table_of(move: PlannedMove, rate_hz: int) -> list[str]:
    """Return a move's points as lines of text, four to a line, to be read across."""
    cells = [f"{time:>10} {gain_db:>6} dB" for time, gain_db in times_of(move, rate_hz)]
    return ["   ".join(cells[start : start + _A_ROW]) for start in range(0, len(cells), _A_ROW)]


def rides_csv(manifest: Manifest) -> str:
    """Return the points of all rides of a pass as CSV (RFC 4180) with a header; empty where nothing is ridden.

    A name that a spreadsheet would calculate has an apostrophe before it. Between two points the gain goes from one to the
    other, before the first and after the last it stands still.
    """
    rows = [
        (_as_text(entry.item.stem), *point)
        for entry in manifest.stems
        for move in entry.item.moves
        for point in times_of(move, entry.item.received.rate_hz)
    ]
    if not rows:
        return ""
    text = io.StringIO(newline="")
    csv.writer(text).writerows([HEADER, *rows])
    return text.getvalue()


def _as_text(name: str) -> str:
    """Return a name that no spreadsheet takes for a formula: names come from strangers."""
    return f"'{name}" if name.startswith(_FORMULA) else name


def _time(frame: int, rate_hz: int) -> str:
    minutes, thousandths = divmod(round(frame * 1000 / rate_hz), 60_000)
    return f"{minutes}:{thousandths // 1000:02d}.{thousandths % 1000:03d}"
