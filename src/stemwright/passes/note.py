"""Note: an approver's words, answered. A new pass from the last one in which only the stems they are about are changed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING

from stemwright.notes.applying import FLAGGED_DB, loudest_band
from stemwright.notes.language import checked_name, parse
from stemwright.notes.standing import settled
from stemwright.notes.targets import targets_of
from stemwright.passes.answering import Answered, Answering
from stemwright.passes.history import notes_so_far, read_pass, recorded
from stemwright.passes.in_the_beat import NOT_HEARD_YET, PlannedBeat
from stemwright.passes.keep import KeptStems, kept_stems, refuse_change
from stemwright.passes.make import Request
from stemwright.passes.manifest import Because
from stemwright.passes.received import FactsOnDemand
from stemwright.passes.riding import with_rides
from stemwright.plan.wording import changes_in_short, decibels, frequency
from stemwright.recipes.session import load_session, sheet_dirs
from stemwright.recipes.words_library import load_vocabulary, words_dirs
from stemwright.stems.asked import fitting

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.notes.frames import Ask, Back
    from stemwright.passes.make import Made, Maker
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem, PlannedMove
    from stemwright.recipes.by_hand import ByHand
    from stemwright.recipes.session import SessionSheet


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
    taken: tuple[str, ...]
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
            *self.taken,
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
            "taken": list(self.taken),
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
        Hashes the stems that change, and listens to all where one is said not to be heard.

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
    beat = PlannedBeat(song, before)
    reading = parse(
        text,
        targets_of(before, who),
        vocabulary,
        sheet.timeline,
        partial(beat.ways_out, timeline=sheet.timeline, executor=executor),
    )
    work = Answering(
        song, last, {item.stem: item for item in before}, vocabulary, notes_so_far(song) + 1, who, sheet.timeline
    )
    for back in reading.backs:
        work.go_back(back, set(reading.kept_off))
    for ask in reading.asks:
        work.do(ask)
    work.raise_any()
    facts = FactsOnDemand(song, before)
    asked = _moved(before, work.items.values())
    refuse_change(song, asked, "this note")
    facts.check(asked, executor)
    # A ride takes doubles along, which are changed by the note as much as what it names.
    items = with_rides(song, list(work.items.values()), executor, _by_hand(sheet, before), asked)
    moved = _moved(before, items)
    refuse_change(song, moved, "this note")
    facts.check(moved, executor)
    items = [settled(item, facts) if item.stem in moved else item for item in items]
    judged = beat.judged([item for item in items if item.stem in moved])
    return NotePlan(
        song=song,
        text=" ".join(text.split()),
        by=who,
        last=last,
        items=tuple(items),
        answered=tuple(work.answered),
        changed=tuple(moved),
        taken=tuple(reading.taken),
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


def _moved(before: Iterable[PlanItem], after: Iterable[PlanItem]) -> list[str]:
    return [now.stem for was, now in zip(before, after, strict=True) if now.moves != was.moves]


def _by_hand(sheet: SessionSheet, items: Sequence[PlanItem]) -> dict[str, tuple[ByHand, ...]]:
    """Return a sheet's gains by hand by stem."""
    roles = {item.stem: item.role for item in items}
    return {stem: choice.ride for name, choice in sheet.stems.items() if choice.ride for stem in fitting(name, roles)}


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
