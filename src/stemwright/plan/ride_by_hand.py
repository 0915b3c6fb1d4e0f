"""A ride by hand: the phrases of a ride with the gains that a person wrote for some of them.

A gain by hand takes the place of the one found. Its ends go to the pause that is near; inside a phrase, with none near, or with
nothing left between them if they went, the phrase is cut there, and the gain moves over 50 ms. In a pause it is a stretch of its own.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.plan.ride import Phrase
from stemwright.recipes.by_hand import SHORTEST_SECONDS

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from stemwright.recipes.by_hand import ByHand

NEAR_SECONDS = 0.25


def with_hand(phrases: Sequence[Phrase], wanted: Sequence[ByHand]) -> list[Phrase]:
    """Return phrases, in order, with the gains wanted by hand, in order and none over another."""
    result, pauses = list(phrases), {edge for phrase in phrases for edge in (phrase.start_s, phrase.end_s)}
    for each in wanted:
        for at_s in (each.start_s, each.end_s):
            result = [part for phrase in result for part in _cut(phrase, at_s, pauses)]
        meant = [phrase for phrase in result if each.start_s <= (phrase.start_s + phrase.end_s) / 2.0 < each.end_s]
        free = None if meant else _free(result, each)
        if free is not None:
            result = sorted([*result, free], key=lambda phrase: phrase.start_s)
            continue
        if not meant:
            near = max(result, key=lambda phrase: _shared_s(phrase, each))
            meant = [replace(near, start_s=max(near.start_s, each.start_s), end_s=min(near.end_s, each.end_s))]
            result = [part for phrase in result for part in (_around(near, meant[0]) if phrase is near else [phrase])]
        result = [replace(phrase, gain_db=each.gain_db) if phrase in meant else phrase for phrase in result]
    return result


def _cut(phrase: Phrase, at_s: float, pauses: Collection[float]) -> list[Phrase]:
    """Return a phrase in two, or whole where that is not inside it or near a pause."""
    first, last = (NEAR_SECONDS if edge in pauses else 0.0 for edge in (phrase.start_s, phrase.end_s))
    if not phrase.start_s + first < at_s < phrase.end_s - last:
        return [phrase]
    return [replace(phrase, end_s=at_s), replace(phrase, start_s=at_s)]


def _around(phrase: Phrase, part: Phrase) -> list[Phrase]:
    """Return a part of a phrase with what is left of it before and after."""
    left = (replace(phrase, end_s=part.start_s), part, replace(phrase, start_s=part.end_s))
    return [each for each in left if each.end_s > each.start_s]


def _shared_s(phrase: Phrase, each: ByHand) -> float:
    return min(phrase.end_s, each.end_s) - max(phrase.start_s, each.start_s)


def _free(phrases: Sequence[Phrase], each: ByHand) -> Phrase | None:
    """Return what of a stretch lies in a pause, None where that is next to nothing."""
    middle = (each.start_s + each.end_s) / 2.0
    start = max([each.start_s, *(phrase.end_s for phrase in phrases if phrase.start_s < middle)])
    end = min([each.end_s, *(phrase.start_s for phrase in phrases if phrase.start_s >= middle)])
    return (
        Phrase(start, end, each.gain_db) if end - start >= min(SHORTEST_SECONDS, each.end_s - each.start_s) - 1e-9 else None
    )
