"""Which few seconds tell most about what was done: the same bars for the beat and all of its stems."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

SECONDS = 8.0
WHOLE_UP_TO = 1.5  # times an excerpt's length
STEP_S = 0.25
KEPT_SHARE = 0.5  # of the best stretch: where the excerpts of the page before have that, they are the excerpts again
NEARLY = 0.9  # half a dB
HEARD_SHARE = 0.25  # of its own best stretch: below that, a stem's change is not really in an excerpt


@dataclass(frozen=True)
class Excerpt:
    """A stretch of a song: where it starts and how long it is, both in seconds."""

    start_s: float
    seconds: float


@dataclass(frozen=True)
class Moments:
    """Moments that were compared: when each starts, how much of a change there is to hear in it, and how long all are."""

    starts_s: tuple[float, ...]
    scores: tuple[float, ...]
    seconds: float


def still_tell(usual: Sequence[Excerpt], moments: Sequence[Moments], seconds: float, most: int, each_s: float) -> bool:
    """Return whether excerpts chosen before hold at least half of what the best stretch has of every change.

    The bars that were heard of the last pass are then those of this one.
    """
    if not 0 < len(usual) <= most or any(one.seconds != each_s or one.start_s + one.seconds > seconds for one in usual):
        return False
    candidates = _anywhere(seconds - each_s)
    starts_s = np.array([one.start_s for one in usual])
    for each in moments:
        best = _inside(each, candidates, each_s).max(initial=0.0)
        if _inside(each, starts_s, each_s).max() < KEPT_SHARE * best:
            return False
    return True


def choose_excerpts(
    moments: Sequence[Moments], seconds: float, most: int = 1, each_s: float = SECONDS, starts_s: Sequence[float] = ()
) -> list[Excerpt]:
    """Choose a stretch with about the most of the change in it, then stretches for stems whose change is not in it.

    Parameters
    ----------
    moments : sequence of Moments
        One for every stem that changed by what is compared; every stem's where none did.
    seconds : float
        Length of the song.
    most : int
        How many at most.
    each_s : float
        Length of each.
    starts_s : sequence of float
        Where they may begin, bar lines for instance; anywhere without it, or where none leaves room for one.

    Returns
    -------
    list of Excerpt
        The whole of a song of up to `WHOLE_UP_TO` times ``each_s``, else stretches of ``each_s``; the middle one of equals.
    """
    if seconds <= WHOLE_UP_TO * each_s:
        return [Excerpt(0.0, seconds)]
    last = seconds - each_s
    fitting = [at for at in starts_s if 0.0 <= at <= last]
    candidates = np.array(fitting) if fitting else _anywhere(last)
    inside = np.array([_inside(each, candidates, each_s) for each in moments]).reshape(len(moments), len(candidates))
    best = inside.max(axis=1, initial=0.0)
    shares = (inside[best > 0.0] / best[best > 0.0, np.newaxis]).sum(axis=0)
    total = inside.sum(axis=0)
    # Of stretches with about as much of a change, the one where most stems have theirs.
    chosen = [_best(np.where(total >= NEARLY * total.max(), 1.0 + shares, 0.0))]
    while len(chosen) < most:
        heard = inside[:, chosen].max(axis=1, initial=0.0)
        left = (heard < HEARD_SHARE * best) & (best > 0.0)
        if not left.any():
            break
        # As shares of their own best, so that a quiet stem has as much of a say as a loud one.
        chosen.append(_best((inside[left] / best[left, np.newaxis]).sum(axis=0)))
    return [Excerpt(float(candidates[at]), each_s) for at in chosen]


def _anywhere(last_s: float) -> np.ndarray:
    return np.append(np.arange(0.0, last_s, STEP_S), last_s)


def _inside(moments: Moments, candidates: np.ndarray, each_s: float) -> np.ndarray:
    """Return how much of a stem's change each stretch holds; a moment counts if it is held to its end."""
    total = np.concatenate([[0.0], np.cumsum(moments.scores)])
    starts = np.array(moments.starts_s)
    ends = candidates + (each_s - moments.seconds)
    return np.asarray(total[np.searchsorted(starts, ends, side="right")] - total[np.searchsorted(starts, candidates)])


def _best(scores: np.ndarray) -> int:
    best = np.flatnonzero(scores >= scores.max() * (1.0 - 1e-9))
    return int(best[len(best) // 2])
