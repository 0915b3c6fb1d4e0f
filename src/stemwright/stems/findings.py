"""Intake findings: what is wrong with what arrived, in one shape for every check."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

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

    def as_json(self) -> dict[str, Any]:
        """Return the finding as plain JSON values."""
        return asdict(self)
