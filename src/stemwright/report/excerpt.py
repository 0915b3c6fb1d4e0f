"""Which few seconds tell most about what was done to a stem, or to the whole beat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

SECONDS = 8.0
WHOLE_UP_TO_S = 12.0
STEP_S = 0.25


@dataclass(frozen=True)
class Excerpt:
    """A stretch of a stem: where it starts and how long it is, both in seconds."""

    start_s: float
    seconds: float


@dataclass(frozen=True)
class Moments:
    """Moments that were compared: when each starts, how much of a change there is to hear in it, and how long all are."""

    starts_s: tuple[float, ...]
    scores: tuple[float, ...]
    seconds: float


def choose_excerpt(moments: Sequence[Moments], seconds: float) -> Excerpt:
    """Choose the stretch with the most of the change in it; the middle one of equals.

    Parameters
    ----------
    moments : sequence of Moments
        Of one stem, or of all stems of a beat.
    seconds : float
        Length of the stem or the beat.

    Returns
    -------
    Excerpt
        The whole of a sound of up to `WHOLE_UP_TO_S`, else `SECONDS` of it.
    """
    if seconds <= WHOLE_UP_TO_S:
        return Excerpt(0.0, seconds)
    starts = np.concatenate([np.array(each.starts_s) for each in moments] or [np.zeros(0)])
    scores = np.concatenate([np.array(each.scores) for each in moments] or [np.zeros(0)])
    order = np.argsort(starts, kind="stable")
    starts, total = starts[order], np.concatenate([[0.0], np.cumsum(scores[order])])
    last = seconds - SECONDS
    candidates = np.append(np.arange(0.0, last, STEP_S), last)
    # A moment counts if the stretch holds it to its end.
    ends = candidates + (SECONDS - max((each.seconds for each in moments), default=0.0))
    inside = total[np.searchsorted(starts, ends, side="right")] - total[np.searchsorted(starts, candidates)]
    best = np.flatnonzero(inside >= inside.max() * (1.0 - 1e-9))
    return Excerpt(float(candidates[best[len(best) // 2]]), SECONDS)
