"""Kit: stems that hold one instrument together, whose high-passes must not turn phase against each other.

The sheet names a kit; its high-passes are run with linear phase. Where it names none but the stems look like one (close drums
and overheads or a room), the plan says what their sum loses.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

import numpy as np

from stemwright.plan.wording import frequency
from stemwright.recipes.kinds import LINEAR_SLOPES
from stemwright.stems.intake.kit import CLOSE_ROLES, COMMON_ROLES, COMMON_WORDS
from stemwright.stems.names import base_name, words_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from stemwright.plan.assignment import Assignment
    from stemwright.plan.items import PlanItem
    from stemwright.recipes.moves import Move

SHARED = "linear phase, as the stems of a kit must not be turned against each other"
LEAST_LOSS_DB = 0.5
AUDIBLE = 10.0 ** (-12.0 / 20.0)  # where both let through at least this much of what they have
FREQS_HZ = np.geomspace(20.0, 1000.0, 240)


def members(roles: Mapping[str, str | None], listed: Sequence[str]) -> list[str]:
    """Return the stems of a kit that a sheet lists by name (with or without ending), role, or folder (``drums/``).

    ``roles`` has every stem that is not skipped, with its role.
    """
    wanted = set(listed)
    return [
        stem
        for stem, role in roles.items()
        if {stem, base_name(stem), role or ""} & wanted
        or {f"{folder}/" for folder in map(str, PurePosixPath(stem).parents)} & wanted
    ]


def moved_roles(assignments: Mapping[str, Assignment]) -> dict[str, str | None]:
    """Return the roles of the stems that get moves."""
    return {stem: each.recipe.role for stem, each in assignments.items() if each.recipe is not None and each.moves}


def seeming(roles: Mapping[str, str | None]) -> list[str]:
    """Return the stems that look like one recorded kit: close drums, and overheads or a room; none without both."""
    close = [stem for stem, role in roles.items() if role in CLOSE_ROLES]
    common = [stem for stem, role in roles.items() if role in COMMON_ROLES and COMMON_WORDS & set(words_of(stem))]
    return [*close, *common] if close and common else []


def sharing_phase(assignments: Mapping[str, Assignment], kit: Iterable[str]) -> dict[str, Assignment]:
    """Return the assignments with the high-passes of a kit's stems at linear phase, and the reason."""
    shared = dict(assignments)
    for stem in kit:
        assignment = shared[stem]
        if assignment.recipe is None:
            continue
        turned = [move for move in assignment.moves if _turns(move)]
        moves = tuple(_linear(move) if move in turned else move for move in assignment.recipe.moves)
        because = dict(assignment.because)
        for move in turned:
            because[move.name] = "; ".join(filter(None, (because.get(move.name), SHARED)))
        shared[stem] = replace(assignment, recipe=replace(assignment.recipe, moves=moves), because=because)
    return shared


def _turns(move: Move) -> bool:
    return move.kind == "high_pass" and move.settings["slope_db_oct"] in LINEAR_SLOPES


def _linear(move: Move) -> Move:
    return replace(move, settings={**move.settings, "linear_phase": 1.0})


def losses(items: Iterable[PlanItem], kit: Sequence[str], *, declared: bool) -> list[PlanItem]:
    """Say of each stem of a kit what the sum with the one it fits worst loses, at most, where both have it alike."""
    listed = list(items)
    responses = {item.stem: _response(item) for item in listed if item.stem in kit and item.input is not None}
    return [_with_loss(item, responses, declared=declared) if item.stem in responses else item for item in listed]


def _with_loss(item: PlanItem, responses: Mapping[str, np.ndarray], *, declared: bool) -> PlanItem:
    worst_db, said = -LEAST_LOSS_DB, ""
    mine = responses[item.stem]
    for stem, other in responses.items():
        heard = (np.abs(mine) >= AUDIBLE) & (np.abs(other) >= AUDIBLE)
        if stem == item.stem or not heard.any():
            continue
        sums_db = 20.0 * np.log10(np.abs(mine + other)[heard] / (np.abs(mine) + np.abs(other))[heard])
        at = int(sums_db.argmin())
        if sums_db[at] < worst_db:
            worst_db = float(sums_db[at])
            degrees = abs(np.degrees(np.angle(mine[heard][at] / other[heard][at])))
            where = frequency(FREQS_HZ[heard][at])
            said = f"turned {degrees:.0f} degrees against {stem} at {where}: {-worst_db:.1f} dB less of it in their sum"
    if not said:
        return item
    way = "" if declared else "; kit: in session.yaml makes the stems of a kit share phase"
    return replace(item, messages=(*item.messages, f"{said}{way}"))


def _response(item: PlanItem) -> np.ndarray:
    turns = np.exp(-2j * np.pi * FREQS_HZ / item.received.rate_hz)
    total = np.ones(len(FREQS_HZ), dtype=complex)
    for move in item.moves:
        for b0, b1, b2, a0, a1, a2 in move.gain_sections:
            one = (b0 + b1 * turns + b2 * turns**2) / (a0 + a1 * turns + a2 * turns**2)
            total *= one if move.runs_as_sections else np.abs(one)
    return total
