"""Ride: where a stem's phrases are, how loud each is, and the points that bring them towards each other and the track under them.

Conventions
-----------
Levels are K-weighted (ITU-R BS.1770) means of ERB bands' powers, gated as that standard gates: of a phrase those blocks of 400 ms no
further than 10 dB under its own mean. A phrase ends where the stem stays 30 dB under its loud moments for 0.35 s; to it belong what
sounds within 0.2 s before and after and is no further than 40 dB under its loudest moment, so that soft first and last sounds are not
moved through. What lies 20 dB under the mean of all that sounds is no phrase but a breath or a noise, and part of a pause (the
relative gate by which EBU Tech 3342 tells the soft from the background); of what is shorter than two blocks, 10 dB. What is hardly
heard is hardly ridden: of a wanted gain w, w (1 - (0.8 dB / w)^2) is done, of one under 0.8 dB nothing (the form is Breiman's
garrote, Technometrics 37:373, 1995; the figure lies between the smallest change of level heard in noise, 0.4 dB, and 1 dB). Phrases
that differ by no more than the words in them do are expression and are left. A level has by its words alone a variance that goes with
the inverse of the phrase's length; the squared distance from the median over that has a chi-square distribution. Where its 70th
percentile, by time, is what is expected (1.07) nothing is done, from twice that all; and a phrase that by itself stands out by more
than 3.5 deviations (Iglewicz and Hoaglin's bound for outliers, How to Detect and Handle Outliers, 1993) is moved whatever the others
do, from twice the square in full: a take at another level among good ones. Gain stands still from a little before a phrase to a
little after it, moves in the quietest fifth of a second where a pause is not silent, and in a pause it is never over 0 dB, so that
breath and noise do not come up.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.bands import CENTRES_HZ, FRAMES_A_SECOND
from stemwright.dsp.loudness import k_weights

if TYPE_CHECKING:
    from collections.abc import Sequence

SOUNDS_DB = -30.0
SOFT_DB, ENDS = -40.0, 20  # of its own loudest moment, and at most so many frames
GATE_DB = -10.0
BREATH_DB = -20.0  # under all that sounds: no phrase
BREATH_FRAMES, SHORT_BREATH_DB = 80, -10.0  # and of what is shorter than that
BLOCK, HOP = 40, 10  # frames of 10 ms: blocks of 400 ms, 100 ms apart
GAP_SECONDS = 0.35
SHORTEST_SECONDS = 0.3  # a shorter one goes with the nearest: a syllable's level is its vowel's
EASE_DB = 0.8
MOST_OF_IT, EXPECTED = 0.7, 1.07  # chi-square of one degree of freedom: 70 % lie under 1.07
ALONE = 12.25  # of a distance from the median, 3.5 deviations squared
MANY_BLOCKS = 8  # a phrase of so many says how far its words differ
UNEVEN_DB = 3.0  # phrases spread further ask for a ride
MARGIN_SECONDS, RAMP_SECONDS = 0.05, 0.1
QUIET = round((2.0 * MARGIN_SECONDS + RAMP_SECONDS) * FRAMES_A_SECOND)  # what a move takes
CUT_SECONDS = 0.05  # where a phrase was cut by hand there is no pause to move in
_FLOOR = 1e-12
_K = k_weights(CENTRES_HZ)


@dataclass(frozen=True)
class Phrase:
    """A phrase, in seconds, and the gain it gets."""

    start_s: float
    end_s: float
    gain_db: float = 0.0


def phrases_of(power: np.ndarray) -> list[tuple[int, int]]:
    """Return the phrases of powers, shape (frames, bands), as frames from and to."""
    level = power @ _K
    if not (level > _FLOOR).any():
        return []
    loud = float(np.percentile(level[level > _FLOOR], 95))
    frames = np.flatnonzero(level > max(loud * 10.0 ** (SOUNDS_DB / 10.0), _FLOOR))
    cuts = np.flatnonzero(np.diff(frames) > GAP_SECONDS * FRAMES_A_SECOND)
    found = [(int(part[0]), int(part[-1]) + 1) for part in np.split(frames, cuts + 1)]
    mean = float(level[frames].mean())
    return [(start, end) for start, end in found if float(_blocks(power, start, end).mean()) >= mean * _least(end - start)]


def _least(frames: int) -> float:
    """Return how far under all that sounds a phrase of that length may lie, as a factor of power."""
    return float(10.0 ** ((SHORT_BREATH_DB if frames < BREATH_FRAMES else BREATH_DB) / 10.0))


def _with_ends(level: np.ndarray, phrases: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return phrases with their soft first and last sounds, which in a soft phrase are below what makes phrases of a song."""
    quiet = [_quietest(level, end, start) for (_, end), (start, _) in pairwise(phrases)]
    found = []
    for earliest, (start, end), latest in zip(
        [0, *(at + QUIET for at in quiet)], phrases, [*quiet, len(level)], strict=True
    ):
        soft = max(float(level[start:end].max()) * 10.0 ** (SOFT_DB / 10.0), _FLOOR)
        first = max(start - ENDS, earliest)
        whole = first + np.flatnonzero(level[first : min(end + ENDS, latest)] > soft)
        found.append((int(whole[0]), int(whole[-1]) + 1))
    return found


def _quietest(level: np.ndarray, start: int, end: int) -> int:
    """Return where in a pause the quietest stretch of `QUIET` frames begins; a pause is longer than that."""
    sums = np.concatenate([[0.0], np.cumsum(level[start:end])])
    return start + int(np.argmin(sums[QUIET:] - sums[:-QUIET]))


def level_db(power: np.ndarray, start: int, end: int) -> float:
    """Return a phrase's level in dB re full scale."""
    return _mean_db(_blocks(power, start, end))


def _blocks(power: np.ndarray, start: int, end: int) -> np.ndarray:
    """Return the levels, as powers, of a phrase's blocks that its loudness is the mean of; of a short one those of its frames."""
    level = power[start:end] @ _K
    if len(level) > BLOCK:
        sums = np.concatenate([[0.0], np.cumsum(level)])
        level = (sums[BLOCK::HOP] - sums[: len(sums) - BLOCK : HOP]) / BLOCK
    return np.asarray(level[level >= float(level.mean()) * 10.0 ** (GATE_DB / 10.0)])


def _mean_db(level: np.ndarray) -> float:
    return float(10.0 * np.log10(max(float(level.mean()) if len(level) else 0.0, _FLOOR)))


def beyond_words(own_db: np.ndarray, blocks: Sequence[np.ndarray], lengths: Sequence[int]) -> np.ndarray:
    """Return how much of its distance from the median no phrase owes to its words.

    Parameters
    ----------
    own_db : np.ndarray, shape=(phrases,)
        Their levels.
    blocks : sequence of np.ndarray
        The powers of each one's blocks of 400 ms.
    lengths : sequence of int
        Of each one, in frames of 10 ms.

    Returns
    -------
    np.ndarray, shape=(phrases,)
        0 to 1; 1 for all where no phrase is long enough to say how far words differ.
    """
    long = [each for each in blocks if len(each) >= MANY_BLOCKS]
    if not long:
        return np.ones(len(own_db))
    spread = sum(len(each) * float(each.var() / each.mean() ** 2) for each in long) / sum(map(len, long))
    # The variance of 10 lg of a mean of n blocks, by its first derivative.
    variance = (10.0 / np.log(10.0)) ** 2 * max(spread, _FLOOR) * BLOCK / np.maximum(lengths, BLOCK)
    # One median of so many: their mean squared distance from it is that much smaller than from the truth.
    apart = np.square(own_db - np.median(own_db)) / variance * len(own_db) / (len(own_db) - 1)
    together = _percentile(apart, np.asarray(lengths, dtype=np.float64), MOST_OF_IT) / EXPECTED
    return np.asarray(np.clip(np.maximum(together, apart / ALONE) - 1.0, 0.0, 1.0))


def _percentile(values: np.ndarray, weights: np.ndarray, share: float) -> float:
    """Return the value that a share of the weight lies under, straight lines between the middles of each."""
    order = np.argsort(values)
    middles = np.cumsum(weights[order]) - weights[order] / 2.0
    return float(np.interp(share * weights.sum(), middles, values[order]))


def ridden(power: np.ndarray, track: np.ndarray, keep: float, follow: float, at_most_db: float) -> list[Phrase]:
    """Return a stem's phrases with the gain each gets.

    Parameters
    ----------
    power, track : np.ndarray, shape=(frames, bands)
        Of the stem, and of what it is held against, as long.
    keep : float
        How much of a phrase's distance from the others stays, 0 to 1.
    follow : float
        How much of what the track does under it it goes along with, 0 to 1.
    at_most_db : float
        No phrase is moved further.
    """
    found = phrases_of(power)
    if len(found) < 2:
        return []
    whole = _with_ends(power @ _K, found)
    long = [end for place, end in zip(found, whole, strict=True) if _is_long(place)]
    if len(long) < 2:
        return []
    blocks = [_blocks(power, *place) for place in long]
    own = np.array([_mean_db(each) for each in blocks])
    under = np.array([level_db(track, *place) for place in long])
    sounding = under > under.max() - 30.0  # where the track stops it is no measure
    usual = float(np.median(under[sounding]))
    along = np.where(sounding, under - usual, 0.0) * follow
    apart = (np.median(own) - own) * beyond_words(own, blocks, [end - start for start, end in long])
    wanted = apart * (1.0 - keep) + along
    eased = wanted * np.maximum(1.0 - np.square(EASE_DB / np.maximum(np.abs(wanted), _FLOOR)), 0.0)
    gains = np.round(np.clip(eased, -at_most_db, at_most_db), 2) + 0.0
    middles = np.array([sum(place) / 2.0 for place in long])
    return [
        Phrase(
            first / FRAMES_A_SECOND, last / FRAMES_A_SECOND, float(gains[np.argmin(np.abs(middles - (start + end) / 2.0))])
        )
        for (start, end), (first, last) in zip(found, whole, strict=True)
    ]


def _is_long(place: tuple[int, int]) -> bool:
    return place[1] - place[0] >= SHORTEST_SECONDS * FRAMES_A_SECOND


def spread_db(power: np.ndarray) -> float:
    """Return the standard deviation of the phrases' levels in dB, powers of shape (frames, bands); 0 for fewer than two."""
    long = [place for place in phrases_of(power) if _is_long(place)]
    return float(np.std([level_db(power, *place) for place in long])) if len(long) > 1 else 0.0


def points_of(phrases: list[Phrase], rate_hz: int) -> tuple[tuple[int, float, float], ...]:
    """Return the points of a ride: frame, gain in dB, and the gain as a factor.

    Parameters
    ----------
    phrases : list of Phrase
        In order.
    rate_hz : int
        Of the stem.
    """
    if not any(each.gain_db for each in phrases):
        return ()
    points: list[tuple[float, float]] = []
    before = [None, *phrases[:-1]]
    after = [*phrases[1:], None]
    for last, here, following in zip(before, phrases, after, strict=True):
        lead = here.start_s if last is None else here.start_s - last.end_s
        tail = RAMP_SECONDS * 4.0 if following is None else following.start_s - here.end_s
        pause = min(here.gain_db, 0.0) if last is None else min(here.gain_db, last.gain_db, 0.0)
        inside = min(CUT_SECONDS / 2.0, (here.end_s - here.start_s) / 4.0)
        margin = min(MARGIN_SECONDS, lead / 4.0) if lead > 0.0 else -inside
        if lead > 2.0 * (MARGIN_SECONDS + RAMP_SECONDS):
            points.append((here.start_s - margin - RAMP_SECONDS, pause))
        points.append((here.start_s - margin, here.gain_db))
        pause = min(here.gain_db, 0.0) if following is None else min(here.gain_db, following.gain_db, 0.0)
        margin = min(MARGIN_SECONDS, tail / 4.0) if tail > 0.0 else -inside
        points.append((here.end_s + margin, here.gain_db))
        if tail > 2.0 * (MARGIN_SECONDS + RAMP_SECONDS):
            points.append((here.end_s + margin + RAMP_SECONDS, pause))
    frames = [(max(round(at * rate_hz), 0), gain_db) for at, gain_db in points]
    rising = [point for number, point in enumerate(frames) if number == 0 or point[0] > frames[number - 1][0]]
    return tuple((frame, gain_db, float(10.0 ** (gain_db / 20.0))) for frame, gain_db in rising)


def along(points: tuple[tuple[int, float, float], ...], was_hz: int, rate_hz: int) -> tuple[tuple[int, float, float], ...]:
    """Return points at another sample rate."""
    return tuple((round(frame * rate_hz / was_hz), gain_db, factor) for frame, gain_db, factor in points)
