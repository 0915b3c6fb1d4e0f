"""The beat: its stems' excerpts together, the gains that bring their sums to one loudness, and how loud to begin."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.loudness import LevelMeter
from stemwright.report.bar_lines import bar_lines, called, whole_bars_s
from stemwright.report.budget import Amount, audio_bytes, first_amount, given_up, less, page_bytes
from stemwright.report.excerpt import choose_excerpts, still_tell
from stemwright.report.listening import HearJob, clip_rate, hear, made_of, match
from stemwright.stems.names import pairs

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.recipes.timeline import Timeline
    from stemwright.report.excerpt import Excerpt, Moments
    from stemwright.report.kept import KeptPage, KeptStem
    from stemwright.report.listening import HeardStem, Matched

CEILING_DBFS = -1.0  # a sum of stems at unity may be over full scale, and then all sides give way alike
SAMPLED = 4  # stems for each that is encoded first
CLEARLY = 1.5  # times the room; closer than that, all are encoded before anything is given up
START_LUFS = -23.0  # EBU R 128: programme at broadcast level, which a listening room is set for


@dataclass(frozen=True, kw_only=True)
class BeatStem:
    """One stem of the beat: its files by side, ``received`` first, their hashes, what happened when, and its length and rate."""

    id: str
    stem: str
    files: dict[str, Path]
    of: dict[str, str]
    moments: Moments | None
    changed: bool
    seconds: float
    rate_hz: int


@dataclass(frozen=True, kw_only=True)
class BeatOnPage:
    """All there is to hear: the excerpts, the stems by their ids, and for each excerpt the beat's gains by side.

    ``quality`` is the MP3's, ``start_db`` the volume to begin at, ``lowered_db`` what the sums give way so that they stay below
    full scale, ``spared`` a sentence where the excerpts are less than usual so that the page stays small; ``called`` are the
    excerpts' sections and bars, as far as the session sheet knows them.
    """

    rate_hz: int
    excerpts: tuple[Excerpt, ...]
    before: str
    stems: dict[str, HeardStem]
    matched: tuple[Matched, ...]
    lowered_db: float
    quality: str
    start_db: int
    spared: str = ""
    called: tuple[str, ...] = ()


def hear_beat(  # noqa: PLR0913, PLR0917 - what is heard, how, and what there is of it
    stems: Sequence[BeatStem],
    form: str,
    before: str,
    timeline: Timeline,
    executor: Executor,
    kept: KeptPage | None = None,
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
    kept : KeptPage, optional
        What the page of ``before`` has, for stems that are as they were.

    Returns
    -------
    Beat or None
        None where there is no stem to hear.
    """
    if not stems:
        return None
    usual = amount = first_amount(len(stems))
    room = audio_bytes(len(stems)) if form == "mp3" else math.inf
    while True:
        excerpts, jobs = _cut(stems, form, before, amount, timeline, kept)
        given = Amount(len(excerpts), excerpts[0].seconds, amount.quality)
        found, smaller = _encoded(jobs, given, room, executor)
        if smaller is None:
            break
        amount = smaller
    rate_hz, heard = jobs[0].rate_hz, dict(zip((each.id for each in stems), found, strict=True))
    sides = ["received", *(["that"] if before == "that" else []), "this"]
    sums = [{side: np.zeros((round(one.seconds * rate_hz), 2)) for side in sides} for one in excerpts]
    for one in heard.values():
        for total, sounds in zip(sums, one.sounds, strict=True):
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
        quality=amount.quality,
        called=tuple(called(timeline, one.start_s, one.start_s + one.seconds) for one in excerpts),
        start_db=_start(sums[0]["this"], rate_hz, matched[0].gains_db["this"]),
        spared="" if amount == usual else given_up(usual, given, page_bytes(len(stems)) / 1e6),
    )


def _cut(  # noqa: PLR0913, PLR0917 - what is heard, how, how much of it and where
    stems: Sequence[BeatStem], form: str, before: str, amount: Amount, timeline: Timeline, kept: KeptPage | None
) -> tuple[tuple[Excerpt, ...], list[HearJob]]:
    """Return the excerpts, and what is to be done for each stem."""
    told = [each for each in stems if each.changed] or stems
    moments = [each.moments for each in told if each.moments]
    longest_s = max(each.seconds for each in stems)
    each_s = whole_bars_s(timeline, amount.seconds)
    if kept is not None and still_tell(kept.excerpts, moments, longest_s, amount.most, each_s):
        excerpts = kept.excerpts
    else:
        excerpts = tuple(choose_excerpts(moments, longest_s, amount.most, each_s, bar_lines(timeline, longest_s)))
    rates = Counter(each.rate_hz for each in stems)
    rate_hz = clip_rate(max(rates, key=lambda rate: (rates[rate], rate)), form)
    paired = pairs(each.stem for each in stems)
    jobs = [
        HearJob(
            stem=each.stem, files=each.files, of=each.of, before=before, excerpts=excerpts, rate_hz=rate_hz, form=form,
            quality=amount.quality, paired=each.stem in paired,
        )
        for each in stems
    ]  # fmt: skip
    same = kept is not None and (form, kept.excerpts, kept.rate_hz, kept.quality) == (
        "mp3",
        excerpts,
        rate_hz,
        amount.quality,
    )
    return excerpts, [_with_kept(job, kept.stems) for job in jobs] if kept is not None and same else jobs


def _with_kept(job: HearJob, kept: Mapping[str, KeptStem]) -> HearJob:
    """Return a job with the clips that a page has of the same files, where it needs no others: no difference to what was before."""
    found = kept.get(job.stem)
    as_it_was = job.before == "that" and "that" not in job.files
    return replace(job, kept=found) if found is not None and job.of and as_it_was and found.of == made_of(job) else job


def _encoded(
    jobs: Sequence[HearJob], given: Amount, room: float, executor: Executor
) -> tuple[list[HeardStem], Amount | None]:
    """Return what is heard of each stem, and nothing; or, where that is more than there is room for, the amount to try next.

    Every fourth stem comes first: where those say that it will be far too much, no other is encoded in vain.
    """
    first = list(executor.map(hear, jobs[::SAMPLED]))
    expected = _size(first) * len(jobs) / len(first)
    smaller = less(given, expected, room) if expected > CLEARLY * room else None
    if smaller is not None:
        return [], smaller
    later = list(executor.map(hear, [job for at, job in enumerate(jobs) if at % SAMPLED]))
    found = [first[at // SAMPLED] if at % SAMPLED == 0 else later[at - at // SAMPLED - 1] for at in range(len(jobs))]
    return found, less(given, _size(found), room)


def _size(heard: Iterable[HeardStem]) -> int:
    return sum(len(clip.data) for each in heard for clip in each.clips)


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
