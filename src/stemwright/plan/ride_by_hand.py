"""A ride by hand: the phrases of a ride with the gains that a person wrote for some of them.

A gain by hand takes the place of the one found. Its ends go to the pause that is near; inside a phrase, with none near, the
phrase is cut there, and the gain moves over 50 ms. In a pause it is a stretch of its own.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.plan.ride import Phrase
from stemwright.recipes.by_hand import SHORTEST_SECONDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.recipes.by_hand import ByHand

NEAR_SECONDS = 0.25


def with_hand(phrases: Sequence[Phrase], wanted: Sequence[ByHand]) -> list[Phrase]:
    """Return phrases, in order, with the gains wanted by hand, in order and none over another."""
    result = list(phrases)
    for each in wanted:
        result = [part for phrase in result for part in _cut(phrase, each.start_s)]
        result = [part for phrase in result for part in _cut(phrase, each.end_s)]
        meant = [phrase for phrase in result if each.start_s <= (phrase.start_s + phrase.end_s) / 2.0 < each.end_s]
        free = None if meant else _free(result, each)
        if free is not None:
            result = sorted([*result, free], key=lambda phrase: phrase.start_s)
            continue
        if not meant:
            meant = [max(result, key=lambda phrase: _shared_s(phrase, each))]
        result = [replace(phrase, gain_db=each.gain_db) if phrase in meant else phrase for phrase in result]
    return result


def _cut(phrase: Phrase, at_s: float) -> list[Phrase]:
    if not phrase.start_s + NEAR_SECONDS < at_s < phrase.end_s - NEAR_SECONDS:
        return [phrase]
    return [replace(phrase, end_s=at_s), replace(phrase, start_s=at_s)]


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
