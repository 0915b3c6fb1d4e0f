"""Balance: where the stem in front is covered, in which bands, by which stems, and the smallest move that brings it back.

Pure arithmetic on the stems' matrices (`stemwright.dsp.bands`), put together by `plan.beat`.

Conventions
-----------
A place is covered where the mean over one second falls 0.10 or more under the song's median for a second or more: a first trial's
planted drops of 0.2 were all found, and 0.08 called five places a minute in a good balance. That says about where; who covers, and
from when to when, is `plan.culprits`'.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.plan.beat import A_SECOND, Beat, running
from stemwright.plan.culprits import Covering, Culprit
from stemwright.plan.cures import Cure, cure

if TYPE_CHECKING:
    from collections.abc import Sequence

DROP = 0.10
TIMES_USUAL = 2.5  # a beat that comes and goes is heard so: so many of its own deviations are nothing special
LEAST_SECONDS = 1.0
BACK_WITHIN = 0.07  # a place is brought back where it is no further under the median


@dataclass(frozen=True, kw_only=True)
class Covered:
    """A place where the front is covered: from and to in seconds, the index there, the bands, by whom, and what would help."""

    start_s: float
    end_s: float
    index: float
    drop: float
    bands_hz: tuple[tuple[float, float], ...]
    culprits: tuple[Culprit, ...]
    cure: Cure | None


@dataclass(frozen=True, kw_only=True)
class Balance:
    """How a front stands in its beat: the median of its index where it sounds, and where it is covered, worst first."""

    front: tuple[str, ...]
    voice: bool
    median: float | None
    covered: tuple[Covered, ...]


def judge(beat: Beat) -> Balance:
    """Find the places where the front is covered."""
    index = beat.audible(beat.total).sum(axis=1) if len(beat.own) else np.zeros(0)
    weight = beat.sounds.astype(np.float64)
    count = running(weight[:, np.newaxis], A_SECOND)[:, 0]
    mean = running((index * weight)[:, np.newaxis], A_SECOND)[:, 0] / np.maximum(count, 1e-9)
    known = beat.sounds & (count > 0.25)
    if not known.any():
        return Balance(front=beat.front, voice=beat.voice, median=None, covered=())
    median = float(np.median(mean[known]))
    low, high = (float(each) for each in np.percentile(mean[known], (16.0, 84.0)))
    usual = min(median - low, high - median)  # covers lie on one side: what is covered for a fifth of a song is not usual
    under = known & (mean <= median - max(DROP, TIMES_USUAL * usual))
    about = [_about(beat, index, median, start, end) for start, end in _runs(under)]
    covering = Covering(beat)
    found = _places(beat, covering, [place for place in about if place is not None], median)
    covered = [_told(beat, covering, median, *each) for each in found]
    return Balance(
        front=beat.front, voice=beat.voice, median=median, covered=tuple(sorted(covered, key=lambda each: -_weight(each)))
    )


def _weight(place: Covered) -> float:
    return place.drop * (place.end_s - place.start_s)


def _runs(under: np.ndarray) -> list[tuple[int, int]]:
    """Return stretches of frames, gaps of up to half a second made one with what is around them."""
    frames = np.flatnonzero(under)
    if not len(frames):
        return []
    cuts = np.flatnonzero(np.diff(frames) > A_SECOND // 2)
    return [(int(part[0]), int(part[-1]) + 1) for part in np.split(frames, cuts + 1)]


def _about(beat: Beat, index: np.ndarray, median: float, start: int, end: int) -> slice | None:
    """Return about where a place is, by the index alone; None where it is too short or not deep enough."""
    first, last = max(start - A_SECOND // 2, 0), min(end + A_SECOND // 2, len(index))
    gain = np.where(beat.sounds[first:last], median - DROP / 2.0 - index[first:last], 0.0)
    low, high = _heaviest(gain)
    inside = beat.sounds[first + low : first + high]
    if inside.any():  # its edges lie where the index is half way between the song's and the place's
        there = float(index[first + low : first + high][inside].mean())
        low, high = _heaviest(np.where(beat.sounds[first:last], (median + there) / 2.0 - index[first:last], 0.0))
    place = slice(first + low, first + high)
    return place if _is_one(beat, place, median) else None


def _is_one(beat: Beat, place: slice, median: float) -> bool:
    if place.stop - place.start < LEAST_SECONDS * A_SECOND * 0.9 or not beat.sounds[place].any():
        return False
    return bool(median - beat.index_of(beat.total[place], place) >= DROP)


def _places(
    beat: Beat, covering: Covering, about: Sequence[slice], median: float
) -> list[tuple[slice, tuple[Culprit, ...]]]:
    """Return each place with whoever covers there; two that overlap by the same stem are one."""
    found: list[tuple[slice, tuple[Culprit, ...]]] = []
    waiting = list(about)
    while waiting:
        each = waiting.pop(0)
        rough = covering.culprits(each)
        place = covering.place(each, rough) if rough else each
        # What is left beside it, where one stem takes over from another, is a place of its own.
        beside = (slice(each.start, place.start), slice(place.stop, each.stop))
        waiting[:0] = [part for part in beside if _inside(part, each) and _is_one(beat, part, median)]
        same = [one for one in found if rough and one[1] and one[1][0].stem == rough[0].stem and _overlap(one[0], place)]
        for one in same:
            found.remove(one)
            place = slice(min(one[0].start, place.start), max(one[0].stop, place.stop))
        found.append((place, covering.culprits(place)))
    return found


def _inside(part: slice, whole: slice) -> bool:
    """Whether a part is shorter than the whole and nowhere beyond it, so that what is left gets less each time."""
    return bool(whole.start <= part.start and part.stop <= whole.stop and part != whole)


def _overlap(one: slice, other: slice) -> bool:
    return bool(one.start <= other.stop and other.start <= one.stop)


def _told(beat: Beat, covering: Covering, median: float, place: slice, culprits: tuple[Culprit, ...]) -> Covered:
    now = beat.index_of(beat.total[place], place)
    bands_hz = covering.bands_hz(place, [each.stem for each in culprits]) if culprits else ()
    back = covering.bands_hz(place, [culprits[0].stem]) if culprits else ()
    return Covered(
        start_s=place.start / A_SECOND,
        end_s=place.stop / A_SECOND,
        index=now,
        drop=median - now,
        bands_hz=bands_hz,
        culprits=culprits,
        cure=cure(beat, place, culprits[0].stem, back, median - BACK_WITHIN) if culprits else None,
    )


def _heaviest(gain: np.ndarray) -> tuple[int, int]:
    """Return the stretch whose sum is largest (Kadane)."""
    sums = np.concatenate([[0.0], np.cumsum(gain)])
    lowest = np.minimum.accumulate(sums)
    end = int(np.argmax(sums - lowest))
    return int(np.argmin(sums[: end + 1])), end
