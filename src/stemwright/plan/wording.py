"""Moves and levels in the trade's words, for screens and sheets."""

from __future__ import annotations

import sys
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stemwright.plan.items import PlannedMove

KINDS = {
    "high_pass": "high-pass",
    "low_pass": "low-pass",
    "low_shelf": "low shelf",
    "high_shelf": "high shelf",
    "bell": "bell",
    "notch": "notch",
    "rings": "rings",
    "de_ess": "de-ess",
    "compress": "compress",
    "ride": "ride",
    "gain": "gain",
    "polarity": "polarity",
}
SHELF_Q = 0.7071


def frequency(freq_hz: float) -> str:
    """Return ``30 kHz`` or ``250 Hz``."""
    return f"{freq_hz / 1000:.4g} kHz" if freq_hz >= 1000 else f"{freq_hz:.4g} Hz"


def decibels(gain_db: float) -> str:
    """Return ``+1.5 dB`` or ``-3 dB``."""
    return f"{round(gain_db, 2):+g} dB"


def describe(kind: str, settings: Mapping[str, float]) -> str:
    """Return one move in short: ``bell 3 kHz +1.5 dB q 1``."""
    word = KINDS[kind]
    if kind in _OWN:
        return f"{word} {_OWN[kind](settings)}"
    if kind in ("high_pass", "low_pass"):
        linear = ", linear phase" if settings.get("linear_phase") else ""
        return f"{word} {frequency(settings['freq_hz'])} {settings['slope_db_oct']:g} dB/oct{linear}"
    if kind in ("gain", "polarity"):
        return f"{word} {decibels(settings['gain_db']) if kind == 'gain' else 'flipped'}"
    q = settings["q"]
    width = "" if kind.endswith("shelf") and abs(q - SHELF_Q) < 1e-4 else f" q {q:.3g}"
    return f"{word} {frequency(settings['freq_hz'])} {decibels(settings['gain_db'])}{width}"


def _compress(settings: Mapping[str, float]) -> str:
    times = f"{settings['attack_ms']:g}/{settings['release_ms']:g} ms"
    makeup = f" {decibels(settings['makeup_db'])}" if settings.get("makeup_db") else ""
    return f"{settings['ratio']:g}:1 over {settings['threshold_db']:g} dB {times}{makeup}"


def _de_ess(settings: Mapping[str, float]) -> str:
    return f"{frequency(settings['freq_hz'])} at most {settings['most_db']:g} dB"


def _ride(settings: Mapping[str, float]) -> str:
    if settings["keep_percent"] == 100.0 and not settings["follow_percent"]:
        return "by hand"  # nothing is found, so all its points are a person's
    return f"keeps {settings['keep_percent']:g} % at most {settings['at_most_db']:g} dB"


def _rings(settings: Mapping[str, float]) -> str:
    reach = f"{frequency(settings['from_hz'])} to {frequency(settings['to_hz'])}"
    share = "offered only" if settings.get("only_offered") else f"{settings['take_percent']:g} % taken"
    return f"{reach}, at most {settings['at_most']:g}, {share}"


_OWN = {"compress": _compress, "de_ess": _de_ess, "ride": _ride, "rings": _rings}


def in_short(moves: Iterable[PlannedMove]) -> str:
    """Return a stem's moves on one line."""
    return " · ".join(described(move) for move in moves)


def described(move: PlannedMove) -> str:
    """Return one planned move in short, with where it is made: ``bell 3 kHz +1.5 dB q 1 only hook``."""
    return f"{describe(move.kind, move.settings)}{places_of(move)}"


def places_of(move: PlannedMove) -> str:
    """Return where a move is made, after a space: `` only hook``; nothing for everywhere."""
    return "" if move.only is None else f" only {', '.join(move.only.said)}"


def held_gains(move: PlannedMove) -> list[float]:
    """Return the gains in dB that a ride holds between pauses, where it is made, in order, without those of 0 dB."""
    spans = ((0, sys.maxsize),) if move.only is None else move.only.spans
    held = []
    for gain_db, run in groupby(move.points, key=itemgetter(1)):
        frames = [frame for frame, _, _ in run]
        inside = any(start < frames[-1] and frames[0] < end for start, end in spans)
        held += [gain_db] if len(frames) > 1 and gain_db != 0.0 and inside else []
    return held


def level(value: float | None) -> str:
    """Return a level to a tenth, or a dash where there is none."""
    return "-" if value is None else f"{value:.1f}"


def peak_change(before_dbfs: float | None, after_dbfs: float | None) -> str:
    """Return what became of a peak: ``+3.1, goes over`` where it ends over full scale, ``-`` where there was no sound."""
    if before_dbfs is None or after_dbfs is None:
        return "-"
    change = f"{after_dbfs - before_dbfs + 0.0:+.1f}".replace("-0.0", "+0.0")
    return f"{change}, goes over" if after_dbfs > 0.0 else change


def changes_in_short(before: Iterable[PlannedMove], after: Iterable[PlannedMove]) -> list[str]:
    """Return what became of a stem's moves, one line each: ``bell 3 kHz 0 -> +1.5 dB``.

    Parameters
    ----------
    before, after : iterable of PlannedMove
        Moves are the same where kind and name are.

    Returns
    -------
    list of str
        Empty where nothing changed.
    """
    old = {(move.kind, move.name): move for move in before}
    new = {(move.kind, move.name): move for move in after}
    lines = []
    for key in dict.fromkeys([*old, *new]):
        was, now = old.get(key), new.get(key)
        if was is None or now is None or was.settings != now.settings:
            lines += [_change(was, now, one) for one in (now or was,) if one is not None]
        elif was.only != now.only:
            places = [places_of(each).strip() or "everywhere" for each in (was, now)]
            moved = places if places[0] != places[1] else [f"{places[0]}, as it was", "where that is now"]
            lines.append(f"{describe(now.kind, now.settings)} [{now.name}] {moved[0]} -> {moved[1]}")
        elif was.points != now.points:
            lines.append(f"{describe(now.kind, now.settings)} [{now.name}] other points")
        elif was.sections != now.sections:
            lines.append(f"{describe(now.kind, now.settings)} [{now.name}] designed anew")
    return lines


def _change(was: PlannedMove | None, now: PlannedMove | None, one: PlannedMove) -> str:
    old, new = (move.settings if move is not None else None for move in (was, now))
    same = {key: value for key, value in one.settings.items() if key != "gain_db"}
    only_gain = all(side is None or {key: side[key] for key in same} == same for side in (old, new))
    if "gain_db" in one.settings and only_gain:
        ends = [decibels(side["gain_db"]).removesuffix(" dB") if side else "0" for side in (old, new)]
        ends = ["0" if end == "+0" else end for end in ends]
        at = f" {frequency(one.settings['freq_hz'])}" if "freq_hz" in one.settings else ""
        return f"{KINDS[one.kind]}{at} {ends[0]} -> {ends[1]} dB{places_of(one)} [{one.name}]"
    if old is None or new is None:
        return f"{described(one)} [{one.name}] {'added' if old is None else 'taken out'}"
    return f"{describe(one.kind, old)} -> {describe(one.kind, new)}{places_of(one)} [{one.name}]"
