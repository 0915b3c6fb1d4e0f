"""Tempo: what files and their names say of it, offered for the session sheet; nothing takes it for true."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING

from stemwright.stems.findings import Finding
from stemwright.stems.marks import TEMPO_BPM

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stemwright.stems.intake.arrived import Arrived

_IN_NAME = re.compile(
    r"(?<![\d.,])(\d{2,3}(?:[.,]\d{1,3})?)[\s_-]?bpm(?![a-z])|(?<![a-z])bpm[\s_-]?(\d{2,3}(?:[.,]\d{1,3})?)(?![\d])",
    re.IGNORECASE,
)
WHOLE_SHARE = 0.01  # a loop's length may miss its beats by so much: tails are cut by ear (common practice, no source)


def in_name(name: str) -> float | None:
    """Return the tempo that a file name says: ``Beat_88bpm``, ``140 BPM``, ``bpm 93.5``; None where it says none."""
    found = _IN_NAME.search(name)
    if found is None:
        return None
    value = float((found[1] or found[2]).replace(",", "."))
    return value if TEMPO_BPM[0] <= value <= TEMPO_BPM[1] else None


def proposed(stems: Sequence[Arrived], titles: Sequence[str]) -> Iterator[Finding]:
    """Yield what to write into the session sheet, where files or names say a tempo.

    Parameters
    ----------
    stems : sequence of Arrived
    titles : sequence of str
        The song's own names.
    """
    chunks, names = _said(stems, titles)
    both = chunks + names
    bpm = likeliest(stems, titles)
    if bpm is None:
        return
    told = [f"{chunks[bpm]} of {len(stems)} stems' metadata"] if chunks[bpm] else []
    told += [f"{names[bpm]} of the names"] if names[bpm] else []
    others = f"; others say {', '.join(f'{each:g}' for each in both if each != bpm)}" if len(both) > 1 else ""
    whole = whole_loops(stems)
    where = f"bar one at 0 s, since {whole} of {len(stems)} are exactly as long as the beats they speak of" if whole else ""
    yield Finding(
        id="tempo",
        severity="info",
        stem=None,
        measured=f"tempo {bpm:g}, say {' and '.join(told)}{others}{'; ' + where if where else ''}",
        why="with tempo and bar_one in session.yaml, bars and sections can be named; it is not assumed",
        do=f"if it is the song's, write into session.yaml: tempo: {bpm:g}, and bar_one: {'0 s' if where else 'where bar 1 begins'}",
    )


def likeliest(stems: Sequence[Arrived], titles: Sequence[str]) -> float | None:
    """Return the tempo that most files and names say, None where none says any."""
    chunks, names = _said(stems, titles)
    return next((bpm for bpm, _ in (chunks + names).most_common(1)), None)


def whole_loops(stems: Sequence[Arrived]) -> int:
    """Count the loops that are as long as their beats: they begin on one."""
    whole = 0
    for stem in stems:
        marks = stem.marks
        if marks.beats and marks.tempo_bpm:
            length = marks.beats * 60.0 / marks.tempo_bpm
            whole += abs(stem.info.seconds - length) <= WHOLE_SHARE * length
    return whole


def _said(stems: Sequence[Arrived], titles: Sequence[str]) -> tuple[Counter[float], Counter[float]]:
    """Count which tempo the files' metadata says, and which the names."""
    chunks = Counter(round(stem.marks.tempo_bpm, 3) for stem in stems if stem.marks.tempo_bpm is not None)
    names = Counter(bpm for text in (*titles, *(stem.stem for stem in stems)) if (bpm := in_name(text)) is not None)
    return chunks, names
