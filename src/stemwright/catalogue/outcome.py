"""Outcome: what came of one song, and what came of them all."""

from __future__ import annotations

from collections import Counter
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable

State = Literal["done", "nothing new", "planned", "refused", "bug"]
FOR_THE_TABLE = ("sum_lufs", "sum_peak", "kit")  # in the details with all else that was found of the sum
COUNTS = ("stems", "rendered", "taken_over", "failed", "to_settle")


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What came of one song.

    ``rendered``, ``taken_over`` and ``failed`` count stems, ``to_settle`` what waits for a person besides those; None is
    "nobody looked". ``said`` is for the table, and so are ``sum_lufs`` and ``sum_peak`` (of the sum of all stems, before and after)
    and ``kit`` (what phase did to its sum); ``problem`` is set where nothing could be done. ``details`` are for JSON.
    """

    song: str
    state: State
    stems: int = 0
    pass_name: str | None = None
    rendered: int | None = None
    taken_over: int | None = None
    failed: int | None = None
    to_settle: int | None = None
    sum_lufs: str | None = None
    sum_peak: str | None = None
    kit: str | None = None
    said: str = ""
    problem: str | None = None
    seconds: float = 0.0
    details: dict[str, Any] = field(default_factory=dict)

    @property
    def needs_a_person(self) -> bool:
        """Whether somebody has to look at it."""
        return self.state in ("refused", "bug") or bool(self.failed) or bool(self.to_settle)

    def as_json(self) -> dict[str, Any]:
        """Return it as plain JSON values, the details beside the rest."""
        data = {key: value for key, value in asdict(self).items() if key not in FOR_THE_TABLE}
        details = data.pop("details")
        name = data.pop("pass_name")
        return {**data, "pass": name, "seconds": round(self.seconds, 3), **details}


@dataclass
class Total:
    """Sums over songs, so that no outcome need be kept for them."""

    songs: Counter[State] = field(default_factory=Counter)
    counts: Counter[str] = field(default_factory=Counter)
    waiting: int = 0

    @classmethod
    def of(cls, outcomes: Iterable[Outcome]) -> Total:
        """Add up outcomes."""
        total = cls()
        for outcome in outcomes:
            total.add(outcome)
        return total

    def add(self, outcome: Outcome) -> None:
        """Add one."""
        self.songs[outcome.state] += 1
        self.waiting += outcome.needs_a_person
        for key in COUNTS:
            self.counts[key] += getattr(outcome, key) or 0
