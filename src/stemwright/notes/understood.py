"""Understood: what a whole note came to: its asks, ways back, relations, what is not ours, and what is not understood."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stemwright.notes.elsewhere import Kind
    from stemwright.notes.frames import Ask, Back, Relation


@dataclass(frozen=True, kw_only=True)
class NotOurs:
    """A clause that no move answers: what it is, and as it was written."""

    kind: Kind
    text: str


@dataclass(kw_only=True)
class Reading:
    """A note understood: what it asks, what it takes back, what it keeps away from, and what it could not answer.

    ``timed`` are asks for one place in the song; ``relations`` stems that are not heard because of others, with two ways out
    of each; ``passed_over`` words that said nothing known and decided nothing; ``problems`` pairs of a clause and why it is
    not understood; ``rest`` the clauses that are, each with its target.
    """

    asks: list[Ask] = field(default_factory=list)
    backs: list[Back] = field(default_factory=list)
    kept_off: list[str] = field(default_factory=list)
    relations: list[Relation] = field(default_factory=list)
    timed: list[Ask] = field(default_factory=list)
    not_ours: list[NotOurs] = field(default_factory=list)
    problems: list[tuple[str, str]] = field(default_factory=list)
    passed_over: list[str] = field(default_factory=list)
    readings: list[str] = field(default_factory=list)
    rest: list[str] = field(default_factory=list)
    approved: bool = False

    @property
    def amount_said(self) -> int:
        """How many things it holds that something is to come of, or that stop it."""
        lists = (self.asks, self.backs, self.kept_off, self.relations, self.timed, self.not_ours, self.problems)
        return sum(len(each) for each in lists)
