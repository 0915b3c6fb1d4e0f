"""Rings of a song: the finder run over each stem (a pair as one), its rings turned into notch moves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import zip_longest
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.rings import OFFERED_FROM, RingFinder, RingSettings, plan_notches
from stemwright.errors import StemwrightError
from stemwright.plan.items import PlannedMove
from stemwright.plan.resolve import RingMoves, sections_of
from stemwright.plan.ring_offers import offer_words
from stemwright.plan.ring_words import why
from stemwright.stems.audio import read_blocks

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.dsp.rings import PlannedNotch, Ring
    from stemwright.plan.assignment import Assignment
    from stemwright.recipes.moves import Move
    from stemwright.stems.info import AudioInfo
    from stemwright.stems.survey import StemFacts

# A manifest's notches are rounded to what no ear can tell apart, so that two machines plan the same ones.
FREQ_PLACES, GAIN_PLACES, Q_PLACES, EVIDENCE_PLACES = 1, 2, 2, 4


@dataclass(frozen=True)
class Search:
    """One analysis: the files heard together (a pair is one sound) and the `rings` moves that ask for it."""

    files: tuple[tuple[Path, AudioInfo], ...]
    moves: tuple[Move, ...]


def find_all(
    facts: Mapping[str, StemFacts], assignments: Mapping[str, Assignment], executor: Executor
) -> dict[str, dict[str, RingMoves]]:
    """Find the rings that every stem's recipe asks for.

    Parameters
    ----------
    facts : mapping of str to StemFacts
        The stems as received.
    assignments : mapping of str to Assignment
        What is to happen to each.
    executor : Executor
        Runs one search a stem or pair.

    Returns
    -------
    dict of str to dict of str to RingMoves
        By stem, then by the name of the `rings` move. A stem that cannot be analysed has messages and no notches.
    """
    searches: dict[tuple[str, ...], Search] = {}
    for stem, fact in facts.items():
        moves = tuple(move for move in assignments[stem].moves if move.kind == "rings")
        if not moves or not fact.usable:
            continue
        together = _together(stem, facts, assignments)
        files = tuple((facts[name].source, info) for name in together if (info := facts[name].info) is not None)
        searches[together] = Search(files, moves)
    jobs = {stems: executor.submit(search, asked) for stems, asked in searches.items()}
    return {stem: job.result() for stems, job in jobs.items() for stem in stems}


def _together(stem: str, facts: Mapping[str, StemFacts], assignments: Mapping[str, Assignment]) -> tuple[str, ...]:
    partner = assignments[stem].partner
    if partner is None or partner not in facts or not facts[partner].usable:
        return (stem,)
    mine, other = facts[stem].info, facts[partner].info
    if mine is None or other is None or mine.rate_hz != other.rate_hz:
        return (stem,)
    return tuple(sorted((stem, partner)))


def search(asked: Search) -> dict[str, RingMoves]:
    """Find rings in one stem or pair and plan notches for each `rings` move."""
    finder = RingFinder(asked.files[0][1].rate_hz, sum(info.channels for _, info in asked.files))
    try:
        for block in _side_by_side(asked.files):
            finder.feed(block)
        return {move.name: _ring_moves(move, finder, asked.files[0][1].rate_hz) for move in asked.moves}
    except StemwrightError as error:
        return {move.name: RingMoves(notches=(), messages=(f"{move.name}: not searched ({error})",)) for move in asked.moves}


def _side_by_side(files: tuple[tuple[Path, AudioInfo], ...]) -> Iterator[np.ndarray]:
    """Yield the blocks of several files as one with all their channels; a shorter file ends in silence."""
    if len(files) == 1:
        yield from read_blocks(*files[0])
        return
    streams = [read_blocks(path, info) for path, info in files]
    for blocks in zip_longest(*streams):
        frames = max(len(block) for block in blocks if block is not None)
        columns = [
            _lengthened(np.zeros((0, info.channels)) if block is None else block, frames)
            for block, (_, info) in zip(blocks, files, strict=True)
        ]
        yield np.concatenate(columns, axis=1)


def _lengthened(block: np.ndarray, frames: int) -> np.ndarray:
    return block if len(block) == frames else np.pad(block, ((0, frames - len(block)), (0, 0)))


def settings_of(move: Move) -> RingSettings:
    """Return what a `rings` move asks of the finder."""
    asked = move.settings
    return RingSettings(
        from_hz=asked["from_hz"],
        to_hz=asked["to_hz"],
        at_most=int(asked["at_most"]),
        least_db=asked["least_db"],
        least_confidence=OFFERED_FROM,
        offer_only=bool(asked["only_offered"]),
    )


def _ring_moves(move: Move, finder: RingFinder, rate_hz: int) -> RingMoves:
    rings = [rounded(ring) for ring in finder.finish(settings_of(move))]
    depth = {"depth_percent": move.settings["take_percent"], "deepest_db": move.settings["deepest_db"]}
    planned = plan_notches([ring for ring in rings if ring.verdict == "taken"], **depth)
    offered = plan_notches([ring for ring in rings if ring.verdict == "offered"], **depth)
    notches = tuple(_as_move(move, number, notch, rate_hz) for number, notch in enumerate(planned, 1))
    said = (*(notch.gave_way for notch in planned if notch.gave_way), *(offer_words(move.name, notch) for notch in offered))
    return RingMoves(notches=notches, messages=said)


def rounded(ring: Ring) -> Ring:
    """Return a ring with its frequency, excess and Q as exact as a manifest keeps them."""
    return replace(
        ring,
        freq_hz=round(ring.freq_hz, FREQ_PLACES),
        excess_db=round(ring.excess_db, GAIN_PLACES),
        q=round(ring.q, Q_PLACES),
        most_cut_db=round(ring.most_cut_db, GAIN_PLACES),
    )


def _as_move(move: Move, number: int, notch: PlannedNotch, rate_hz: int) -> PlannedMove:
    settings = {**notch.settings(), "gain_db": round(notch.gain_db, GAIN_PLACES)}
    return PlannedMove(
        kind="notch",
        name=f"{move.name} {number}",
        why=move.why,
        settings=settings,
        sections=sections_of("notch", settings, rate_hz),
        found={**_places(notch.found_as_json()), "asked_by": move.name, "because": why(notch.found)},
    )


def _places(data: dict[str, object]) -> dict[str, object]:
    """Round every number of the evidence, however deep."""
    rounded_data: dict[str, object] = {}
    for key, value in data.items():
        if isinstance(value, dict):
            rounded_data[key] = _places(value)
        else:
            rounded_data[key] = round(value, EVIDENCE_PLACES) if isinstance(value, float) else value
    return rounded_data
