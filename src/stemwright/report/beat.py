"""The beat: its stems' excerpts together, the gains that bring their sums to one loudness, and how loud to begin."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.loudness import LevelMeter
from stemwright.report.bar_lines import bar_lines, called, whole_bars_s
from stemwright.report.budget import Amount, audio_bytes, first_amount, given_up, less, page_bytes
from stemwright.report.excerpt import choose_excerpts
from stemwright.report.listening import HearJob, clip_rate, hear, match
from stemwright.stems.names import pairs

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.recipes.timeline import Timeline
    from stemwright.report.excerpt import Excerpt, Moments
    from stemwright.report.listening import HeardStem, Matched

CEILING_DBFS = -1.0  # a sum of stems at unity may be over full scale, and then all sides give way alike
START_LUFS = -23.0  # EBU R 128: programme at broadcast level, which a listening room is set for


@dataclass(frozen=True, kw_only=True)
class BeatStem:
    """One stem of the beat: its files by side, ``received`` first, what happened when, and its length and rate."""

    id: str
    stem: str
    files: dict[str, Path]
    moments: Moments | None
    changed: bool
    seconds: float
    rate_hz: int


@dataclass(frozen=True, kw_only=True)
class BeatOnPage:
    """All there is to hear: the excerpts, the stems by their ids, and for each excerpt the beat's gains by side.

    ``start_db`` is the volume to begin at, ``lowered_db`` what the sums give way so that they stay below full scale, ``spared``
    a sentence where the excerpts are less than usual so that the page stays small; ``called`` are the excerpts' sections and
    bars, as far as the session sheet knows them.
    """

    rate_hz: int
    excerpts: tuple[Excerpt, ...]
    before: str
    stems: dict[str, HeardStem]
    matched: tuple[Matched, ...]
    lowered_db: float
    start_db: int
    spared: str = ""
    called: tuple[str, ...] = ()


def hear_beat(
    stems: Sequence[BeatStem], form: str, before: str, timeline: Timeline, executor: Executor
) -> BeatOnPage | None:
    """Cut, match and encode the excerpts of a song.

    Parameters
    ----------
    stems : sequence of BeatStem
    form : {"mp3", "flac24"}
    before : {"received", "that"}
        What this pass is compared with.
    timeline : Timeline
        Where it knows bars, excerpts are whole bars.
    executor : Executor
        Works on the stems.

    Returns
    -------
    Beat or None
        None where there is no stem to hear.
    """
    if not stems:
        return None
    usual = amount = first_amount(len(stems))
    excerpts, rate_hz, heard = _cut(stems, form, before, amount, timeline, executor)
    given = Amount(len(excerpts), excerpts[0].seconds, amount.quality)
    while form == "mp3" and (smaller := less(given, _size(heard), audio_bytes(len(stems)))) is not None:
        excerpts, rate_hz, heard = _cut(stems, form, before, smaller, timeline, executor)
        given = Amount(len(excerpts), excerpts[0].seconds, smaller.quality)
        amount = smaller
    sides = ["received", *(["that"] if before == "that" else []), "this"]
    sums = [{side: np.zeros((round(one.seconds * rate_hz), 2)) for side in sides} for one in excerpts]
    for found in heard.values():
        for total, sounds in zip(sums, found.sounds, strict=True):
            for side in sides:
                total[side] += sounds[heard_as(side, sounds)]
    matched, lowered_db = _matched(sums, rate_hz)
    return BeatOnPage(
        rate_hz=rate_hz,
        excerpts=excerpts,
        before=before,
        stems=heard,
        matched=matched,
        lowered_db=lowered_db,
        called=tuple(called(timeline, one.start_s, one.start_s + one.seconds) for one in excerpts),
        start_db=_start(sums[0]["this"], rate_hz, matched[0].gains_db["this"]),
        spared="" if amount == usual else given_up(usual, given, page_bytes(len(stems)) / 1e6),
    )


def _cut(  # noqa: PLR0913, PLR0917 - what is heard, how, how much of it and where
    stems: Sequence[BeatStem], form: str, before: str, amount: Amount, timeline: Timeline, executor: Executor
) -> tuple[tuple[Excerpt, ...], int, dict[str, HeardStem]]:
    """Return the excerpts, the rate they have, and every stem's by its id."""
    told = [each for each in stems if each.changed] or stems
    moments = [each.moments for each in told if each.moments]
    longest_s = max(each.seconds for each in stems)
    each_s = whole_bars_s(timeline, amount.seconds)
    excerpts = tuple(choose_excerpts(moments, longest_s, amount.most, each_s, bar_lines(timeline, longest_s)))
    rates = Counter(each.rate_hz for each in stems)
    rate_hz = clip_rate(max(rates, key=lambda rate: (rates[rate], rate)), form)
    paired = pairs(each.stem for each in stems)
    jobs = [
        HearJob(
            stem=each.stem, files=each.files, before=before, excerpts=excerpts, rate_hz=rate_hz, form=form,
            quality=amount.quality, paired=each.stem in paired,
        )
        for each in stems
    ]  # fmt: skip
    return excerpts, rate_hz, {each.id: found for each, found in zip(stems, executor.map(hear, jobs), strict=True)}


def _size(heard: Mapping[str, HeardStem]) -> int:
    return sum(len(clip.data) for each in heard.values() for clip in each.clips)


def heard_as(side: str, there: Mapping[str, object]) -> str:
    """Return the side that a stem sounds as: one that is not there is the same bytes as the next."""
    for each in (side, "this") if side == "that" else (side,):
        if each in there:
            return each
    return "received"


def _matched(sums: list[dict[str, np.ndarray]], rate_hz: int) -> tuple[tuple[Matched, ...], float]:
    found = [match(sides, rate_hz, "received") for sides in sums]
    peaks = [
        float(20.0 * np.log10(max(np.abs(audio).max(initial=0.0), 1e-9))) + one.gains_db[side]
        for one, sides in zip(found, sums, strict=True)
        for side, audio in sides.items()
    ]
    lowered_db = min(0.0, CEILING_DBFS - max(peaks))
    lower = [type(one)({side: round(gain + lowered_db, 3) for side, gain in one.gains_db.items()}, one.by) for one in found]
    return tuple(lower), round(lowered_db, 2)


def _start(audio: np.ndarray, rate_hz: int, gain_db: float) -> int:
    meter = LevelMeter(rate_hz, 2, peaks=False)
    meter.feed(audio)
    lufs = meter.levels().lufs
    return -12 if lufs is None else int(min(0, max(-30, round(START_LUFS - lufs - gain_db))))
