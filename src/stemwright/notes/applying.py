"""Noting: what a note changes in one plan item. Moves are added, turned up or down, or taken back; nothing is looked for.

Conventions
-----------
A word that a stem has already is turned, in the meaning it has there; a word new to it is added in the speaker's meaning.
Amounts add up, and a word whose amount comes to nothing goes away. Notes stand behind the recipe's moves.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.prototypes import magnitude_db
from stemwright.errors import StemwrightError
from stemwright.plan.items import TRIM, NoteMark, PlanItem, PlannedMove, Said
from stemwright.plan.resolve import sections_of
from stemwright.recipes.kinds import KINDS
from stemwright.recipes.moves import Names

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stemwright.notes.frames import Ask
    from stemwright.recipes.words import Understood

FLAGGED_DB = 9.0
NOTHING = 1e-6
MOST_SAID = 100
BANDS_HZ = 1000.0 * 10.0 ** (
    np.arange(-17, 14) / 10.0
)  # IEC 61260-1, base 10: third-octave mid frequencies, 20 Hz to 20 kHz


class NotePlanError(StemwrightError):
    """A note that is understood and cannot be done; the message says what stands against it."""


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One ask worked out for one stem."""

    ask: Ask
    understood: Understood
    number: int
    by: str | None

    def said(self, largest_db: float) -> Said:
        """Return what goes into the move's mark, given the largest gain the word has at amount 1."""
        return Said(
            note=self.number,
            text=self.ask.text,
            by=self.by,
            amount=round(self.amount(largest_db), 6),
            exact=self.ask.gain_db is not None,
        )

    def amount(self, largest_db: float) -> float:
        """Return how much of the word's own direction is asked for, given the largest gain it has at amount 1."""
        amount = self.ask.amount if self.ask.gain_db is None else self.ask.gain_db / largest_db
        return amount * self.understood.sign


def changed(item: PlanItem, asked: Asked) -> PlanItem:
    """Return a plan item with one ask done to it, its notes' moves behind the recipe's.

    Parameters
    ----------
    item : PlanItem
        With an input.
    asked : Asked
        Its meaning has moves; rings are `stemwright.notes.ring_depth`' business.

    Returns
    -------
    PlanItem

    Raises
    ------
    NotePlanError
        If a gain would leave its range.
    """
    here = [move for move in item.moves if _is_of(move, asked.understood.name)]
    if here:
        return _turned(item, here, asked)
    largest_db = asked.understood.meaning.largest_db
    amount = asked.amount(largest_db)
    names = Names({move.name for move in item.moves})
    new = []
    for move in asked.understood.meaning.moves:
        mark = NoteMark(
            word=asked.understood.name,
            meaning=asked.understood.source,
            amount=amount,
            base_db=move.settings["gain_db"],
            said=(asked.said(largest_db),),
        )
        plain = PlannedMove(
            kind=move.kind,
            name=names.free(f"note {asked.number}: {asked.ask.word}"),
            why="",
            settings=dict(move.settings),
            note=mark,
        )
        new.append(at_amount(plain, amount, item.received.rate_hz))
    return replace(item, moves=with_notes(item.moves, [move for move in new if move is not None]))


def exactly(item: PlanItem, ask: Ask, number: int, by: str | None) -> PlanItem:
    """Return a plan item with an exact request done: one move, or the one that is there already turned.

    Raises
    ------
    NotePlanError
        If a gain would leave its range.
    """
    assert ask.exact is not None  # noqa: S101
    settings = dict(ask.exact.settings)
    word = f"{ask.word} {settings['freq_hz']:g} Hz"
    said = Said(note=number, text=ask.text, by=by, amount=1.0, exact=True)
    here = next((move for move in item.moves if _is_of(move, word) and move.settings.get("q") == settings.get("q")), None)
    gain_db = settings.get("gain_db")
    if here is not None and here.note is not None:
        moves = [move for move in item.moves if move is not here]
        if gain_db is None:
            if here.settings == settings:
                return item
            steeper = replace(here, settings=settings, note=replace(here.note, said=with_said(here.note.said, said)))
            made = at_amount(steeper, 1.0, item.received.rate_hz)
            return replace(item, moves=with_notes(moves, [] if made is None else [made]))
        amount = here.note.amount + gain_db / here.note.base_db
        turned = at_amount(
            replace(here, note=replace(here.note, said=with_said(here.note.said, said))), amount, item.received.rate_hz
        )
        return replace(item, moves=with_notes(moves, [] if turned is None else [turned]))
    mark = NoteMark(word=word, meaning="as asked", amount=1.0, base_db=gain_db or 0.0, said=(said,))
    name = Names({move.name for move in item.moves}).free(f"note {number}: {word}")
    plain = PlannedMove(kind=ask.exact.kind, name=name, why="", settings=settings, note=mark)
    made = at_amount(plain, 1.0, item.received.rate_hz)
    return replace(item, moves=with_notes(item.moves, [] if made is None else [made]))


def _is_of(move: PlannedMove, word: str) -> bool:
    return move.note is not None and move.found is None and move.note.word == word


def _turned(item: PlanItem, here: Sequence[PlannedMove], asked: Asked) -> PlanItem:
    largest_db = max(abs(move.note.base_db) for move in here if move.note is not None)
    # The move keeps its place; how far it is turned is what the word means to this speaker now.
    step = asked.amount(largest_db)
    if asked.ask.gain_db is None:
        step *= asked.understood.meaning.largest_db / largest_db
    said = replace(asked.said(largest_db), amount=round(step, 6))
    result: list[PlannedMove] = []
    for move in item.moves:
        if move not in here or move.note is None:
            result.append(move)
            continue
        amount = move.note.amount + step
        mark = replace(move.note, said=with_said(move.note.said, said))
        turned = at_amount(replace(move, note=mark), amount, item.received.rate_hz)
        result += [] if turned is None else [turned]
    return replace(item, moves=tuple(result))


def with_said(before: tuple[Said, ...], new: Said) -> tuple[Said, ...]:
    """Return what was said with one thing more; of very much, the first and the latest."""
    return (*before[:1], *before[1:][-MOST_SAID:], new)


def at_amount(move: PlannedMove, amount: float, rate_hz: int) -> PlannedMove | None:
    """Return a note's move at another amount of its word; None where that is nothing.

    Raises
    ------
    NotePlanError
        If its gain would leave its range.
    """
    assert move.note is not None  # noqa: S101 - only notes' moves have amounts
    amount = round(amount, 6)
    if "gain_db" not in move.settings:  # a pass filter is there or not
        return replace(move, why=why_of(move.note), sections=sections_of(move.kind, move.settings, rate_hz))
    gain_db = round(move.note.base_db * amount, 2)
    if abs(amount) < NOTHING or gain_db == 0.0:
        return None
    refusal = KINDS[move.kind].field("gain").refusal(gain_db)
    if refusal is not None:
        raise NotePlanError(f"{move.note.word}: would come to {gain_db:+g} dB; {refusal}")
    settings = {**move.settings, "gain_db": gain_db}
    mark = replace(move.note, amount=amount)
    return replace(move, settings=settings, why=why_of(mark), note=mark, sections=sections_of(move.kind, settings, rate_hz))


def why_of(mark: NoteMark) -> str:
    """Return a note move's reason: what was said, and by whom."""
    return "; ".join(f"note {said.note}{f' by {said.by}' if said.by else ''}: {said.text}" for said in mark.said)


def with_notes(moves: Sequence[PlannedMove], notes: Iterable[PlannedMove]) -> tuple[PlannedMove, ...]:
    """Return moves with notes' moves added behind them, before a trim for overs."""
    trim = [move for move in moves if move.name == TRIM and move.note is None]
    return (*(move for move in moves if move not in trim), *notes, *trim)


def loudest_band(item: PlanItem) -> tuple[float, float]:
    """Return where all notes' moves of a stem together do most: frequency in Hz and gain in dB; 0 dB for none."""
    notes = [move for move in item.moves if move.note is not None and move.found is None and "gain_db" in move.settings]
    if not notes:
        return 1000.0, 0.0
    own = [move.settings["freq_hz"] for move in notes if 20.0 <= move.settings.get("freq_hz", 0.0) <= 20_000.0]
    freq_hz = np.unique(np.concatenate([BANDS_HZ, own]))
    total_db = np.sum([magnitude_db(move.kind, move.settings, freq_hz) for move in notes], axis=0)
    most = int(np.argmax(np.abs(total_db)))
    return float(freq_hz[most]), float(total_db[most])
