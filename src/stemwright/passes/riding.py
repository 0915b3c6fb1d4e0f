"""Riding: the points of every ride of a plan, found in what the stems hold; a ride's pair and its doubles go with it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.bands import FRAMES_A_SECOND
from stemwright.passes.matrices import HeardFile, as_prepped, matrices
from stemwright.plan.audible import together
from stemwright.plan.items import PlannedMove
from stemwright.plan.ride import Phrase, along, phrases_of, points_of, ridden
from stemwright.plan.ride_by_hand import with_hand
from stemwright.recipes.by_hand import BY_HAND
from stemwright.recipes.folders import display
from stemwright.recipes.kinds import KINDS
from stemwright.recipes.problems import Problems
from stemwright.recipes.reading import below
from stemwright.recipes.session import FILE
from stemwright.recipes.times import clock
from stemwright.stems.names import pairs

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from concurrent.futures import Executor

    from stemwright.passes.song import SongFolder
    from stemwright.plan.items import PlanItem
    from stemwright.recipes.by_hand import ByHand

WITH = "ride with "
_SAID = "; by hand "


def with_rides(
    song: SongFolder,
    items: Sequence[PlanItem],
    executor: Executor,
    by_hand: Mapping[str, tuple[ByHand, ...]],
    of: Collection[str] | None = None,
) -> list[PlanItem]:
    """Return a plan whose rides have their points.

    Parameters
    ----------
    song : SongFolder
    items : sequence of PlanItem
    executor : Executor
        Listens to stems that were not listened to before.
    by_hand : mapping of str to tuple of ByHand
        Gains by hand by stem.
    of : collection of str, optional
        Stems whose rides get points where they have none, and no others. Without it every ride gets them anew, and gains by
        hand get a ride where there is none.

    Raises
    ------
    AudioError
        If a stem cannot be listened to, or is no longer what the plan says.
    RecipeError
        If a gain by hand begins after its stem's end.
    """
    both = pairs(tuple(item.stem for item in items))
    by_hand = {both[stem]: hand for stem, hand in by_hand.items() if stem in both} | dict(by_hand)
    if of is None:
        items = [_by_hand(item) if item.stem in by_hand else item for item in items]
        _refuse_beyond(song, items, by_hand)
    wanted = [
        item
        for item in items
        if (of is None or item.stem in of) and any(_open(move, anew=of is None) for move in item.moves)
    ]
    if not wanted:
        return list(items)
    here = {item.stem: item for item in items if item.input is not None and item.deliver_as is not None}
    power = matrices(
        song,
        {stem: HeardFile(song.folder / each.received.path, each.received.sha256) for stem, each in here.items()},
        executor,
    )
    now = {stem: as_prepped(power[stem], _before_ride(each), each.received.rate_hz) for stem, each in here.items()}
    sides = pairs(tuple(here))
    track = [now[stem] for stem, each in here.items() if each.family != "vocals"]
    made: dict[str, PlanItem] = {}
    for item in wanted:
        own = together([now[stem] for stem in dict.fromkeys([item.stem, sides.get(item.stem, item.stem)])])
        bed = together([*track, np.zeros_like(own)])[: len(own)] if item.family == "vocals" else np.zeros_like(own)
        hand = by_hand.get(item.stem, ())
        moves = tuple(
            replace(move, points=_points(move, own, bed, item, hand), why=_why(move, hand))
            if _open(move, anew=of is None)
            else move
            for move in item.moves
        )
        made[item.stem] = replace(item, moves=moves)
    done = [made.get(item.stem, item) for item in items]
    return [_with_lead(item, [each for each in made.values() if each.role == "lead vocal"]) for item in done]


def _open(move: PlannedMove, *, anew: bool) -> bool:
    return move.kind == "ride" and not move.name.startswith(WITH) and (anew or not move.points)


def _before_ride(item: PlanItem) -> tuple[PlannedMove, ...]:
    return tuple(move for move in item.moves if move.kind != "ride")


def _by_hand(item: PlanItem) -> PlanItem:
    """Return an item with a ride for gains by hand where nothing rides it: one that finds nothing itself."""
    if item.input is None or item.deliver_as is None or any(_open(move, anew=True) for move in item.moves):
        return item
    settings = {each.setting: each.default for each in KINDS["ride"].fields if each.default is not None}
    still = settings | {"keep_percent": 100.0, "follow_percent": 0.0}
    move = PlannedMove(kind="ride", name=BY_HAND, why="session sheet", settings=still)
    return replace(item, moves=(*item.moves, move))


def _refuse_beyond(song: SongFolder, items: Sequence[PlanItem], by_hand: Mapping[str, tuple[ByHand, ...]]) -> None:
    problems = Problems()
    for item in items:
        if item.input is None:
            continue
        length_s = item.received.frames / item.received.rate_hz
        for each in by_hand.get(item.stem, ()):
            if each.start_s >= length_s:
                message = f"begins after the stem's end ({each}); {item.stem} is {clock(length_s)} long"
                problems.add(display(song.folder / FILE), each, below("stems", item.stem), message)
    problems.raise_any()


def _why(move: PlannedMove, hand: Sequence[ByHand]) -> str:
    found = move.why.split(_SAID)[0]
    return found + (_SAID + ", ".join(map(str, hand)) if hand else "")


def _points(
    move: PlannedMove, own: np.ndarray, bed: np.ndarray, item: PlanItem, hand: Sequence[ByHand]
) -> tuple[tuple[int, float, float], ...]:
    keep, follow = (move.settings[key] / 100.0 for key in ("keep_percent", "follow_percent"))
    phrases = ridden(own, bed, keep, follow, move.settings["at_most_db"])
    if hand and not phrases:
        phrases = [Phrase(start / FRAMES_A_SECOND, end / FRAMES_A_SECOND) for start, end in phrases_of(own)]
    return points_of(with_hand(phrases, hand), item.received.rate_hz)


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
