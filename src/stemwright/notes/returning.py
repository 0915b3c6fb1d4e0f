"""Returning: what a note takes back. Moves of earlier passes come again as they were; nothing is designed anew but amounts."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.notes.applying import NotePlanError, at_amount

if TYPE_CHECKING:
    from stemwright.notes.frames import Back
    from stemwright.plan.items import PlanItem, PlannedMove

NEAR = 1.12  # two frequencies within a whole tone are the same one, as people name them


def returned(item: PlanItem, old: PlanItem | None) -> PlanItem:
    """Return an item with the moves it had in an earlier pass.

    Raises
    ------
    NotePlanError
        If it was not in that pass, or the stem as received was another one.
    """
    if old is None or old.input is None:
        raise NotePlanError(f"{item.stem}: has no file in that pass")
    if item.input is None or old.input.sha256 != item.input.sha256:
        raise NotePlanError(f"{item.stem}: was another recording in that pass; its settings are another sound's")
    return replace(item, moves=old.moves)


def scaled(item: PlanItem, old: PlanItem | None, share: float) -> PlanItem:
    """Return an item with a share of what the newest note changed.

    Raises
    ------
    NotePlanError
        If that note changed no amount of a word of this stem.
    """
    if old is None or item.input is None:
        raise NotePlanError(f"{item.stem}: has no pass before to go half way to")
    before = {move.name: move for move in old.moves if move.note is not None and move.found is None}
    result: list[PlannedMove] = []
    done = False
    for move in item.moves:
        known = before.get(move.name)
        was = known.note.amount if known is not None and known.note is not None else 0.0
        if move.note is None or move.found is not None or move.note.amount == was or "gain_db" not in move.settings:
            result.append(move)
            continue
        turned = at_amount(move, was + (move.note.amount - was) * share, item.input.rate_hz)
        result += [] if turned is None else [turned]
        done = True
    if not done:
        raise NotePlanError(f"{item.stem}: the last note turned no word of it up or down")
    return replace(item, moves=tuple(result))


def taken_off(item: PlanItem, back: Back) -> PlanItem:
    """Return an item without the moves a note tells to take off: its notches, a word's, or those near a frequency.

    Raises
    ------
    NotePlanError
        If it has no such move.
    """
    left = tuple(move for move in item.moves if not _meant(move, back))
    if len(left) == len(item.moves):
        what = {"notch": "notch", "word": f"move for {back.word}"}.get(back.way, f"move near {back.freq_hz:g} Hz")
        raise NotePlanError(f"{item.stem}: has no {what} to take off")
    return replace(item, moves=left)


def _meant(move: PlannedMove, back: Back) -> bool:
    if back.way == "notch":
        return move.kind == "notch"
    if back.way == "word":
        return move.note is not None and move.found is None and move.note.word == back.word
    freq_hz = move.settings.get("freq_hz", 0.0)
    return freq_hz > 0 and 1 / NEAR <= freq_hz / back.freq_hz <= NEAR
