"""Answering: the asks of a note done to a plan, one after the other, and what changes in each stem's sound by it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from stemwright.errors import AudioError, StemwrightError
from stemwright.notes.applying import Asked, NotePlanError, changed, exactly
from stemwright.notes.language import NoteError
from stemwright.notes.returning import returned, scaled, taken_off
from stemwright.notes.ride_notes import ridden_in_short, rides, with_ride
from stemwright.notes.ring_depth import turn_rings
from stemwright.notes.standing import on_purpose
from stemwright.notes.there import done_there, only_of
from stemwright.passes import heard
from stemwright.passes.history import read_pass
from stemwright.plan.wording import decibels, frequency
from stemwright.recipes.words import WordError

if TYPE_CHECKING:
    from stemwright.notes.frames import Ask, Back
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plan.items import PlanItem
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


class Answering:
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
        """Do an ask to the stems it is about."""
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
        edges = [*filter(None, [ridden_in_short(item, was)]), *_edges(item, was)]
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
        """Raise what stood against the asks, if anything did."""
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
