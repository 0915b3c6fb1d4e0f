"""Timing: where stems start and end, one by one and against each other."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from stemwright.stems.findings import Finding
from stemwright.stems.intake import thresholds as at

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stemwright.stems.intake.arrived import Arrived

SHOWN = 6


def timing(stem: Arrived) -> Iterator[Finding]:
    """Yield where a stem is silent at its start and end."""
    first, last = stem.heard.first_sound, stem.heard.last_sound
    if first is None or last is None:
        return
    rate_hz = stem.info.rate_hz
    if first >= at.LEADING_SECONDS * rate_hz:
        yield stem.finding(
            "leading-silence",
            "info",
            f"first sound at {stem.at(first)}{_in_bars(first / rate_hz, stem.marks.tempo_bpm)}",
            why="fine where the part enters there; a late start otherwise",
            do="keep the silence: it puts the stem in its place",
        )
    if stem.heard.frames - last > at.TRAILING_SECONDS * rate_hz:
        yield stem.finding(
            "trailing-silence",
            "info",
            f"last sound at {stem.at(last)}, then {(stem.heard.frames - last) / rate_hz:.1f} s of silence",
            why="fine where stems are printed to one length",
            do="nothing has to be done",
        )


def together(stems: Sequence[Arrived], tempo_bpm: float | None) -> Iterator[Finding]:
    """Yield what differs between the stems of a song: rates, lengths, starts."""
    if len(stems) < 2:
        return
    yield from _rates(stems)
    late = dict(_late(stems, tempo_bpm))
    yield from _lengths(stems)
    yield from late.values()


def _rates(stems: Sequence[Arrived]) -> Iterator[Finding]:
    rates = Counter(stem.info.rate_hz for stem in stems)
    if len(rates) < 2:
        return
    common = rates.most_common(1)[0][0]
    others = [f"{stem.stem} {stem.info.rate_hz / 1000:g} kHz" for stem in stems if stem.info.rate_hz != common]
    yield Finding(
        id="rates-differ",
        severity="warn",
        stem=None,
        measured=f"sample rates differ: most stems have {common / 1000:g} kHz, but {_listed(others)}",
        why="a session has one rate: a stem read at another plays at the wrong pitch and length",
        do="ask for one rate, or say rate: in session.yaml under deliver and all go out at one",
    )


def _lengths(stems: Sequence[Arrived]) -> Iterator[Finding]:
    common, count = _common_length(stems)
    others = [stem for stem in stems if abs(stem.info.seconds - common) > at.LENGTHS_SECONDS]
    if not others:
        return
    most = f"most stems have {common:.3f} s" if count > 1 else f"the longest has {common:.3f} s"
    differ = [f"{stem.stem} {stem.info.seconds:.3f} s" for stem in others]
    yield Finding(
        id="lengths-differ",
        severity="info",
        stem=None,
        measured=f"lengths differ: {most}, but {_listed(differ)}",
        why="stems of one length from one start need no lining up; a shorter one may have been cut at its start",
        do="see that all start at the same point; same_length: true in session.yaml under deliver pads them at the end",
    )


def _common_length(stems: Sequence[Arrived]) -> tuple[float, int]:
    lengths = Counter(round(stem.info.seconds / at.LENGTHS_SECONDS) for stem in stems)
    best, count = max(lengths.items(), key=lambda each: (each[1], each[0]))
    return best * at.LENGTHS_SECONDS, count


def _late(stems: Sequence[Arrived], tempo_bpm: float | None) -> Iterator[tuple[str, Finding]]:
    """Yield stems that start late: by their time reference, by their length, or by a delay against the others' first sound."""
    long = [stem for stem in stems if stem.info.seconds >= at.LATE_LEAST_STEM_SECONDS]
    for stem in long:
        said = _by_reference(stem, long) or _by_length(stem, long) or _by_first_sound(stem, long)
        if said is None:
            continue
        samples, how = said
        yield (
            stem.stem,
            stem.finding(
                "starts-late",
                "warn",
                f"{how}: {samples} samples ({samples / stem.info.rate_hz:.4f} s{_bars(samples / stem.info.rate_hz, tempo_bpm)})",
                why="dropped in at the start with the others it plays early or late by that much",
                do="ask for a print from the song's start, or move it by these samples",
            ),
        )


def _by_reference(stem: Arrived, stems: Sequence[Arrived]) -> tuple[int, str] | None:
    starts = [one.marks.time_reference / one.info.rate_hz for one in stems if one.marks.time_reference is not None]
    if stem.marks.time_reference is None or len(starts) < 2:
        return None
    samples = round(stem.marks.time_reference - min(starts) * stem.info.rate_hz)
    return (samples, "its time reference is later than the earliest stem's") if samples > 0 else None


def _by_length(stem: Arrived, stems: Sequence[Arrived]) -> tuple[int, str] | None:
    """Suspect a stem that is shorter than the others' one length and sounds at once: printed from its own first note."""
    common, count = _common_length(stems)
    missing = round((common - stem.info.seconds) * stem.info.rate_hz)
    first = stem.heard.first_sound
    at_once = first is not None and first <= at.AT_ONCE_SECONDS * stem.info.rate_hz
    if count < 2 or not at_once or missing <= at.LENGTHS_SECONDS * stem.info.rate_hz:
        return None
    # With sound to its last moment it may as well be cut short at its end, where nothing has to be moved.
    if stem.heard.last_sound is None or stem.heard.frames - stem.heard.last_sound <= at.AT_ONCE_SECONDS * stem.info.rate_hz:
        return None
    if sum(1 for one in stems if one.info.seconds >= common - at.LENGTHS_SECONDS) * 2 <= len(stems):
        return None
    return missing, "it sounds at once and is shorter than the others, so it seems to start late"


def _by_first_sound(stem: Arrived, stems: Sequence[Arrived]) -> tuple[int, str] | None:
    if stem.heard.first_sound is None:
        return None
    firsts = sorted(
        one.heard.first_sound / one.info.rate_hz for one in stems if one is not stem and one.heard.first_sound is not None
    )
    mine = stem.heard.first_sound / stem.info.rate_hz
    near = [first for first in firsts if abs(first - mine) <= at.LATE_SECONDS]
    if len(near) < 3 or near[-1] - near[0] > at.LATE_LEAST_SECONDS or len(near) * 2 < len(stems):
        return None
    samples = round((mine - near[len(near) // 2]) * stem.info.rate_hz)
    if samples < at.LATE_LEAST_SECONDS * stem.info.rate_hz:
        return None
    return samples, f"its first sound comes after that of {len(near)} stems that start together"


def _bars(seconds: float, tempo_bpm: float | None) -> str:
    if not tempo_bpm:
        return ""
    bar = at.BAR_BEATS * 60.0 / tempo_bpm
    bars = round(seconds / bar)
    if bars and abs(seconds - bars * bar) <= at.BAR_SECONDS:
        return f", {bars} {'bar' if bars == 1 else 'bars'} of four at {tempo_bpm:g} bpm"
    return ""


def _in_bars(seconds: float, tempo_bpm: float | None) -> str:
    text = _bars(seconds, tempo_bpm)
    return f", after{text[1:]}" if text else ""


def _listed(items: Sequence[str]) -> str:
    more = f" and {len(items) - SHOWN} more" if len(items) > SHOWN else ""
    return ", ".join(items[:SHOWN]) + more
