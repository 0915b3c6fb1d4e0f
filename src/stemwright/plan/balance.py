"""Balance: where the stem in front is covered, in which bands, by which stems, and the smallest move that brings it back.

Pure arithmetic on the stems' matrices (`stemwright.dsp.bands`), put together by `plan.beat`.

Conventions
-----------
A place is covered where the mean over one second falls 0.10 or more under the song's median for a second or more: a first trial's
planted drops of 0.2 were all found, and 0.08 called five places a minute in a good balance. The culprit is the stem
whose absence raises the index most.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.audibility import FREQ_HZ
from stemwright.dsp.bands import CENTRES_HZ
from stemwright.dsp.prototypes import magnitude_db
from stemwright.plan.beat import A_SECOND, FLOOR, Beat, running

if TYPE_CHECKING:
    from collections.abc import Sequence

DROP = 0.10
USUAL_PERCENT, TIMES_USUAL = (
    16.0,
    2.0,
)  # a beat that comes and goes is heard so: two of its own deviations are nothing special
LEAST_SECONDS = 1.0
BACK_WITHIN = 0.07  # a place is brought back where it is no further under the median
DEEPEST_DB = 9.0  # of a level; more would take the part out rather than make room
DEEPEST_DIP_DB = 6.0
SMALLEST_DB, STEP_DB = 1.0, 0.5
SECOND_SHARE = 0.4  # a second culprit raises the index by at least so much of what the first does


@dataclass(frozen=True, kw_only=True)
class Culprit:
    """A stem that covers: by how much the index rises without it, and by how many dB it lies over the front where it covers."""

    stem: str
    raises: float
    over_db: float


@dataclass(frozen=True, kw_only=True)
class Cure:
    """A move on a culprit in that place only. ``freq_hz`` None is its level; ``index`` is what the front's comes to."""

    stem: str
    gain_db: float
    freq_hz: float | None
    q: float
    index: float
    enough: bool


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
    usual = median - float(np.percentile(mean[known], USUAL_PERCENT))
    under = known & (mean <= median - max(DROP, TIMES_USUAL * usual))
    found = [_place(beat, index, median, start, end) for start, end in _runs(under)]
    covered = [each for each in found if each is not None]
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


def _place(beat: Beat, index: np.ndarray, median: float, start: int, end: int) -> Covered | None:
    first, last = max(start - A_SECOND // 2, 0), min(end + A_SECOND // 2, len(index))
    gain = np.where(beat.sounds[first:last], median - DROP / 2.0 - index[first:last], 0.0)
    low, high = _heaviest(gain)
    inside = beat.sounds[first + low : first + high]
    if inside.any():  # its edges lie where the index is half way between the song's and the place's
        there = float(index[first + low : first + high][inside].mean())
        low, high = _heaviest(np.where(beat.sounds[first:last], (median + there) / 2.0 - index[first:last], 0.0))
    place = slice(first + low, first + high)
    if (high - low) < LEAST_SECONDS * A_SECOND * 0.9 or not beat.sounds[place].any():
        return None
    now = beat.index_of(beat.total[place], place)
    if median - now < DROP:
        return None
    culprits = _culprits(beat, place, now)
    return Covered(
        start_s=place.start / A_SECOND,
        end_s=place.stop / A_SECOND,
        index=now,
        drop=median - now,
        bands_hz=_bands(beat, place, culprits),
        culprits=culprits,
        cure=cure(beat, place, culprits[0].stem, median - BACK_WITHIN) if culprits else None,
    )


def _heaviest(gain: np.ndarray) -> tuple[int, int]:
    """Return the stretch whose sum is largest (Kadane)."""
    sums = np.concatenate([[0.0], np.cumsum(gain)])
    lowest = np.minimum.accumulate(sums)
    end = int(np.argmax(sums - lowest))
    return int(np.argmin(sums[: end + 1])), end


def _culprits(beat: Beat, place: slice, now: float) -> tuple[Culprit, ...]:
    total = beat.total[place]

    def without(*stems: str) -> float:
        rest = np.maximum(total - np.sum([beat.others[stem][place] for stem in stems], axis=0), 0.0)
        return beat.index_of(rest, place)

    sounding = [stem for stem, power in beat.others.items() if float(power[place].sum()) > FLOOR]
    if not sounding:
        return ()
    silence = beat.index_of(np.zeros_like(total), place)
    raised = {stem: without(stem) - now for stem in sounding}
    # Of two that cover together neither raises much by its absence alone: what it does alone counts as much.
    alone = {stem: silence - beat.index_of(beat.others[stem][place], place) for stem in sounding}
    share = {stem: (raised[stem] + alone[stem]) / 2.0 for stem in sounding}
    ranked = sorted(sounding, key=lambda stem: -share[stem])
    named = ranked[:1]
    if len(ranked) > 1 and share[ranked[1]] >= SECOND_SHARE * share[ranked[0]]:
        both = without(*ranked[:2]) - now
        if both - max(raised[ranked[0]], raised[ranked[1]]) >= DROP / 2.0:
            named = ranked[:2]
    weight = beat.own[place]
    over = [
        float(
            10.0
            * np.log10(max((beat.others[stem][place] * weight).sum(), FLOOR**2) / max((weight * weight).sum(), FLOOR**2))
        )
        for stem in named
    ]
    return tuple(Culprit(stem=stem, raises=raised[stem], over_db=db) for stem, db in zip(named, over, strict=True))


def _bands(beat: Beat, place: slice, culprits: Sequence[Culprit]) -> tuple[tuple[float, float], ...]:
    """Return where most is lost to the culprits: neighbouring bands made one."""
    total = beat.total[place]
    if not culprits:
        return ()
    less = np.maximum(total - np.sum([beat.others[each.stem][place] for each in culprits], axis=0), 0.0)
    lost = (beat.audible(less, place) - beat.audible(total, place)).mean(axis=0)
    centres = FREQ_HZ if beat.voice else CENTRES_HZ
    inside = np.flatnonzero(lost >= max(0.35 * float(lost.max()), 1e-9))
    groups = np.split(inside, np.flatnonzero(np.diff(inside) > 1) + 1) if len(inside) else []
    half = 10.0**0.05 if beat.voice else 1.07
    ranked = sorted(groups, key=lambda group: -float(lost[group].sum()))[:3]
    return tuple((float(centres[group[0]] / half), float(centres[group[-1]] * half)) for group in ranked)


def cure(beat: Beat, place: slice, stem: str, target: float) -> Cure:
    """Return the smallest move on a stem in a place that lifts the front's index to a target.

    It is never deeper than `DEEPEST_DB`, a dip never than `DEEPEST_DIP_DB`.
    Of a dip and a level that both get there, the one that takes less of the stem, by the mean of its dB over the bands in which it
    sounds. Where neither gets there, the one that comes nearest.
    """
    power = beat.others[stem][place]
    rest = np.maximum(beat.total[place] - power, 0.0)
    sounds = power.mean(axis=0) ** 0.3
    sounds = sounds / max(float(sounds.sum()), FLOOR)
    best: tuple[bool, float, Cure] | None = None
    for freq_hz, q in [(None, 1.0), *_dips(beat, place, stem)]:
        shape = (
            np.ones(len(CENTRES_HZ))
            if freq_hz is None
            else magnitude_db("bell", {"freq_hz": freq_hz, "gain_db": 1.0, "q": q}, CENTRES_HZ)
        )
        deepest_db = DEEPEST_DB if freq_hz is None else DEEPEST_DIP_DB
        for depth in np.arange(SMALLEST_DB, deepest_db + 1e-9, STEP_DB):
            taken = (
                shape
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


def _dips(beat: Beat, place: slice, stem: str) -> list[tuple[float, float]]:
    """Return the dips worth a trial: over each group of covered bands, as wide as it."""
    bands = _bands(beat, place, [Culprit(stem=stem, raises=0.0, over_db=0.0)])
    return [
        (float(round((low * high) ** 0.5, -1)), float(round(min(max((low * high) ** 0.5 / (high - low), 0.5), 4.0), 1)))
        for low, high in bands
    ]
