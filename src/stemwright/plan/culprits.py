"""Culprits: which stems cover the front in a place, from when to when, and in which bands.

Conventions
-----------
What a stem takes from the front is the mean of two: how far the index rises without it, and how far it falls by that stem alone: of
two that cover together neither raises much by its absence. A culprit takes more in the place than it usually does, which is the
median of its running seconds where the front sounds: what covers a little all the time is the song's balance and no cause of a
drop. A place begins and ends where what the culprits take comes over a quarter of the way from usual to there, and, since nothing
is heard of a cover while the front is silent, with the front.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.audibility import FREQ_HZ
from stemwright.dsp.bands import CENTRES_HZ
from stemwright.plan.beat import A_SECOND, FLOOR, Beat, running

if TYPE_CHECKING:
    from collections.abc import Sequence

SECOND_SHARE = 0.4  # a second culprit takes at least so much of what the first does
BOTH_RAISE = 0.05  # and without both the index rises by so much more than without one
EDGE = 0.25
REACH = 3 * A_SECOND // 2  # a cover may begin so much before the index has fallen, and end so much after
SPARSE = 5  # for what is usual, ten moments a second do


@dataclass(frozen=True, kw_only=True)
class Culprit:
    """A stem that covers: by how much the index rises without it, and by how many dB it lies over the front where it covers."""

    stem: str
    raises: float
    over_db: float


class Covering:
    """What each stem of a beat takes from its front, in a place and usually."""

    def __init__(self, beat: Beat) -> None:
        self._beat = beat
        self._usual: dict[tuple[str, ...], tuple[float, float]] = {}
        sounding = np.flatnonzero(beat.sounds)[::SPARSE]
        self._sparse, self._seconds = sounding, max(A_SECOND // SPARSE, 1)

    def culprits(self, place: slice) -> tuple[Culprit, ...]:
        """Return whoever covers in a place, one stem or two, the first the one that takes most."""
        beat = self._beat
        now, silence = beat.index_of(beat.total[place], place), beat.index_of(np.zeros_like(beat.total[place]), place)
        sounding = [stem for stem, power in beat.others.items() if float(power[place].sum()) > FLOOR]
        if not sounding:
            return ()
        raised = {stem: beat.index_of(self._without([stem], place), place) - now for stem in sounding}
        alone = {stem: silence - beat.index_of(beat.others[stem][place], place) for stem in sounding}
        share = {stem: (raised[stem] + alone[stem] - sum(self._usually([stem]))) / 2.0 for stem in sounding}
        ranked = sorted(sounding, key=lambda stem: -share[stem])
        named = ranked[:1]
        if len(ranked) > 1 and share[ranked[1]] >= SECOND_SHARE * share[ranked[0]]:
            both = beat.index_of(self._without(ranked[:2], place), place) - now
            if both - max(raised[stem] for stem in ranked[:2]) >= BOTH_RAISE:
                named = ranked[:2]
        return tuple(Culprit(stem=stem, raises=raised[stem], over_db=self._over_db(stem, place)) for stem in named)

    def place(self, around: slice, culprits: Sequence[Culprit]) -> slice:
        """Return from when to when these cover, given about where."""
        stems = [each.stem for each in culprits]
        window = slice(max(around.start - REACH, 0), min(around.stop + REACH, len(self._beat.sounds)))
        taken = self._rises(stems, window)
        usual = self._usually(stems)[0]
        there = float(taken[around.start - window.start : around.stop - window.start].mean())
        gain = taken - (usual + EDGE * (there - usual))
        inside = gain[around.start - window.start : around.stop - window.start]
        middle = around.start - window.start + int(np.argmax(running(inside[:, np.newaxis], A_SECOND // 2)[:, 0]))
        before, after = np.cumsum(gain[:middle][::-1]), np.cumsum(gain[middle:])
        low = middle - (int(np.argmax(before)) + 1 if len(before) and before.max() > 0.0 else 0)
        high = middle + int(np.argmax(after)) + 1
        heard = np.flatnonzero(self._beat.sounds[window][low:high])
        if not len(heard):
            return around
        return slice(window.start + low + int(heard[0]), window.start + low + int(heard[-1]) + 1)

    def bands_hz(self, place: slice, stems: Sequence[str]) -> tuple[tuple[float, float], ...]:
        """Return where most is lost to stems, neighbouring bands made one, at most three."""
        beat = self._beat
        lost = (beat.audible(self._without(stems, place), place) - beat.audible(beat.total[place], place)).mean(axis=0)
        centres = FREQ_HZ if beat.voice else CENTRES_HZ
        inside = np.flatnonzero(lost >= max(0.35 * float(lost.max()), 1e-9))
        groups = np.split(inside, np.flatnonzero(np.diff(inside) > 1) + 1) if len(inside) else []
        half = 10.0**0.05 if beat.voice else 1.07
        ranked = sorted(groups, key=lambda group: -float(lost[group].sum()))[:3]
        return tuple((float(centres[group[0]] / half), float(centres[group[-1]] * half)) for group in ranked)

    def _without(self, stems: Sequence[str], frames: slice | np.ndarray) -> np.ndarray:
        beat = self._beat
        return np.asarray(
            np.maximum(beat.total[frames] - np.sum([beat.others[stem][frames] for stem in stems], axis=0), 0.0)
        )

    def _rises(self, stems: Sequence[str], frames: slice | np.ndarray) -> np.ndarray:
        beat = self._beat
        rises = beat.audible(self._without(stems, frames), frames) - beat.audible(beat.total[frames], frames)
        return np.asarray(rises.sum(axis=1))

    def _usually(self, stems: Sequence[str]) -> tuple[float, float]:
        """Return the median running second of how far the index rises without stems and falls by them alone."""
        key = tuple(sorted(stems))
        if key not in self._usual:
            beat, frames = self._beat, self._sparse
            only = np.sum([beat.others[stem][frames] for stem in stems], axis=0)
            falls = (beat.audible(np.zeros_like(only), frames) - beat.audible(only, frames)).sum(axis=1)
            both = np.stack([self._rises(stems, frames), falls], axis=1)
            seconds = running(both, self._seconds)[self._seconds // 2 : len(both) - self._seconds // 2]
            rises, falls = np.median(seconds if len(seconds) else both, axis=0)
            self._usual[key] = (float(rises), float(falls))
        return self._usual[key]

    def _over_db(self, stem: str, place: slice) -> float:
        own, other = self._beat.own[place], self._beat.others[stem][place]
        return float(10.0 * np.log10(max((other * own).sum(), FLOOR**2) / max((own * own).sum(), FLOOR**2)))
