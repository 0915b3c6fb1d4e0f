"""Riding: the points of every ride of a plan, found in what the stems hold; a ride's pair and its doubles go with it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stemwright.passes.matrices import as_prepped, matrices
from stemwright.plan.audible import together
from stemwright.plan.ride import along, points_of, ridden
from stemwright.stems.names import pairs

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor

    from stemwright.passes.song import SongFolder
    from stemwright.plan.items import PlanItem, PlannedMove

WITH = "ride with "


def with_rides(song: SongFolder, items: Sequence[PlanItem], executor: Executor, *, anew: bool) -> list[PlanItem]:
    """Return a plan whose rides have their points.

    Parameters
    ----------
    song : SongFolder
    items : sequence of PlanItem
    executor : Executor
        Listens to stems that were not listened to before.
    anew : bool
        Whether rides that have points get new ones.
    """
    wanted = [item for item in items if any(_open(move, anew=anew) for move in item.moves)]
    if not wanted:
        return list(items)
    here = {item.stem: item for item in items if item.input is not None and item.deliver_as is not None}
    power = matrices(
        song, {stem: (song.folder / each.received.path, each.received.sha256) for stem, each in here.items()}, executor
    )
    now = {stem: as_prepped(power[stem], _before_ride(each), each.received.rate_hz) for stem, each in here.items()}
    sides = pairs(tuple(here))
    track = [now[stem] for stem, each in here.items() if each.family != "vocals"]
    made: dict[str, PlanItem] = {}
    for item in wanted:
        own = together([now[stem] for stem in dict.fromkeys([item.stem, sides.get(item.stem, item.stem)])])
        bed = together([*track, np.zeros_like(own)])[: len(own)] if item.family == "vocals" else np.zeros_like(own)
        moves = tuple(
            replace(move, points=_points(move, own, bed, item)) if _open(move, anew=anew) else move for move in item.moves
        )
        made[item.stem] = replace(item, moves=moves)
    done = [made.get(item.stem, item) for item in items]
    return [_with_lead(item, [each for each in made.values() if each.role == "lead vocal"]) for item in done]


def _open(move: PlannedMove, *, anew: bool) -> bool:
    return move.kind == "ride" and not move.name.startswith(WITH) and (anew or not move.points)


def _before_ride(item: PlanItem) -> tuple[PlannedMove, ...]:
    return tuple(move for move in item.moves if move.kind != "ride")


def _points(move: PlannedMove, own: np.ndarray, bed: np.ndarray, item: PlanItem) -> tuple[tuple[int, float, float], ...]:
    keep, follow = (move.settings[key] / 100.0 for key in ("keep_percent", "follow_percent"))
    return points_of(ridden(own, bed, keep, follow, move.settings["at_most_db"]), item.received.rate_hz)


def _with_lead(item: PlanItem, leads: Sequence[PlanItem]) -> PlanItem:
    """Return a double with the ride of its lead behind its own moves."""
    if item.role != "doubles" or item.input is None or item.status not in ("prepped", "left") or not leads:
        return item
    if any(move.kind == "ride" and not move.name.startswith(WITH) for move in item.moves):
        return item
    lead = leads[0]
    ride = next(move for move in lead.moves if move.kind == "ride")
    plain = replace(
        ride,
        name=f"{WITH}{lead.stem}",
        why=f"a double goes with its lead: {ride.why}" if ride.why else "a double goes with its lead",
        points=along(ride.points, lead.received.rate_hz, item.received.rate_hz),
        note=None,
    )
    moves = tuple(move for move in item.moves if not move.name.startswith(WITH))
    if not plain.points or item.copied or item.status == "left":
        return replace(item, moves=moves)
    return replace(item, moves=(*moves, plain))
