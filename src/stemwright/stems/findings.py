"""Intake findings: what is wrong with what arrived, in one shape for every check."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from stemwright.plain import plain

if TYPE_CHECKING:
    from stemwright.plain import Plain

Severity = Literal["stop", "warn", "info"]


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing found at intake.

    ``stop`` means the stem cannot be worked on, ``warn`` that a person should settle it, ``info`` that it is worth
    knowing. ``stem`` is None for what concerns the whole song.
    """

    id: str
    severity: Severity
    stem: str | None
    measured: str
    why: str
    do: str

    def as_json(self) -> Plain:
        """Return the finding as plain JSON values."""
        data: Plain = plain(self)
        return data
