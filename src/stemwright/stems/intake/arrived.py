"""A stem as intake sees it: its header, what was heard, and what its name says it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.stems.findings import Finding

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.stems.findings import Severity
    from stemwright.stems.info import AudioInfo
    from stemwright.stems.intake.heard import Heard
    from stemwright.stems.marks import Marks


@dataclass(frozen=True, kw_only=True)
class Arrived:
    """One readable stem. ``role`` is what its recipe takes it for, ``partner`` the other side of a left/right pair.

    ``sounds`` is "low" or "high" where such stems sound nowhere else, "open" where they reach the top;
    ``deep`` whether what they have under 30 Hz is theirs.
    """

    stem: str
    source: Path
    info: AudioInfo
    heard: Heard
    marks: Marks
    role: str | None = None
    sounds: str | None = None
    deep: bool = False
    partner: str | None = None

    def at(self, frame: int) -> str:
        """Return a place in the stem as a person finds it: ``12.345 s``."""
        return f"{frame / self.info.rate_hz:.3f} s"

    def finding(self, kind: str, severity: Severity, measured: str, *, why: str, do: str) -> Finding:
        """Return a finding on this stem."""
        return Finding(id=kind, severity=severity, stem=self.stem, measured=measured, why=why, do=do)
