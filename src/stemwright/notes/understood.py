"""Understood: what a whole note came to: its asks, ways back, relations, what is not ours, and what is not understood."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TYPE_CHECKING

from stemwright.notes.elsewhere import AUTOMATION

if TYPE_CHECKING:
    from stemwright.notes.elsewhere import WorkKind
    from stemwright.notes.frames import Ask, Back, Frame, Relation


@dataclass(frozen=True, kw_only=True)
class NotOurs:
    """A clause that no move answers: what it is, and as it was written."""

    kind: WorkKind
    text: str


@dataclass(kw_only=True)
class NoteRead:
    """A note understood: what it asks, what it takes back, what it keeps away from, and what it could not answer.

    ``timed`` are asks for one place in the song; ``relations`` stems that are not heard because of others, with two ways out
    of each; ``passed_over`` words that said nothing known and decided nothing; ``problems`` pairs of a clause and why it is
    not understood, ``firm`` those of them that nothing else in the note can make good; ``taken`` what the whole was taken as;
    ``rest`` the clauses that are understood, each with its target; ``somewhere``: part of it is meant for a place in the song;
    ``perhaps`` a few words before the ways in which a note that does nothing may be meant, and those, each as a note.
    """

    asks: list[Ask] = field(default_factory=list)
    backs: list[Back] = field(default_factory=list)
    kept_off: list[str] = field(default_factory=list)
    relations: list[Relation] = field(default_factory=list)
    timed: list[Ask] = field(default_factory=list)
    not_ours: list[NotOurs] = field(default_factory=list)
    problems: list[tuple[str, str]] = field(default_factory=list)
    firm: list[tuple[str, str]] = field(default_factory=list)
    passed_over: list[str] = field(default_factory=list)
    readings: list[str] = field(default_factory=list)
    taken: list[str] = field(default_factory=list)
    rest: list[str] = field(default_factory=list)
    perhaps: tuple[str, tuple[str, ...]] = ("", ())
    approved: bool = False
    somewhere: bool = False

    @property
    def amount_said(self) -> int:
        """How many things it holds that something is to come of, or that stop it."""
        lists = (self.asks, self.backs, self.kept_off, self.relations, self.timed, self.not_ours, self.problems)
        return sum(len(each) for each in lists)

    @property
    def keeps_only(self) -> bool:
        """Whether it keeps away from stems and has nothing else."""
        return bool(self.kept_off) and self.amount_said == len(self.kept_off)

    def refuse(self, clause: str, why: str) -> None:
        """Take in a clause that is not understood, and that nothing else can make good."""
        self.problems.append((clause, why))
        self.firm.append((clause, why))

    def take(self, frame: Frame, text: str) -> None:
        """Take in what a clause, as it was written, says."""
        self.passed_over += frame.talk
        self.kept_off += frame.kept_off
        self._go_back(frame.backs)
        if frame.relation is not None:
            self.relations.append(frame.relation)
        if frame.elsewhere is not None:
            self.not_ours.append(NotOurs(kind=frame.elsewhere, text=text))
            return
        self.timed += [ask for ask in frame.asks if ask.when is not None]
        if any(ask.when is not None for ask in frame.asks):
            self.not_ours.append(NotOurs(kind=AUTOMATION, text=text))
        for ask in frame.asks:
            if ask.when is None and not _said_already(ask, self.asks):
                self.asks.append(ask)
        if frame.backs or frame.kept_off or any(ask.when is None for ask in frame.asks):
            self.rest.append(f"{frame.called}: {text}" if frame.called else text)

    def hold(self, ask: Ask, relation: Relation) -> None:
        """Put one stem over another in the place of an ask, which is then not done."""
        self.asks.remove(ask)
        self.relations.append(relation)
        clause = ask.text if ask.when is None else ask.text.removesuffix(f" ({ask.when.text})")
        if all(each.text != ask.text for each in self.asks):
            self.rest = [each for each in self.rest if clause not in each]

    def _go_back(self, backs: list[Back]) -> None:
        """Take requests to go back; one without stems right behind another says more about that one."""
        before = self.backs
        for back in backs:
            again = bool(before) and not back.stems and before[-1].way == "before"
            if again and back.way == "pass":
                before[-1] = replace(back, stems=before[-1].stems)  # "put hers back to where it was (pass 2)"
            elif back.way == "before" and _points_at(back, before):
                if set(back.stems) > set(before[-1].stems):
                    before[-1] = replace(before[-1], stems=back.stems)  # "pass 2 was it. Return to that for everything"
            elif not (again and back.way == "before"):  # "I take it back about the guitars. undo"
                before.append(back)


def _said_already(ask: Ask, before: list[Ask]) -> bool:
    """Whether an ask only says again what was asked: hats hurt. HURT."""
    if ask.exact is not None or ask.gain_db is not None:
        return False
    return any(
        (each.stems, each.word, each.amount > 0) == (ask.stems, ask.word, ask.amount > 0) and each.exact is None
        for each in before
    )


def _points_at(back: Back, before: list[Back]) -> bool:
    """Whether a request to go back only points at the pass that was said: go back to that."""
    words = back.text.casefold().split()
    pointing = any(
        first == "to" and second.strip(",.") in ("that", "it", "this", "those", "these", "them")
        for first, second in pairwise(words)
    )
    return (
        pointing
        and bool(before)
        and before[-1].way in ("pass", "passes back")
        and (not before[-1].stems or set(before[-1].stems) <= set(back.stems))
    )
