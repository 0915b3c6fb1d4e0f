"""Reading: one clause understood, in the light of those before it. A word that no reading accounts for stops it.

Conventions
-----------
A clause keeps something off, goes back, is work of somebody else's, holds one stem against another, or asks; the first of
these that it says is what it is. A word nobody knows stops it, unless it only says of whom ("the funk guitar", where one guitar
is there), how or where ("on my monitors") of something that is understood without it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.notes.asking import Asker, Told, by_gain
from stemwright.notes.elsewhere import kind_of
from stemwright.notes.exact import frequencies_in, gain_in
from stemwright.notes.frames import Frame, PieceError
from stemwright.notes.history import Telling, back_in, keeps_off
from stemwright.notes.items import stems_of
from stemwright.notes.levels import level_sign
from stemwright.notes.qualities import qualities_in
from stemwright.notes.relations import relation_in
from stemwright.notes.spare import refuse_spare
from stemwright.notes.subjects import subjects_of
from stemwright.notes.timing import when_in
from stemwright.notes.unexplained import asks_for_something, circumstance, help_with, say_what, so_that, unexplained
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.pronouns import Context
    from stemwright.notes.qualities import Quality
    from stemwright.notes.targets import Targets
    from stemwright.recipes.words import Vocabulary

RETURNING = ("undo", "before", "half", "move", "less than last")
VAGUELY = ("overall", "general", "in general", "it all")
RELATING = ("room", "cover", "under", "mutual")


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """What stands around a clause: the clauses before, "everywhere" in its sentence, and the sign of the word before it."""

    context: Context
    everywhere: bool = False
    inherited: float | None = None


def _of_the_whole(clause: Clause, told: Told, targets: Targets) -> bool:
    """Whether a sound is wished of the mix as such, and of no stem: it lacks bottom in general."""
    every = [item for item in (*clause.heads, *clause.items) if item.has("every")]
    vague = bool(every) and all(item.text in VAGUELY for item in every)
    return vague and not clause.names and told.subjects.stems == targets.everything.stems


class Reader:
    """Reads clauses against a pass's stems and the words in reach."""

    def __init__(self, targets: Targets, vocabulary: Vocabulary) -> None:
        self.targets = targets
        self.vocabulary = vocabulary
        self.faults = {name for name, words in vocabulary.words.items() if any(word.fault for word in words)}
        self._asker = Asker(targets, vocabulary, self.faults)

    def frame(self, clause: Clause, text: str, around: Surroundings) -> Frame:
        """Return what a clause says.

        Raises
        ------
        PieceError
            If it is not understood, or is about a stem that the song does not have.
        """
        problem = next((item.problem for item in clause.items if item.problem), "")
        if problem:
            raise PieceError(problem)
        when, timed = when_in(clause.items, everywhere=around.everywhere)
        whole = so_that([item for item in clause.items if item not in timed])
        items = circumstance(whole)
        plain = replace(clause, items=items)
        subjects = subjects_of(plain, self.targets, around.context)
        subjects.beside = stems_of(_without_kicking_in(whole[len(items) :]))
        told = Told(
            items=[item for item in items if item is not subjects.taken and (not item.names or item in subjects.sounds)],
            subjects=subjects,
            text=text,
            when=when,
        )
        frame = Frame(stems=subjects.stems, named=subjects.named, called=subjects.called)
        self._fill(frame, plain, told, around)
        refuse_spare(items, frame, text)
        return frame

    def _fill(self, frame: Frame, plain: Clause, told: Told, around: Surroundings) -> None:
        """Put in what a clause says: the first of what it may be that it is."""
        items, subjects = plain.items, told.subjects
        if self._keeps_off(frame, plain, told):
            return
        frame.elsewhere = kind_of(items, subjects, told.when)
        if frame.elsewhere is not None and not any(item.has(*RETURNING) for item in items):
            return
        if self._goes_back(frame, plain, told, around.context) or frame.elsewhere is not None:
            if frame.backs and not any(item.has("elsewhere") for item in items):
                frame.elsewhere = None  # "undo the cut on the piano": the cut is a move
            return
        if subjects.absent and any(item.quality or item.figure or item.has("direction", "turn") for item in items):
            raise PieceError(f"no {subjects.absent} in this song; its stems: {', '.join(self.targets.stems)}")
        if not any(item.figure is not None for item in told.items) or any(item.has(*RELATING) for item in items):
            frame.relation = relation_in(plain, subjects, around.context.before, told.text, (self.targets, self.vocabulary))
        if frame.relation is None:
            self._asks(frame, plain, told, around.inherited)

    def _asks(self, frame: Frame, clause: Clause, told: Told, inherited: float | None) -> None:
        qualities = self._qualities(clause, told, inherited)
        frame.asks = self._asker.asks(told, qualities)
        frame.praised = any(item.has("praise") for item in clause.items)
        left = unexplained(clause, told.subjects, asked=bool(frame.asks))
        if left and (frame.asks or asks_for_something(clause, told)):
            raise PieceError(help_with(left[0].text, self.vocabulary), "" if frame.asks else "what", firm=False)
        if not frame.asks and not frame.praised and not left and not qualities:
            say_what(clause, told)
        frame.talk = [item.text for item in left]
        if (
            frame.asks
            and _of_the_whole(clause, told, self.targets)
            and not any(ask.word in LEVEL_WORDS for ask in frame.asks)
        ):
            whole = f"everything: {told.text}"
            raise PieceError(
                f"the whole of it? name the stems that carry it, or write everything and what, as in {whole}", "whom"
            )
        all_of_it = not told.subjects.named and set(told.subjects.stems) >= set(self.targets.everything.stems)
        if all_of_it and any(ask.word == "buried" for ask in frame.asks):
            raise PieceError("nothing can be in front of everything; name what is covered, or what covers it", "whom")
        if frame.asks and not told.subjects.stems:
            example = next(iter(self.targets.stems), "piano")
            raise PieceError(f"for whom? write a stem, a role or a family before it, as in {example}: {told.text}", "whom")

    def _qualities(self, clause: Clause, told: Told, inherited: float | None) -> list[Quality]:
        about = bool(told.subjects.explicit or clause.heads)
        try:
            return qualities_in(told.items, self.faults, about=about, inherited=inherited)
        except PieceError:
            if not frequencies_in(told.items) and gain_in(told.items)[0] is None:
                raise
            return by_gain(told.items)

    def _keeps_off(self, frame: Frame, clause: Clause, told: Told) -> bool:
        if not keeps_off(clause.items):
            return False
        meant = told.subjects.explicit or bool(clause.heads) or any(item.has("it", "every") for item in clause.items)
        frame.kept_off = list(told.subjects.stems) if meant else []
        frame.praised = True
        return True

    def _goes_back(self, frame: Frame, clause: Clause, told: Told, context: Context) -> bool:
        items, subjects = clause.items, told.subjects
        words = [item.quality for item in told.items if item.quality is not None and item.quality not in LEVEL_WORDS]
        level = level_sign(items, subjects) is not None
        freqs = frequencies_in(items) if gain_in(items)[0] is None else ()
        it = any(item.has("it") for item in items)
        moved = [*context.moves, *items] if it else items
        word = words[0] if words else "level" if level else None
        back = back_in(Telling(items=moved, word=word, freq_hz=freqs[0] if freqs else None, text=told.text))
        if back is None:
            return False
        meant = subjects.explicit or bool(clause.heads) or bool(context.before and (it or back.way == "scale"))
        frame.backs = [replace(back, stems=subjects.stems if meant else (), word="" if back.word == "level" else back.word)]
        frame.called = frame.called if meant else ""
        return True


def _without_kicking_in(items: Sequence[Item]) -> list[Item]:
    """Return items without a kick that is none: when the guitars kick in."""
    behind = [item.text for item in items[1:]]
    return [item for at, item in enumerate(items) if item.text not in ("kick", "kicks") or behind[at : at + 1] != ["in"]]
