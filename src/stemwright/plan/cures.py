"""Cures: the smallest single move on a stem, in one place only, that brings the front back over it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.bands import CENTRES_HZ
from stemwright.dsp.prototypes import magnitude_db
from stemwright.plan.beat import FLOOR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.plan.beat import Beat

DEEPEST_DB = 9.0  # of a level; more would take the part out rather than make room
DEEPEST_DIP_DB = 6.0
SMALLEST_DB, STEP_DB = 1.0, 0.5


@dataclass(frozen=True, kw_only=True)
class Cure:
    """A move on a culprit in that place only. ``freq_hz`` None is its level; ``index`` is what the front's comes to."""

    stem: str
    gain_db: float
    freq_hz: float | None
    q: float
    index: float
    enough: bool


def cure(beat: Beat, place: slice, stem: str, bands_hz: Sequence[tuple[float, float]], target: float) -> Cure:
    """Return the smallest move on a stem in a place that lifts the front's index to a target; dips are tried over the bands given.

    It is never deeper than `DEEPEST_DB`, a dip never than `DEEPEST_DIP_DB`.
    Of a dip and a level that both get there, the one that takes less of the stem, by the mean of its dB over the bands in which it
    sounds. Where neither gets there, the one that comes nearest.
    """
    power = beat.others[stem][place]
    rest = np.maximum(beat.total[place] - power, 0.0)
    sounds = power.mean(axis=0) ** 0.3
    sounds = sounds / max(float(sounds.sum()), FLOOR)
    best: tuple[bool, float, Cure] | None = None
    for freq_hz, q in [(None, 1.0), *_dips(bands_hz)]:
        deepest_db = DEEPEST_DB if freq_hz is None else DEEPEST_DIP_DB
        for depth in np.arange(SMALLEST_DB, deepest_db + 1e-9, STEP_DB):
            taken = (
                np.ones(len(CENTRES_HZ))
                if freq_hz is None
                else magnitude_db("bell", {"freq_hz": freq_hz, "gain_db": float(depth), "q": q}, CENTRES_HZ) / depth
            )
            index = beat.index_of(rest + power * 10.0 ** (-depth * taken / 10.0), place)
            enough = index >= target
            cost = float(depth * (taken * sounds).sum()) if enough else -index
            found = Cure(stem=stem, gain_db=-float(depth), freq_hz=freq_hz, q=q, index=index, enough=enough)
            if best is None or (enough, -cost) > (best[0], -best[1]):
                best = (enough, cost, found)
            if enough:
                break
    assert best is not None  # noqa: S101 - there is always the level
    return best[2]


def _dips(bands_hz: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return the dips worth a trial: over each group of covered bands, as wide as it."""
    return [
        (float(round((low * high) ** 0.5, -1)), float(round(min(max((low * high) ** 0.5 / (high - low), 0.5), 4.0), 1)))
        for low, high in bands_hz
    ]
