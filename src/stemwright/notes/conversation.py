"""Conversation: a note clause by clause, each in the light of those before: whom "it" means, and how a list goes on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.notes.amending import amended
from stemwright.notes.answered import asks_left
from stemwright.notes.carrying import (
    carried_on,
    corrects_itself,
    is_a_limit,
    is_same_again,
    text_of,
    turns_itself,
    undone,
    with_its_name,
    without_also,
    without_idle_retraction,
)
from stemwright.notes.clauses import ARTICLES, Clause
from stemwright.notes.frames import Ask, PieceError
from stemwright.notes.items import stems_of
from stemwright.notes.joining import clauses_of
from stemwright.notes.left_out import with_what_is_left_out
from stemwright.notes.levels import as_said_of_level
from stemwright.notes.list_ends import without_whom
from stemwright.notes.loose_ends import LooseEnds
from stemwright.notes.pronouns import Context
from stemwright.notes.reading import Reader, Surroundings
from stemwright.notes.relations import decided
from stemwright.notes.tagging import Tagger
from stemwright.notes.telling import (
    adds_nothing,
    approves,
    asks_nothing,
    directs,
    is_a_place,
    is_heading,
    is_talk,
    is_the_reason,
    only_names,
    says_nothing_of_sound,
    tells_a_story,
)
from stemwright.notes.tokens import sentences_of, tokens_of, without_headings
from stemwright.notes.understood import NoteRead
from stemwright.notes.unexplained import is_predicate
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets
    from stemwright.recipes.words import Vocabulary


class Conversation:
    """One note being read.

    Parameters
    ----------
    targets : Targets
        The names the pass's stems go by.
    vocabulary : Vocabulary
        The words in reach.
    """

    def __init__(self, targets: Targets, vocabulary: Vocabulary) -> None:
        self._targets = targets
        self._vocabulary = vocabulary
        self._tagger = Tagger(targets, vocabulary)
        self._reader = Reader(targets, vocabulary)
        self._reading = NoteRead()
        self._before: tuple[str, ...] = ()
        self._put_back: tuple[str, ...] = ()  # what "it" means again in the next sentence
        self._named: list[str] = []
        self._praised = False
        self._moves: tuple[Item, ...] = ()
        self._amendable = False  # whether the clause right before made the last ask
        self._latest: tuple[Clause, str] | None = None  # the clause that did, and its text
        self._asked: tuple[Clause, str] | None = None
        self._elsewhere: Clause | None = None
        self._loose = LooseEnds(self._reading)
        self._at = 0  # the sentence that is being read
        self._items: list[Item] = []  # of it

    def read(self, text: str) -> NoteRead:
        """Return what the whole note says."""
        reading = self._reading
        before = ""
        for sentence in sentences_of(
            without_headings(text, lambda line: is_heading(self._tagger.items(tokens_of(line)[1])))
        ):
            if is_a_limit(sentence):
                reading.refuse(sentence, "a limit is no request; write the figure that is wanted")
            elif corrects_itself(sentence, before):
                reading.refuse(sentence, "takes back what it has just said; write only what counts")
            else:
                self._sentence(undone(sentence, before))
            before = sentence
            self._at += 1
            self._before, self._put_back = self._put_back or self._before, ()
        self._loose.tie_up()
        ours = reading.asks or reading.backs or reading.kept_off or reading.relations or reading.not_ours
        if self._praised and not ours and not reading.problems:
            reading.approved = True
        reading.backs = without_idle_retraction(reading.backs, asked=bool(reading.asks))
        backs = [(back, tuple(stem for stem in back.stems if stem not in reading.kept_off)) for back in reading.backs]
        reading.backs = [replace(back, stems=left) for back, left in backs if left or not back.stems]
        reading.asks = asks_left(reading, self._reader.faults, (self._targets, self._vocabulary))
        return reading

    def _sentence(self, sentence: str) -> None:
        plain, tokens = tokens_of(sentence)
        items = self._items = as_said_of_level(with_what_is_left_out(self._tagger.items(tokens), self._items))
        for item in items:
            if item.meant:
                self._reading.readings.append(f"{item.text}: taken for {item.meant}")
        everywhere = any(item.has("everywhere") for item in items)
        inherited: float | None = None
        self._said_here: list[Ask] = []
        self._listed = 0
        last: Clause | None = None
        parts = clauses_of(items)
        for parted, following in zip(parts, [*parts[1:], None], strict=False):
            if adds_nothing(parted, last, following, going_back=bool(self._reading.backs)):
                continue
            clause = with_its_name(without_also(parted), following)
            whole = carried_on(clause, last)
            text = text_of(plain, clause)
            other = text_of(plain, following) if following is not None and following.joined_by == "or" else ""
            if (
                self._refused(parted, clause, text, other)
                or self._same_again(whole, text)
                or asks_nothing(whole, self._reader.faults)
            ):
                self._amendable = False
                continue
            if self._says_more(whole, text, last):
                continue
            asked, said = len(self._reading.asks), self._reading.amount_said
            inherited = self._clause(whole, text, everywhere=everywhere, inherited=inherited)
            anew = len(self._reading.asks) > asked
            silent = self._reading.amount_said == said and not whole.names
            self._amendable = anew or (self._amendable and silent)  # "it is glassy; take the edge off, 2 dB"
            if anew:
                self._latest = whole, text
            last = whole

    def _says_more(self, clause: Clause, text: str, last: Clause | None) -> bool:
        """Take a clause that only says more about those before it: of whom, who comes first, by how much; or approves."""
        if self._answers_open(clause, text):
            return True
        if approves(clause):
            self._reading.approved = True
            return True
        if self._amendable and is_the_reason(clause, self._reading.asks[-1:], self._reader.faults):
            self._reading.passed_over.append(text)
            return True
        return self._decides(clause) or self._amended(clause, text) or (last is not None and self._goes_on(clause, last))

    def _refused(self, parted: Clause, clause: Clause, text: str, other: str) -> bool:
        """Refuse what only points at what was said before without saying it, or leaves a choice of figures (``other``)."""
        if parted.joined_by == "or":
            return True  # it was refused with the one before it
        why = None
        if parted is not clause and not any(not item.idle and not item.names for item in clause.items):
            why = f'"too" says nothing by itself; write it out, as in: {text.removesuffix("too").strip()} brighter'
        elif other:
            text, why = f"{text} or {other}", "which of the two? write one"
        if why is None:
            return False
        self._reading.refuse(text, why)
        return True

    def _same_again(self, clause: Clause, text: str) -> bool:
        """Take "same for the hats" for the last thing asked, of them; without one it is not understood."""
        if not is_same_again(clause):
            return False
        if self._latest is None or turns_itself(clause):
            self._reading.refuse(text, "the same as what? write it out")
            return True
        before, said = self._latest
        again = replace(before, heads=clause.names, items=without_whom(before.items))
        self._clause(again, f"{text} ({said})", everywhere=False, inherited=None)
        return True

    def _answers_open(self, clause: Clause, text: str) -> bool:
        """Take a clause of names alone for the answer to "for whom" of the clause right before: want it crisper; just the vox."""
        if self._asked is None or not clause.names or clause.says() or not only_names(clause):
            self._asked = None
            return False
        before, said = self._asked
        self._asked = None
        self._loose.has_a_whom()
        self._clause(replace(before, heads=clause.names), f"{text}: {said}", everywhere=False, inherited=None)
        return True

    def _decides(self, clause: Clause) -> bool:
        """Take "the kick should win" for the answer to "kick and bass are fighting"."""
        relations = self._reading.relations
        found = decided(relations[-1], clause, (self._targets, self._vocabulary)) if relations else None
        if found is None:
            return False
        relations[-1] = found
        return True

    def _goes_on(self, clause: Clause, last: Clause) -> bool:
        """Whether a clause only goes on with what is not ours: from left and right more."""
        elsewhere = self._reading.not_ours and self._elsewhere is last
        nothing_new = not any(item.names or item.quality is not None or item.figure is not None for item in clause.items)
        if elsewhere and clause.joined_by == "and" and nothing_new:
            self._elsewhere = clause
            return True
        return False

    def _amended(self, clause: Clause, text: str) -> bool:
        """Take a clause that only says more about the ask right before it: by how much, how narrow, how subtly."""
        asks = self._reading.asks
        try:
            found = amended(asks[-1], clause) if asks and self._amendable else None
        except PieceError as error:
            self._reading.refuse(text, str(error))
            return True
        if found is None:
            return False
        asks[-1], said = found
        self._reading.rest[-1] += said
        return True

    def _clause(self, clause: Clause, text: str, *, everywhere: bool, inherited: float | None) -> float | None:
        called = ", ".join(f'"{stem}"' for stem in self._before)
        context = Context(
            before=self._before, before_called=called, named=tuple(self._named), moves=self._moves, listed=self._listed
        )
        try:
            frame = self._reader.frame(
                clause, text, Surroundings(context=context, everywhere=everywhere, inherited=inherited)
            )
        except PieceError as error:
            self._not_understood(clause, text, error)
            if error.why != "whom":
                only = clause.names if len(clause.names) == 1 or not self._before else []
                self._remember(stems_of(clause.opening() or only))
            return None
        self._moves = tuple(item for item in clause.items if item.has("move", "filter")) or self._moves
        if frame.backs and not frame.backs[0].stems and frame.backs[0].way == "before" and self._said_here:
            described = self._said_here  # "whoever made my guitar quieter, undo that"
            self._reading.asks = [ask for ask in self._reading.asks if ask not in described]
            frame.backs = [replace(back, stems=described[0].stems) for back in frame.backs]
        self._elsewhere = clause if frame.elsewhere is not None else None
        self._praised = self._praised or (frame.praised and not frame.kept_off)
        self._reading.take(frame, text)
        if not any(item.has("undo", "want", "take", "turn", "past", "like", "strong") for item in clause.items):
            self._loose.only_told(frame.backs)
        if frame.asks or frame.backs:
            self._loose.answered(frame.stems, self._at)
        self._said_here += frame.asks
        sounds = bool(frame.asks) and not any(ask.word in LEVEL_WORDS for ask in frame.asks)
        self._listed = (self._listed if frame.stems == self._before else 0) + 1 if sounds else 0
        only_names = bool(clause.names) and all(item.names or item.text in ARTICLES for item in clause.items)
        if frame.asks_something or frame.praised or only_names or not self._before:
            self._remember(frame.stems)
        elif clause.opening() and frame.stems:  # for the rest of the sentence: "bass I only feel, never hear the notes"
            self._put_back = self._put_back or self._before
            self._before = frame.stems
        last = frame.asks[-1] if frame.asks else None
        return last.amount if last is not None and last.exact is None and last.word not in self._reader.faults else None

    def _not_understood(self, clause: Clause, text: str, error: PieceError) -> None:
        """Note what is not understood, unless it only says again what is; keep what a later clause may make good."""
        reading = self._reading
        if error.why == "way" and not clause.names and any(ask.stems == self._before for ask in reading.asks):
            reading.passed_over.append(text)  # "needs more sparkle, it's the only shiny thing in the song"
            return
        if error.why == "whom" and (tells_a_story(clause.items, self._reader.faults) or is_a_place(clause.items)):
            reading.passed_over.append(text)  # "tried it in the car with the music up"
            return
        problem = (text, str(error))
        reading.problems.append(problem)
        reading.firm += [problem] if error.firm else []
        if error.why == "way" and any(item.says_more for item in clause.items):
            self._loose.told(problem, stems_of(clause.opening()) or self._before, -1)  # "louder than the lead? pull it back"
        if error.why == "whom":
            self._asked = clause, text
            self._loose.for_whom(problem, (item.quality for item in clause.items if item.quality is not None))
        elif error.why == "what" and (
            not any(directs(item) or item.figure is not None for item in clause.items)
            or any(item.has("ask") for item in clause.items)  # "too polite; more bite"
        ):
            here = self._at if any(is_predicate(clause.items, item) for item in clause.items) else -1
            self._loose.told(problem, stems_of(clause.names) or self._before, here)
        if (error.why and is_talk(clause, self._reader.faults)) or says_nothing_of_sound(clause):
            self._loose.aside(problem)

    def _remember(self, stems: tuple[str, ...]) -> None:
        if stems:
            self._put_back, self._before = (), tuple(dict.fromkeys(stems))
            self._named += self._before
