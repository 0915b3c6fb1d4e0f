"""Metadata: what the containers say of time and tempo, headers that do not fit their files, and names that make trouble."""

from __future__ import annotations

import unicodedata
from collections import Counter, defaultdict
from typing import TYPE_CHECKING

from stemwright.stems.findings import Finding

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from stemwright.stems.intake.arrived import Arrived

LONGEST_NAME_BYTES = 250  # of the 255 that file systems allow: room for a changed ending
UNSEEN = ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")


def metadata(stem: Arrived) -> Iterator[Finding]:
    """Yield what is worth knowing of a stem's container."""
    marks, rate_hz = stem.marks, stem.info.rate_hz
    if marks.surplus_bytes or marks.open_header:
        bytes_ = f"{marks.surplus_bytes} bytes follow that its header does not speak of"
        yield stem.finding(
            "header-short",
            "warn",
            "its header leaves the length open; taken to the end of the file" if marks.open_header else bytes_,
            why="a recorder or a transfer did not come to its end, so the stem may lack its end",
            do="compare its length with the others; ask for it again if in doubt",
        )
    said = []
    if marks.time_reference is not None:
        seconds = marks.time_reference / rate_hz
        clock = f"{int(seconds // 3600):02d}:{int(seconds // 60 % 60):02d}:{seconds % 60:06.3f}"
        said.append(f"time reference {marks.time_reference} samples ({clock})")
    if marks.tempo_bpm is not None:
        said.append(f"tempo {marks.tempo_bpm:g} bpm")
    if said:
        yield stem.finding(
            "metadata",
            "info",
            "; ".join(said),
            why="it says where the stem belongs on the timeline",
            do="nothing has to be done; it goes along into the file written",
        )


def tempo_of(stems: Sequence[Arrived]) -> float | None:
    """Return the tempo most stems agree on, None if none says one."""
    tempos = Counter(round(stem.marks.tempo_bpm, 2) for stem in stems if stem.marks.tempo_bpm is not None)
    return tempos.most_common(1)[0][0] if tempos else None


def tempos_differ(stems: Sequence[Arrived]) -> Iterator[Finding]:
    """Yield the finding on stems that disagree on the tempo."""
    tempos = Counter(round(stem.marks.tempo_bpm, 1) for stem in stems if stem.marks.tempo_bpm is not None)
    if len(tempos) > 1:
        listed = ", ".join(f"{tempo:g} bpm ({count})" for tempo, count in tempos.most_common())
        yield Finding(
            id="tempos-differ",
            severity="info",
            stem=None,
            measured=f"tempos in the files' metadata differ: {listed}",
            why="loops carry the tempo they were cut at, not the song's; a session may follow the wrong one",
            do="set the session's tempo by hand",
        )


def names(stems: Iterable[str]) -> Iterator[Finding]:
    """Yield names that make trouble on other machines."""
    folded: dict[str, list[str]] = defaultdict(list)
    for stem in stems:
        folded[unicodedata.normalize("NFC", stem).casefold()].append(stem)
        trouble = _trouble(stem)
        if trouble is not None:
            yield Finding(
                id="odd-name",
                severity="warn",
                stem=stem,
                measured=trouble,
                why="another machine or session may show it wrong, refuse it or lose it",
                do="rename the file; this program works on it meanwhile",
            )
    for same in folded.values():
        if len(same) > 1:
            yield Finding(
                id="names-collide",
                severity="warn",
                stem=same[-1],
                measured=f"its name differs only in case or form from {', '.join(same[:-1])}",
                why="on most disks of Macs and Windows machines only one of them survives being copied",
                do="rename one of them",
            )


def _trouble(stem: str) -> str | None:
    unseen = sorted({_shown(char) for char in stem if unicodedata.category(char) in UNSEEN})
    if any(unicodedata.category(char) == "Cs" for char in stem):
        return f"its name is not readable text: {' '.join(unseen)}"
    if unseen:
        return f"its name holds characters that cannot be seen: {' '.join(unseen)}"
    longest = max(len(part.encode("utf-8")) for part in stem.split("/"))
    if longest > LONGEST_NAME_BYTES:
        return f"its name is {longest} bytes long; {LONGEST_NAME_BYTES} leave room for another ending"
    return None


def _shown(char: str) -> str:
    return f"U+{ord(char):04X}"
