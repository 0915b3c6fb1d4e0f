"""Render: one plan item in, one file and what was measured out; pure, so that any executor may map it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.dither import Quantiser
from stemwright.dsp.loudness import LevelMeter, Levels
from stemwright.dsp.overview import Overview, Overviewer
from stemwright.errors import AudioError
from stemwright.passes.copying import copy_file
from stemwright.passes.entry import Entry, LevelPair, Output
from stemwright.passes.stages import chain, reductions, through
from stemwright.passes.tries import a_try, make_parents, put
from stemwright.stems.audio import BLOCK_FRAMES, probe, read_blocks
from stemwright.stems.chunks import for_output, lost, read_kept
from stemwright.stems.encoding import open_writer
from stemwright.stems.info import OutputSpec
from stemwright.stems.limits import HIGHEST_PEAK_DBFS, are_numbers
from stemwright.stems.resample import Resampler
from stemwright.stems.survey import Stamp, file_sha256, stamp_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from stemwright.plan.items import DeliverAs, PlanItem
    from stemwright.stems.info import AudioInfo

STOP_FILE = "stop"
RENDER_FRAMES = 65536  # smaller blocks cost more in calls than they save in cache: 2.0 s at 2048, 1.1 at 8192, 0.9 here


@dataclass(frozen=True, kw_only=True)
class RenderJob:
    """One item, the file it reads and the folder it writes below.

    ``stamp`` is of the file when it was hashed. ``float_path`` is the name to write under if the result goes over full
    scale and its container has no float.
    """

    item: PlanItem
    source: Path
    folder: Path
    stamp: Stamp | None
    float_path: str


@dataclass(frozen=True, kw_only=True)
class Rendered:
    """What came of one item. ``problem`` is set, and nothing was written, where the stem is at fault.

    ``overview`` is of the samples that were written, for who draws them; None of a copy, which looks as received.
    """

    stem: str
    output: Output | None
    before: Levels | None
    after: Levels | None
    messages: tuple[str, ...] = ()
    problem: str | None = None
    went_over: bool = False
    overview: Overview | None = field(default=None, compare=False)

    def entry(self, item: PlanItem) -> Entry:
        """Return the manifest's entry of the item this came of."""
        return Entry(
            item=item if self.problem is None else replace(item, status="failed", why=self.problem),
            output=self.output,
            levels=LevelPair(before=self.before and self.before.rounded, after=self.after and self.after.rounded),
            match_gain_db=match_gain_db(self.before, self.after),
            went_over=self.went_over,
            messages=self.messages,
        )


class StoppedError(Exception):
    """The run was asked to stop: the stop file appeared beside the folder written to."""


class _OverFullScaleError(Exception):
    """The integer format cannot hold the result; carries nothing, the caller renders again as float."""


def render(job: RenderJob) -> Rendered:
    """Render one plan item.

    Parameters
    ----------
    job : RenderJob
        Picklable: numbers and paths only.

    Returns
    -------
    Rendered
        A fault of the stem is a ``problem`` here, not an exception.

    Raises
    ------
    OSError, WriteError
        If the target cannot be written (no space left, say): that concerns the whole pass.

    It may be tried again, or even twice at once (an executor that lost sight of a worker): the file appears whole.
    """
    item = job.item
    if item.deliver_as is None or item.input is None:
        return Rendered(stem=item.stem, output=None, before=None, after=None)
    try:
        _still_the_same(job)
        info = probe(job.source)
        with a_try(job.folder) as folder:
            trying = replace(job, folder=folder)
            for path in (item.deliver_as.path, job.float_path):
                make_parents(folder, path)
            rendered = (_copy if item.copied else _process)(trying, info, item.deliver_as)
            _still_the_same(job)
            if rendered.output is not None:
                put(folder, job.folder, rendered.output.path)
    except AudioError as error:
        return Rendered(
            stem=item.stem, output=None, before=None, after=None, problem=str(error).removeprefix(f"{job.source.name}: ")
        )
    return rendered


def _still_the_same(job: RenderJob) -> None:
    if stamp_of(job.source) != job.stamp:
        raise AudioError("the file changed while the pass was being made; run it again")


def match_gain_db(before: Levels | None, after: Levels | None) -> float | None:
    """Return the gain that brings the result back to the loudness received; by RMS where a sound is too short for LUFS."""
    if before is None or after is None:
        return None
    for measure in ("lufs", "rms_dbfs"):
        was, now = getattr(before, measure), getattr(after, measure)
        if was is not None and now is not None:
            return round(float(was) - float(now), 2)
    return None


def _copy(job: RenderJob, info: AudioInfo, deliver: DeliverAs) -> Rendered:
    target = job.folder / deliver.path
    meter = LevelMeter(info.rate_hz, info.channels, info.speakers)
    for block in _blocks(job, info):
        meter.feed(block)
    copy_file(job.source, target)
    output = Output(
        path=deliver.path,
        container=info.container,
        subtype=info.subtype,
        sha256=file_sha256(target),
        samples_sha256=None,
    )
    levels = meter.levels()
    return Rendered(stem=job.item.stem, output=output, before=levels, after=levels)


def foretell(job: RenderJob) -> tuple[Levels, Levels] | None:
    """Return the levels a stem has and would have, from a run through its moves that writes nothing; None where it has none.

    A stem that cannot be read is for `render` to say.
    """
    item = job.item
    if item.deliver_as is None or item.input is None or not item.moves:
        return None
    try:
        info = probe(job.source)
        before, after = (
            LevelMeter(info.rate_hz, info.channels, info.speakers),
            LevelMeter(info.rate_hz, info.channels, info.speakers),
        )
        for result in through(chain(item.moves, info.rate_hz, info.channels), _measured(_blocks(job, info), before)):
            after.feed(result)
    except AudioError:
        return None
    return before.levels(), after.levels()


def _process(job: RenderJob, info: AudioInfo, deliver: DeliverAs) -> Rendered:
    spec = OutputSpec(
        container=deliver.container,
        subtype=deliver.subtype,
        rate_hz=deliver.rate_hz,
        channels=info.channels,
        like=info.wave.fmt if info.wave is not None else b"",
    )
    try:
        return _write(job, info, spec, deliver.path, deliver.frames)
    except _OverFullScaleError:
        rendered = _write(job, info, spec.as_float(), job.float_path, deliver.frames)
    peak = rendered.after.sample_peak_dbfs if rendered.after is not None else None
    message = f"goes {peak or 0.0:.1f} dB over full scale, so it is written as 32-bit float"
    return replace(rendered, messages=(message, *rendered.messages), went_over=True)


def _write(job: RenderJob, info: AudioInfo, spec: OutputSpec, path: str, frames: int) -> Rendered:
    before, after = (
        LevelMeter(info.rate_hz, info.channels, info.speakers),
        LevelMeter(spec.rate_hz, info.channels, info.speakers),
    )
    kept, too_large = read_kept(job.source, info)
    quantiser = Quantiser(spec.bits, job.item.seed or 0, job.item.dither) if spec.bits is not None else None
    overviewer, scale = Overviewer(frames, spec.rate_hz), 1.0 if spec.bits is None else 2.0 ** (1 - spec.bits)
    target = job.folder / path
    with open_writer(target, spec, frames, for_output(kept, info, spec)) as writer:
        stages = chain(job.item.moves, info.rate_hz, info.channels)
        for result in _as_delivered(info, spec, frames, through(stages, _measured(_blocks(job, info), before))):
            _check_peak(result)
            after.feed(result)
            stored = _stored(result, spec, quantiser)
            overviewer.feed(stored, scale)
            writer.write(stored)
    output = Output(
        path=path,
        container=spec.container,
        subtype=spec.subtype,
        sha256=writer.sha256(),
        samples_sha256=writer.samples_sha256(),
    )
    messages = (*reductions(job.item.moves, stages), *_lost([*lost(kept, info, spec), *too_large], spec))
    return Rendered(
        stem=job.item.stem,
        output=output,
        before=before.levels(),
        after=after.levels(),
        messages=messages,
        overview=overviewer.overview(),
    )


def _as_delivered(info: AudioInfo, spec: OutputSpec, frames: int, blocks: Iterable[np.ndarray]) -> Iterator[np.ndarray]:
    """Yield the stem after its moves, at the rate it goes out at and as long as it goes out."""
    left = frames
    resampler = None
    if spec.rate_hz != info.rate_hz:
        resampler = Resampler(info.rate_hz, spec.rate_hz, channels=info.channels, frames=info.frames)
    for moved in blocks:
        result = moved if resampler is None else resampler.process(moved)
        left -= len(result)
        if len(result):
            yield result
    if resampler is not None:
        result = resampler.finish()
        left -= len(result)
        if len(result):
            yield result
    while left > 0:  # the sheet asks for one length
        silence = np.zeros((min(left, BLOCK_FRAMES), info.channels))
        left -= len(silence)
        yield silence


def _measured(blocks: Iterable[np.ndarray], meter: LevelMeter) -> Iterator[np.ndarray]:
    for block in blocks:
        meter.feed(block)
        yield block


def _check_peak(result: np.ndarray) -> None:
    """Refuse what no sound is: the stem fails alone, before a sample of it can reach a speaker."""
    peak = max(float(result.max()), -float(result.min()))
    if not peak <= 10.0 ** (HIGHEST_PEAK_DBFS / 20.0):
        level = f"{20.0 * math.log10(peak):.0f} dB" if math.isfinite(peak) else "without bound"
        raise AudioError(
            f"its moves would take it {level} over full scale; at most {HIGHEST_PEAK_DBFS:g} dB are written; "
            "lower the stem, or tell session.yaml to leave it with a reason"
        )


def _lost(chunks: list[str], spec: OutputSpec) -> tuple[str, ...]:
    return (
        (f"what its file says beside the audio ({', '.join(chunks)}) did not fit into this {spec.container}",)
        if chunks
        else ()
    )


def _stored(result: np.ndarray, spec: OutputSpec, quantiser: Quantiser | None) -> np.ndarray:
    """Return the samples as they are written, interleaved: int32, or little-endian floats."""
    if quantiser is None:
        return np.ascontiguousarray(result, dtype="<f8" if spec.subtype == "DOUBLE" else "<f4")
    quantised = quantiser.process(result)
    if quantised.overs:
        raise _OverFullScaleError
    return quantised.samples


def _blocks(job: RenderJob, info: AudioInfo) -> Iterator[np.ndarray]:
    """Yield the stem's blocks, every sample a number, until the end or until the run is asked to stop."""
    # A file rather than a flag in memory: it reaches the workers of any executor.
    stop = job.folder.parent / STOP_FILE
    for block in read_blocks(job.source, info, RENDER_FRAMES):
        if stop.exists() or not stop.parent.exists():
            raise StoppedError
        if info.bits is None and not are_numbers(block):
            raise AudioError(
                "holds samples that are no numbers (NaN, infinite, or 180 dB over full scale), which would reach the speakers as a "
                "loud click; ask for it again, or tell session.yaml to skip it with a reason"
            )
        yield block
