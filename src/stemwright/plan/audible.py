"""Audible: whether what changes on one stem is heard in its beat, and what would make it so; arithmetic on the stems' matrices.

Conventions
-----------
In an ERB band a stem is heard where its power is no more than `UNDER_DB` under that of all others together: noise hides a tone
whose power is 4 dB under that in one critical band (the critical ratio, as the terminology of the Acoustical Society of
America has it). A change is heard in the frames in which one of the bands it changes is heard, of those in which the stem
sounds. Levels of music are no thresholds: the shares rank, and say what lies under what.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.bands import CENTRES_HZ

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

UNDER_DB = 4.0
SOUNDS_DB = -25.0  # a stem sounds where it is no further under its loud moments
OFTEN, SELDOM = 0.5, 0.1
MOST_DB = 9.0
SECOND_SHARE = 0.4
LEAST_CHANGE_DB = 0.25
ALIKE_DB = 0.05
_STEPS_DB = np.arange(1.0, MOST_DB + 0.5)
_FLOOR = 1e-12


@dataclass(frozen=True, kw_only=True)
class Audibility:
    """What is heard of a change: in which share of the time that the stem sounds, around which frequency, by how much it changes.

    ``freq_hz`` is None where all that the stem has changes alike: its level.
    ``covered_by`` are the stems that lie over it where it is not, the most first. ``more_db`` on this stem, or ``less_db`` on the
    first of them, would make it heard half of the time; None where nothing up to `MOST_DB` does, or nothing is needed.
    """

    freq_hz: float | None
    change_db: float
    share: float
    covered_by: tuple[str, ...] = ()
    more_db: float | None = None
    less_db: float | None = None


def heard_of(
    before: np.ndarray, after: np.ndarray, others: Mapping[str, np.ndarray], place: np.ndarray | None = None
) -> Audibility | None:
    """Judge a change of one stem.

    Parameters
    ----------
    before, after : np.ndarray, shape=(frames, bands)
        Its powers.
    others : mapping of str to np.ndarray
        Powers of the other stems, of any length.
    place : np.ndarray of bool, shape=(frames,), optional
        Where to look.

    Returns
    -------
    Audibility or None
        None where nothing changes, or the stem is silent.
    """
    loud = np.maximum(before, after).sum(axis=1)
    if not (loud > _FLOOR).any():
        return None
    sounds = loud > max(float(np.percentile(loud[loud > _FLOOR], 95)) * 10.0 ** (SOUNDS_DB / 10.0), _FLOOR)
    if place is not None:
        sounds &= place
    both = (before > _FLOOR) & (after > _FLOOR) & sounds[:, np.newaxis]
    ratio_db = np.where(both, 10.0 * np.log10(np.maximum(after, _FLOOR) / np.maximum(before, _FLOOR)), 0.0)
    count = both.sum(axis=0)
    change_db = ratio_db.sum(axis=0) / np.maximum(count, 1)
    most = int(np.argmax(np.abs(change_db)))
    if abs(change_db[most]) < LEAST_CHANGE_DB or not sounds.any():
        return None
    bands = np.abs(change_db) >= 0.7 * abs(change_db[most])
    level = bool(np.all(np.abs(change_db[count > 0] - change_db[most]) < ALIKE_DB))
    own = np.maximum(before, after)[np.ix_(sounds, bands)]
    beds = {stem: _as_long(power, len(before))[np.ix_(sounds, bands)] for stem, power in others.items()}
    rest = np.sum(list(beds.values()), axis=0) if beds else np.zeros_like(own)
    heard = _heard(own, rest)
    found = Audibility(
        freq_hz=None if level else float(CENTRES_HZ[most]), change_db=float(change_db[most]), share=float(heard.mean())
    )
    if round(found.share, 2) >= OFTEN or not beds:
        return found
    by = {stem: float(power[~heard].sum()) for stem, power in beds.items()}
    ranked = sorted(by, key=lambda stem: -by[stem])
    named = tuple(stem for stem in ranked[:2] if by[stem] >= SECOND_SHARE * by[ranked[0]])
    first = beds[named[0]]
    more = next((step for step in _STEPS_DB if _heard(own * 10.0 ** (step / 10.0), rest).mean() >= OFTEN), None)
    less = next(
        (step for step in _STEPS_DB if _heard(own, rest - first * (1.0 - 10.0 ** (-step / 10.0))).mean() >= OFTEN), None
    )
    return Audibility(
        freq_hz=found.freq_hz,
        change_db=found.change_db,
        share=found.share,
        covered_by=named,
        more_db=None if more is None else float(more),
        less_db=None if less is None else float(less),
    )


def _heard(own: np.ndarray, rest: np.ndarray) -> np.ndarray:
    """Return in which frames one of the bands is heard."""
    return np.asarray(((own > _FLOOR) & (own >= rest * 10.0 ** (-UNDER_DB / 10.0))).any(axis=1))


def _as_long(power: np.ndarray, frames: int) -> np.ndarray:
    out = np.zeros((frames, power.shape[1]))
    out[: len(power)] = power[:frames]
    return out


def together(powers: Sequence[np.ndarray]) -> np.ndarray:
    """Return the power of several stems of any length, shape (frames, bands)."""
    longest = max(len(power) for power in powers)
    return np.asarray(np.sum([_as_long(power, longest) for power in powers], axis=0))


@dataclass(frozen=True, kw_only=True)
class Clash:
    """How much of one stem another covers: the share of it, where most, and the two ways out that would halve that, in dB."""

    share: float
    freq_hz: float
    less_db: float
    more_db: float


def _loudness(front: np.ndarray) -> np.ndarray:
    """Return what each band of a front counts, shape as given; nothing where it does not sound."""
    weight = np.maximum(front, 0.0) ** 0.3  # loudness grows with the power to about 0.3 (Stevens)
    loud = front.sum(axis=1)
    if (loud > _FLOOR).any():
        weight[loud <= float(np.percentile(loud[loud > _FLOOR], 95)) * 10.0 ** (SOUNDS_DB / 10.0)] = 0.0
    return np.asarray(weight)


def _lost(own: np.ndarray, other: np.ndarray, weight: np.ndarray) -> np.ndarray:
    hidden = own < other * 10.0 ** (-UNDER_DB / 10.0)
    return np.asarray((weight * hidden).sum(axis=0) / max(float(weight.sum()), _FLOOR))


def hidden_by(front: np.ndarray, over: np.ndarray) -> float:
    """Return how much of a stem another covers, 0 to 1, weighted with its loudness; powers, shape (frames, bands)."""
    return float(_lost(front, _as_long(over, len(front)), _loudness(front)).sum())


def clash(front: np.ndarray, over: np.ndarray) -> Clash | None:
    """Judge how a stem lies over another.

    Parameters
    ----------
    front, over : np.ndarray, shape=(frames, bands)
        Powers.

    Returns
    -------
    Clash or None
        None where less than a tenth of the front, weighted with its loudness in each band, is covered. ``less_db`` and
        ``more_db`` are no more than `MOST_DB`.
    """
    over = _as_long(over, len(front))
    weight = _loudness(front)

    def lost(own: np.ndarray, other: np.ndarray) -> np.ndarray:
        return _lost(own, other, weight)

    now = lost(front, over)
    if float(now.sum()) < SELDOM:
        return None
    most = int(np.argmax(np.convolve(now, np.ones(5), mode="same")))
    near = slice(max(most - 2, 0), most + 3)
    target = float(now[near].sum()) / 2.0
    less = next((step for step in _STEPS_DB if lost(front, over * 10.0 ** (-step / 10.0))[near].sum() <= target), MOST_DB)
    half = float(now.sum()) / 2.0
    more = next((step for step in _STEPS_DB if lost(front * 10.0 ** (step / 10.0), over).sum() <= half), MOST_DB)
    return Clash(share=float(now.sum()), freq_hz=float(CENTRES_HZ[most]), less_db=float(less), more_db=float(more))
