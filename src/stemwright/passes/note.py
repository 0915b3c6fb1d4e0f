"""Note: an approver's words, answered. A new pass from the last one in which only the stems they are about are changed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from stemwright.errors import AudioError, StemwrightError
from stemwright.notes.applying import FLAGGED_DB, Asked, NotePlanError, changed, exactly, loudest_band
from stemwright.notes.language import NoteError, checked_name, parse
from stemwright.notes.returning import returned, scaled, taken_off
from stemwright.notes.ride_notes import rides, with_ride
from stemwright.notes.ring_depth import turn_rings
from stemwright.notes.standing import on_purpose, settled
from stemwright.notes.targets import targets_of
from stemwright.notes.there import done_there, only_of
from stemwright.passes import heard
from stemwright.passes.history import notes_so_far, read_pass, recorded
from stemwright.passes.in_the_beat import NOT_HEARD_YET, Beat
from stemwright.passes.keep import KeptStems, kept_stems, refuse_change
from stemwright.passes.make import Request
from stemwright.passes.manifest import Because
from stemwright.passes.received import FactsOnDemand
from stemwright.passes.riding import with_rides
from stemwright.plan.wording import changes_in_short, decibels, frequency
from stemwright.recipes.session import load_session, sheet_dirs
from stemwright.recipes.words import WordError
from stemwright.recipes.words_library import load_vocabulary, words_dirs

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.notes.frames import Ask, Back
    from stemwright.passes.make import Made, Maker
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem, PlannedMove
    from stemwright.recipes.timeline import Timeline
    from stemwright.recipes.words import Vocabulary


PASSES = ("high_pass", "low_pass")


@dataclass(frozen=True, kw_only=True)
class Answered:
    """One ask as it was understood for one stem: the word, whose meaning of it, and the reason behind it."""

    stem: str
    asked: Asked

    @property
    def words(self) -> str:
        """Say it in a line: ``a little more bite: bite x0.5 (house: the front of a note catches the ear)``."""
        ask, understood = self.asked.ask, self.asked.understood
        how = f"x{ask.amount:g}" if ask.gain_db is None else decibels(ask.gain_db)
        turned = "" if understood.sign > 0 else f", which is {understood.name} turned round"
        return f"{ask.word} {how}{turned} ({understood.source}: {understood.why})"


@dataclass(frozen=True, kw_only=True)
class NotePlan:
    """A note worked out: the plan it leads to, what was understood, and what a person should know."""

    song: SongFolder
    text: str
    by: str | None
    last: Manifest
    items: tuple[PlanItem, ...]
    answered: tuple[Answered, ...]
    changed: tuple[str, ...]
    passed_over: tuple[str, ...]
    flagged: tuple[str, ...]
    took_in: tuple[str, ...]
    measured: dict[str, str]
    in_the_beat: dict[str, str]
    beat_known: bool
    facts: FactsOnDemand
    kept: KeptStems
    overs: str

    def moves(self, stem: str) -> list[str]:
        """Return what happens to a stem's moves, in the trade's words."""
        before, after = self._moves
        return changes_in_short(before[stem], after[stem])

    def heard(self, stem: str) -> list[str]:
        """Return what changes in a stem's sound, by itself and in the beat."""
        return [said[stem] for said in (self.measured, self.in_the_beat) if stem in said]

    @property
    def remarks(self) -> list[str]:
        """Return what a person should know besides."""
        unknown = [] if self.beat_known or not self.changed else [NOT_HEARD_YET]
        return [
            *(f"passed over: {each}" for each in self.passed_over),
            *unknown,
            *(f"warn  {each}" for each in self.flagged),
        ]

    @cached_property
    def _moves(self) -> tuple[dict[str, tuple[PlannedMove, ...]], dict[str, tuple[PlannedMove, ...]]]:
        before, after = ({item.stem: item.moves for item in items} for items in (self.last.items(), self.items))
        return before, after

    def as_json(self) -> Plain:
        """Return the plan as plain JSON values."""
        return {
            "note": self.text,
            "by": self.by,
            "from": self.last.name,
            "understood": [
                {"stem": each.stem, "word": each.asked.ask.word, "amount": each.asked.ask.amount, "gain_db": each.asked.ask.gain_db,
                 "meaning": each.asked.understood.source, "clause": each.asked.ask.text}
                for each in self.answered
            ],
            "changed": {stem: self.moves(stem) for stem in self.changed},
            "took_in": list(self.took_in),
            "measured": dict(self.measured),
            "in_the_beat": dict(self.in_the_beat),
            "passed_over": list(self.passed_over),
            "flagged": list(self.flagged),
        }  # fmt: skip


def plan_note(song: SongFolder, text: str, by: str | None, recipe_dirs: Sequence[Path], executor: Executor) -> NotePlan:
    """Work a note out against the newest pass; nothing is written.

    Parameters
    ----------
    song : SongFolder
    text : str
        The note.
    by : str or None
        Who says so; the session sheet's approver where it is not said.
    recipe_dirs : sequence of Path
        Whose ``words`` folders are searched after the song's own and before the house's.
    executor : Executor
        Hashes the stems that change.

    Returns
    -------
    NotePlan

    Raises
    ------
    NoteError
        If any of it is not understood.
    NotePlanError, SongError, RecipeError, ManifestError
        If it cannot be done, would change a stem that is kept, or what it stands on is not in order.
    """
    sheet = load_session(song.folder)
    who = checked_name(by) or sheet.approver
    last = read_pass(song, None)
    kept = kept_stems(song, last)
    before = kept.apply(last.items())
    vocabulary = load_vocabulary(words_dirs(song.folder, [*recipe_dirs, *sheet_dirs(sheet, song.folder)]), who)
    beat = Beat(song, before)
    reading = parse(text, targets_of(before), vocabulary, sheet.timeline, beat.offered)
    work = _Work(song, last, {item.stem: item for item in before}, vocabulary, notes_so_far(song) + 1, who, sheet.timeline)
    for back in reading.backs:
        work.go_back(back, set(reading.kept_off))
    for ask in reading.asks:
        work.do(ask)
    work.raise_any()
    moved = [item.stem for item in before if work.items[item.stem].moves != item.moves]
    refuse_change(song, moved, "this note")
    facts = FactsOnDemand(song, before)
    facts.check(moved, executor)
    items = [settled(item, facts) if item.stem in moved else item for item in work.items.values()]
    items = with_rides(song, items, executor, anew=False)
    judged = beat.judged([item for item in items if item.stem in moved])
    return NotePlan(
        song=song,
        text=" ".join(text.split()),
        by=who,
        last=last,
        items=tuple(items),
        answered=tuple(work.answered),
        changed=tuple(moved),
        passed_over=tuple(dict.fromkeys([*work.passed_over, *reading.readings, *_unread(reading.passed_over)])),
        took_in=tuple(_took_in(reading.asks, reading.backs, reading.kept_off)),
        measured={
            item.stem: said
            for item, was in zip(items, before, strict=True)
            if item.stem in moved and (said := work.measured(item, was))
        },
        in_the_beat=judged,
        beat_known=beat.known,
        flagged=tuple(flag for item in items if item.stem in moved and (flag := _flag(item)) is not None),
        facts=facts,
        kept=kept,
        # A trim would move every stem for one note: what goes over is written as float instead, and said.
        overs="stop" if sheet.deliver.overs == "stop" else "float",
    )


def answer(plan: NotePlan, maker: Maker) -> Made:
    """Make the pass a note leads to: what it changed is rendered, all else taken over byte for byte."""
    return maker.make(
        Request(
            song=plan.song,
            items=plan.items,
            facts=plan.facts,
            recipes=recorded(plan.last),
            because=Because(kind="note", text=plan.text, by=plan.by, came_from=plan.last.name),
            last=plan.last,
            overs=plan.overs,
            kept=plan.kept.hashes,
            also_from=plan.kept.passes,
        )
    )


class _Work:
    """Does asks one after the other to a plan; what stands against them is collected."""

    def __init__(  # noqa: PLR0913, PLR0917 - what a note stands on
        self,
        song: SongFolder,
        last: Manifest,
        items: dict[str, PlanItem],
        vocabulary: Vocabulary,
        number: int,
        by: str | None,
        timeline: Timeline,
    ) -> None:
        self._song = song
        self._last = last
        self._power: dict[str, Any] = {}
        self.items = items
        self.answered: list[Answered] = []
        self.passed_over: list[str] = []
        self._vocabulary = vocabulary
        self._number = number
        self._by = by
        self._timeline = timeline
        self._problems: list[str] = []

    def do(self, ask: Ask) -> None:
        done = 0
        for stem in ask.stems:
            try:
                self.items[stem] = self._one(self.items[stem], ask)
                done += 1
            except (NotePlanError, WordError) as error:
                text = str(error) if str(error).startswith(f"{stem}: ") else f"{stem}: {error}"
                (self._problems if ask.named else self.passed_over).append(text)
        if not done and not ask.named:
            self._problems.append(f"{ask.text}: it does nothing to any stem it is about")

    def go_back(self, back: Back, kept_off: set[str]) -> None:
        """Take back what a note says, on the stems it names, else on all that the newest pass changed."""
        try:
            old = self._plan_of(back)
        except StemwrightError as error:
            self._problems.append(f"{back.text}: {error}")
            return
        now = {item.stem: item for item in self._last.items()}
        done = 0
        problems = []
        for stem in back.stems or tuple(self.items):
            if stem in kept_off:
                continue
            try:
                item = self.items[stem]
                if back.way == "scale":
                    self.items[stem] = scaled(item, old.get(stem), back.share)
                elif back.way in ("notch", "word", "frequency"):
                    self.items[stem] = taken_off(item, back)
                elif back.stems or (stem in old and old[stem].moves != now[stem].moves):
                    self.items[stem] = returned(item, old.get(stem))
                else:
                    continue
                done += 1
            except NotePlanError as error:
                problems.append(str(error))
        if not done:
            self._problems += problems or [f"{back.text}: the pass before was no other, so there is nothing to take back"]

    def _plan_of(self, back: Back) -> dict[str, PlanItem]:
        manifest = self._last
        if back.way == "pass":
            manifest = read_pass(self._song, str(back.number))
        else:
            for _ in range(back.number):
                came_from = manifest.because.came_from
                if came_from is None:
                    raise NotePlanError(f"{manifest.name} has no pass before it; name one, as in: back to pass 2")
                manifest = read_pass(self._song, came_from)
        return {item.stem: item for item in manifest.items()}

    def _scale(self, item: PlanItem, alone: PlanItem, amount: float) -> float:
        try:
            return heard.scale(self.power(item), alone.moves, amount)
        except AudioError:
            return 1.0  # what is wrong with the file is said where it is checked

    def power(self, item: PlanItem) -> Any:  # noqa: ANN401 - an array; numpy is not imported here
        """Return a stem's spectrum, read once."""
        if item.stem not in self._power:
            self._power[item.stem] = heard.spectrum(self._song.folder / item.received.path)
        return self._power[item.stem]

    def measured(self, item: PlanItem, was: PlanItem) -> str:
        """Say what changes in this stem's sound, where it changes most."""
        new, old = ([(move.kind, move.settings) for move in each.moves if move.kind not in PASSES] for each in (item, was))
        edges = _edges(item, was)
        found = heard.change(self.power(item), heard.curve_db(new) - heard.curve_db(old))
        if found.mean_db == 0.0:
            return "; ".join(edges)
        average = f"{frequency(found.low_hz)} to {frequency(found.high_hz)} {decibels(found.mean_db)} on average"
        words = "; ".join([*edges, average])
        if found.share_db < heard.QUIET_DB:
            return f"{words}; hardly heard: this stem has next to nothing there"
        if abs(found.mean_db) < heard.LEAST_DB * 0.95:
            return f"{words}; under {heard.LEAST_DB:g} dB is hardly heard"
        return words

    def _one(self, item: PlanItem, ask: Ask) -> PlanItem:
        if item.input is None or item.deliver_as is None or item.status in ("skipped", "failed"):
            raise NotePlanError(f"{item.stem}: has no file in the last pass ({item.status}: {item.why})")
        if on_purpose(item):
            raise NotePlanError(
                f"{item.stem}: left as received on purpose ({item.why}); to change it, take that out of session.yaml and prep"
            )
        return done_there(item, only_of(ask.when, item, self._timeline), lambda seen: self._there(seen, ask))

    def _there(self, item: PlanItem, ask: Ask) -> PlanItem:
        if rides(ask):
            return with_ride(item, ask, self._number, self._by)
        if ask.exact is not None:
            return exactly(item, ask, self._number, self._by)
        understood = self._vocabulary.understand(ask.word, item.role, item.family)
        asked = Asked(ask=ask, understood=understood, number=self._number, by=self._by)
        if understood.meaning.rings_percent is None:
            if ask.gain_db is None:
                alone = changed(replace(item, moves=()), asked)
                factor = self._scale(item, alone, asked.amount(1.0))
                asked = replace(asked, ask=replace(ask, amount=round(ask.amount * factor, 3)))
            result = changed(item, asked)
        else:
            turned = turn_rings(item, asked)
            result = turned.item
            if turned.held_back:
                self.passed_over.append(turned.held_back)
        self.answered.append(Answered(stem=item.stem, asked=asked))
        return result

    def raise_any(self) -> None:
        if self._problems:
            listed = "\n".join(f"  {problem}" for problem in dict.fromkeys(self._problems))
            raise NoteError(f"the note is understood, but cannot be done as it stands, so nothing was done:\n{listed}")


def _edges(item: PlanItem, was: PlanItem) -> list[str]:
    """Return where a high-pass or low-pass that is new, or gone, starts; an average over what it stops would say nothing."""
    new, old = (
        {(move.kind, move.settings["freq_hz"]) for move in each.moves if move.kind in PASSES} for each in (item, was)
    )
    way = {"high_pass": "below", "low_pass": "above"}
    added = [f"starts to fall {way[kind]} {frequency(freq_hz)}, where it is -3 dB" for kind, freq_hz in sorted(new - old)]
    return added + [f"falls no more {way[kind]} {frequency(freq_hz)}" for kind, freq_hz in sorted(old - new)]


def _unread(words: Sequence[str]) -> list[str]:
    return [f"said nothing to us: {', '.join(dict.fromkeys(words))}"] if words else []


def _took_in(asks: Sequence[Ask], backs: Sequence[Back], kept_off: Sequence[str]) -> list[str]:
    """Return for each part of a note the stems it is about, in a line."""
    about = [(each.text, each.stems) for each in asks] + [(each.text, each.stems) for each in backs]
    lines = [f"{said} -> {', '.join(stems) or 'what the newest pass changed'}" for said, stems in about]
    off = [f"kept off: {', '.join(dict.fromkeys(kept_off))}"] if kept_off else []
    return [*dict.fromkeys(lines), *off]


def _flag(item: PlanItem) -> str | None:
    freq_hz, gain_db = loudest_band(item)
    if abs(gain_db) <= FLAGGED_DB:
        return None
    return (
        f"{item.stem}: its notes add up to {decibels(gain_db)} at {frequency(freq_hz)}, over {FLAGGED_DB:g} dB; "
        "the recipe or the recording may be what should change"
    )
