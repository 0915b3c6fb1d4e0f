"""One stem looked at and listened to: a manifest entry and its files in, numbers to draw and clips to play out; pure.

The work is bounded: a stem is read once from start to end for its overview, or not even that where the run that made the pass
has seen it; spectra come from its loudest moments.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.overview import MOMENT_FRAMES, Overview, overview_of
from stemwright.errors import AudioError
from stemwright.report.curves import curve_points, move_curve_db
from stemwright.report.excerpt import Moments
from stemwright.report.rings import Around, arounds
from stemwright.report.spectra import band_powers, bin_powers, change_scores, levels_db
from stemwright.stems.audio import probe, read_blocks, read_span
from stemwright.stems.limits import are_numbers
from stemwright.stems.opening import wrong_link
from stemwright.stems.survey import file_sha256

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from stemwright.passes.entry import Entry
    from stemwright.stems.info import AudioInfo

MOST_MOMENTS = 16


@dataclass(frozen=True, kw_only=True)
class LookJob:
    """One stem's entry and its files: as received, in this pass, and in that pass where it sounded different.

    ``before`` is the side this pass is compared with. ``hashes`` are what the files' bytes must be, and are not looked at
    again (``check``) after a run that has only just written or hashed them. ``song`` is the folder that no file may be outside
    of. ``overviews`` are those that such a run has made on the way, by side.
    """

    song: Path
    entry: Entry
    received: Path
    this: Path
    that: Path | None
    before: str
    hashes: dict[str, str]
    check: bool = True
    overviews: dict[str, Overview] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What there is to draw of a stem: its outline as received and (None where it is the same file) in this pass.

    Spectra are levels in dB at the points of `report.spectra`, by side; ``around_db`` is each ring's half octave, in the order of
    the moves, by side.
    """

    seconds: float
    rate_hz: int
    overview: Overview
    after: Overview | None
    spectra_db: dict[str, np.ndarray]
    around: tuple[Around, ...] = ()


@dataclass(frozen=True, kw_only=True)
class GainCurves:
    """The curve of all moves together and of each move (None where a move has none) at ``freq_hz``, in dB."""

    freq_hz: np.ndarray
    total_db: np.ndarray
    each_db: tuple[np.ndarray | None, ...]


@dataclass(frozen=True, kw_only=True)
class StemView:
    """All that was found of one stem. ``seen`` is None where its audio is not there, and ``problem`` says why.

    ``of`` are the files' hashes by side, where all of them are known.
    """

    entry: Entry
    curves: GainCurves | None
    seen: Seen | None = None
    files: dict[str, Path] = field(default_factory=dict)
    of: dict[str, str] = field(default_factory=dict)
    moments: Moments | None = None
    problem: str | None = None


def look_at(job: LookJob) -> StemView:
    """Look at one stem.

    Parameters
    ----------
    job : LookJob

    Returns
    -------
    StemView
        Never raises for a missing or damaged file: the view says what is wrong.
    """
    curves = curves_of(job.entry)
    if job.entry.output is None:
        return StemView(entry=job.entry, curves=curves)
    files = {"received": job.received, "this": job.this} | ({} if job.that is None else {"that": job.that})
    try:
        for path in files.values():
            away = wrong_link(path, job.song)
            if away is not None:
                raise AudioError(f"{path.name}: {away}")  # noqa: TRY301 - all that is wrong ends in one place
            if not path.is_file():
                raise AudioError(f"{path.name} is no longer there")  # noqa: TRY301
        for side, expected in job.hashes.items():
            if job.check and side in files and file_sha256(files[side]) != expected:
                raise AudioError(f"{files[side].name}: not the file this pass was made with or wrote")  # noqa: TRY301
        if job.that is None and job.entry.item.input is not None and job.entry.sha256 == job.entry.item.input.sha256:
            files.pop("this")  # byte for byte as received: one position says it all
        infos = {side: probe(path) for side, path in files.items()}
        _require_sound(files, infos)
        return _view(job, curves, files, infos)
    except (AudioError, OSError) as error:
        return StemView(entry=job.entry, curves=curves, problem=str(error))


def _view(job: LookJob, curves: GainCurves | None, files: dict[str, Path], infos: dict[str, AudioInfo]) -> StemView:
    info = infos["received"]
    overviews = {
        side: job.overviews.get(side)
        or overview_of(_blocks(files[side], infos[side]), infos[side].frames, infos[side].rate_hz)
        for side in ("received", "this")
        if side in files
    }
    starts_s = _loudest(overviews["received"].swings, info.rate_hz)
    bins = {side: bin_powers(_moments(path, infos[side], starts_s)) for side, path in files.items()}
    powers = {side: band_powers(power, infos[side].rate_hz) for side, power in bins.items()}
    spectra = {side: levels_db(power.mean(axis=0)) for side, power in powers.items()}
    before, after = powers.get(job.before, powers["received"]), powers.get("this", powers["received"])
    scores = change_scores(before, after)
    if not scores.any():
        scores = powers["received"].sum(axis=1)
    seen = Seen(
        seconds=info.seconds,
        rate_hz=info.rate_hz,
        overview=overviews["received"],
        after=overviews.get("this"),
        spectra_db=spectra,
        around=arounds(
            job.entry, {side: (power.mean(axis=0), infos[side].rate_hz / MOMENT_FRAMES) for side, power in bins.items()}
        ),
    )
    told = _everywhere(overviews["received"].swings, starts_s, scores, MOMENT_FRAMES / info.rate_hz)
    of = {side: job.hashes[side] for side in files} if set(files) <= set(job.hashes) else {}
    return StemView(entry=job.entry, curves=curves, seen=seen, files=files, of=of, moments=told)


def _everywhere(swings: np.ndarray, starts_s: list[float], scores: np.ndarray, each_s: float) -> Moments:
    """Return the change there is to hear in every moment: where it was not measured, as much as in the loudest for its own power."""
    power = np.square(swings[: max(len(swings) - 1, 1)], dtype=np.float64)
    measured = np.round(np.array(starts_s) / each_s).astype(int)
    told = power * (scores.sum() / max(power[measured].sum(), np.finfo(float).tiny))
    told[measured] = scores
    return Moments(tuple((np.arange(len(power)) * each_s).tolist()), tuple(told.tolist()), each_s)


def _require_sound(files: dict[str, Path], infos: dict[str, AudioInfo]) -> None:
    """Raise AudioError for a file with nothing in it, or with what is no sound in a side that is not looked at to its end."""
    for side, info in infos.items():
        if not info.frames:
            raise AudioError(f"{files[side].name}: holds no sound, so there is nothing to see or hear")
    if "that" in files and infos["that"].bits is None:
        for _ in _blocks(files["that"], infos["that"]):
            pass


def _blocks(path: Path, info: AudioInfo) -> Iterator[np.ndarray]:
    """Yield a file's blocks; what is no sound is neither drawn nor played."""
    for block in read_blocks(path, info):
        if info.bits is None and not are_numbers(block):
            raise AudioError(f"{path.name}: holds samples that are no numbers; see: stemwright look SONG")
        yield block


def _loudest(swings: np.ndarray, rate_hz: int) -> list[float]:
    """Return when the loudest moments start, in seconds and in order of time."""
    whole = max(len(swings) - 1, 1)  # the last one is shorter
    order = np.argsort(-swings[:whole], kind="stable")[:MOST_MOMENTS]
    return [int(place) * MOMENT_FRAMES / rate_hz for place in np.sort(order)]


def _moments(path: Path, info: AudioInfo, starts_s: list[float]) -> np.ndarray:
    moments = np.zeros((len(starts_s), info.channels, MOMENT_FRAMES), np.float32)
    for moment, start in zip(moments, starts_s, strict=True):
        stretch = read_span(path, info, round(start * info.rate_hz), MOMENT_FRAMES)
        moment[:, : len(stretch)] = stretch.T
    return moments


def curves_of(entry: Entry) -> GainCurves | None:
    """Return the curves of an entry's moves; None where there is none to draw."""
    item = entry.item
    if item.input is None or not any(move.gain_sections for move in item.moves):
        return None
    points = curve_points(item.moves, item.input.rate_hz)
    each = tuple(move_curve_db(move, points, item.input.rate_hz) for move in item.moves)
    total = np.sum([curve for curve in each if curve is not None], axis=0)
    return GainCurves(freq_hz=points, total_db=np.asarray(total), each_db=each)
