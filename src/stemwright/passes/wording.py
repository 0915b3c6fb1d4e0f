"""Moves and levels in the trade's words, for screens and sheets."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stemwright.passes.items import PlannedMove

KINDS = {
    "high_pass": "high-pass",
    "low_pass": "low-pass",
    "low_shelf": "low shelf",
    "high_shelf": "high shelf",
    "bell": "bell",
    "notch": "notch",
    "rings": "rings",
    "compress": "compress",
    "gain": "gain",
    "polarity": "polarity",
}
SHELF_Q = 0.7071


def frequency(freq_hz: float) -> str:
    """Return ``27 kHz`` or ``250 Hz``."""
    return f"{freq_hz / 1000:.4g} kHz" if freq_hz >= 1000 else f"{freq_hz:.4g} Hz"


def decibels(gain_db: float) -> str:
    """Return ``+1.5 dB`` or ``-3 dB``."""
    return f"{round(gain_db, 2):+g} dB"


def describe(kind: str, settings: Mapping[str, float]) -> str:
    """Return one move in short: ``bell 3 kHz +1.5 dB q 1``."""
    word = KINDS[kind]
    if kind in ("high_pass", "low_pass"):
        return f"{word} {frequency(settings['freq_hz'])} {settings['slope_db_oct']:g} dB/oct"
    if kind == "gain":
        return f"{word} {decibels(settings['gain_db'])}"
    if kind == "polarity":
        return f"{word} flipped"
    if kind == "compress":
        text = f"{word} {settings['ratio']:g}:1 over {settings['threshold_db']:g} dB"
        times = f"{settings['attack_ms']:g}/{settings['release_ms']:g} ms"
        makeup = f" {decibels(settings['makeup_db'])}" if settings.get("makeup_db") else ""
        return f"{text} {times}{makeup}"
    if kind == "rings":
        reach = f"{frequency(settings['from_hz'])} to {frequency(settings['to_hz'])}"
        return f"{word} {reach}, at most {settings['at_most']:g}, {settings['depth_percent']:g} % deep"
    q = settings["q"]
    width = "" if kind.endswith("shelf") and abs(q - SHELF_Q) < 1e-4 else f" q {q:.3g}"
    return f"{word} {frequency(settings['freq_hz'])} {decibels(settings['gain_db'])}{width}"


def in_short(moves: Iterable[PlannedMove]) -> str:
    """Return a stem's moves on one line."""
    return " · ".join(describe(move.kind, move.settings) for move in moves)


def level(value: float | None) -> str:
    """Return a level to a tenth, or a dash where there is none."""
    return "-" if value is None else f"{value:.1f}"
