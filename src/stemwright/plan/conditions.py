"""Conditions: which moves of a recipe wait for something that is not here, and the reason in words.

A move with ``when: rumble`` is made where intake found rumble under the move's own frequency: by the measure of the finding
"rumble", the power from 5 Hz up, loud enough to take headroom and not a mere trace of the sound. One with ``if_there: lead
vocal`` is made where the song has a stem of that role, one with ``only: hook`` where the song has such a section.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.plan.sections import NoSuchSectionError, places
from stemwright.plan.wording import frequency
from stemwright.stems.intake import thresholds as at

if TYPE_CHECKING:
    from collections.abc import Mapping

    from stemwright.plan.assignment import Assignment
    from stemwright.plan.sections import Span
    from stemwright.recipes.moves import Move
    from stemwright.recipes.timeline import Timeline
    from stemwright.stems.survey import StemFacts


def conditioned(
    assignments: Mapping[str, Assignment], facts: Mapping[str, StemFacts], timeline: Timeline
) -> dict[str, Assignment]:
    """Settle the conditions of every stem's moves.

    Parameters
    ----------
    assignments : mapping of str to Assignment
        By stem.
    facts : mapping of str to StemFacts
        The stems as received, listened to. Both sides of a pair are one sound: what is found in one is found in both.
    timeline : Timeline
        Of the session sheet.

    Returns
    -------
    dict of str to Assignment
        With the moves that are not made, and the reasons of those that are.
    """
    present = {word for each in assignments.values() for word in _words(each)}
    settled = {}
    for stem, assignment in assignments.items():
        aside: dict[str, str] = {}
        because: dict[str, str] = {}
        where: dict[str, tuple[Span, ...]] = {}
        sides = [facts[name] for name in (stem, assignment.partner) if name is not None and name in facts]
        for move in assignment.moves:
            met, reason = _condition(move, sides, present)
            if reason:
                (because if met else aside)[move.name] = reason
            if move.only:
                try:
                    where[move.name] = places(timeline, move.only)
                except NoSuchSectionError as error:
                    aside[move.name] = str(error)
        settled[stem] = replace(assignment, aside=aside, because=because, places=where)
    return settled


def _words(assignment: Assignment) -> tuple[str, ...]:
    recipe = assignment.recipe
    if recipe is None or assignment.skip:
        return ()
    return tuple(word for word in (recipe.role, recipe.name, recipe.family) if word)


def _condition(move: Move, sides: list[StemFacts], present: set[str]) -> tuple[bool, str]:
    if move.if_there is not None and move.if_there not in present:
        return False, f"no {move.if_there} in this song"
    if move.when != "rumble":
        return True, f"{move.if_there} is there" if move.if_there is not None else ""
    corner_hz = move.settings.get("freq_hz", at.RUMBLE_HZ)
    found = [_rumble(side, corner_hz) for side in sides]
    loud = [reason for met, reason in found if met]
    return bool(loud), (loud or [reason for _, reason in found] or ["nothing was heard"])[0]


def _rumble(facts: StemFacts, corner_hz: float) -> tuple[bool, str]:
    colour = facts.heard.colour if facts.heard is not None else None
    if colour is None:
        return False, "nothing was heard"
    under_dbfs = colour.under_dbfs(corner_hz)
    share_db = under_dbfs - colour.level_dbfs
    met = under_dbfs >= at.RUMBLE_DBFS and share_db >= at.RUMBLE_SHARE_DB
    measured = f"{under_dbfs:.0f} dBFS under {frequency(corner_hz)}, {-share_db:.0f} dB below the whole stem"
    return met, f"{'rumble' if met else 'no rumble'}: {measured}"
