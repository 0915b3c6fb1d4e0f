"""Loose ends: what of a note was not understood by itself, and may be made good by what stands elsewhere in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.notes.frames import Back
    from stemwright.notes.understood import NoteRead

Problem = tuple[str, str]


class LooseEnds:
    """Collects problems with what would settle each, and drops from a reading those that are settled.

    Parameters
    ----------
    reading : Reading
        What the note says so far; its ``problems`` hold them.
    """

    def __init__(self, reading: NoteRead) -> None:
        self._reading = reading
        self._told: list[tuple[Problem, tuple[str, ...], int]] = []
        self._answers: list[tuple[int, tuple[str, ...]]] = []
        self._for_whom: list[tuple[Problem, frozenset[str]]] = []
        self._asides: list[Problem] = []
        self._backs: list[Back] = []

    def told(self, problem: Problem, stems: tuple[str, ...], sentence: int) -> None:
        """Keep what only tells of stems, or that something is wrong with them; an answer in `sentence` is none (-1: any is one)."""
        self._told.append((problem, stems, sentence))

    def for_whom(self, problem: Problem, qualities: Iterable[str]) -> None:
        """Keep what asks for sounds and does not say of whom."""
        self._for_whom.append((problem, frozenset(qualities)))

    def aside(self, problem: Problem) -> None:
        """Keep what is only talk: passed over where the rest of the note asks for something."""
        self._asides.append(problem)

    def has_a_whom(self) -> None:
        """Drop the last of those that did not say of whom: the next clause did."""
        problem, _ = self._for_whom.pop()
        self._reading.problems.remove(problem)

    def only_told(self, backs: Iterable[Back]) -> None:
        """Keep ways back that no verb asks for, and of no stem: no request beside one (played it before the show)."""
        self._backs += [back for back in backs if not back.stems and back.way != "scale"]

    def answered(self, stems: tuple[str, ...], sentence: int) -> None:
        """Take in that stems got an answer in a sentence."""
        self._answers.append((sentence, stems))

    def tie_up(self) -> None:
        """Drop what another part of the note says what to do about, what is only talk, and what is said again with a whom.

        "It is WORD and harsh" is a list of two things, and the second is no answer to the first: that takes another sentence.
        """
        reading = self._reading
        for problem, stems, here in self._told:
            answered = {stem for sentence, answer in self._answers if sentence != here for stem in answer}
            if stems and set(stems) <= answered:
                self._pass_over(problem)
        if reading.asks or reading.backs or reading.relations or reading.kept_off:
            for problem in self._asides:
                self._pass_over(problem)
        if reading.asks or any(back.stems for back in reading.backs):
            reading.passed_over += [back.text for back in self._backs if back in reading.backs]
            reading.backs = [back for back in reading.backs if back not in self._backs]
        words = {ask.word for ask in reading.asks}
        for problem, qualities in self._for_whom:  # "Not powerful. Kick more powerful.": said again, and of whom
            if problem in reading.problems and ((qualities and qualities <= words) or reading.approved or reading.not_ours):
                reading.problems.remove(problem)

    def _pass_over(self, problem: Problem) -> None:
        if problem in self._reading.problems:
            self._reading.problems.remove(problem)
            self._reading.passed_over.append(problem[0])
