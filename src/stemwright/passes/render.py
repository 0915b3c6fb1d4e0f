"""Render: one plan item in, one file and what was measured out; pure, so that any executor may map it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stemwright.dsp.dither import Quantiser
from stemwright.dsp.loudness import LevelMeter, Levels
from stemwright.dsp.overview import Overview, Overviewer
from stemwright.errors import AudioError
from stemwright.passes.copying import copy_file
from stemwright.passes.delivered import OverFullScaleError, as_delivered, blocks_of, check_peak, measured, stored_as
from stemwright.passes.entry import Entry, LevelPair, Output
from stemwright.passes.stages import chain, reductions, through
from stemwright.passes.tries import a_try, make_parents, put
from stemwright.stems.audio import probe
from stemwright.stems.chunks import for_output, lost, read_kept
from stemwright.stems.encoding import open_writer
from stemwright.stems.info import OutputSpec
from stemwright.stems.survey import Stamp, file_sha256, stamp_of

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.plan.items import DeliverAs, PlanItem
    from stemwright.stems.info import AudioInfo


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
    for block in blocks_of(job.source, info, job.folder.parent):
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
        blocks = measured(blocks_of(job.source, info, None), before)
        for result in through(chain(item.moves, info.rate_hz, info.channels), blocks):
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
    except OverFullScaleError:
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
    digest = hashlib.sha256()
    overviewer, scale = Overviewer(frames, spec.rate_hz), 1.0 if spec.bits is None else 2.0 ** (1 - spec.bits)
    target = job.folder / path
    with open_writer(target, spec, frames, for_output(kept, info, spec)) as writer:
        stages = chain(job.item.moves, info.rate_hz, info.channels)
        blocks = measured(blocks_of(job.source, info, job.folder.parent), before)
        for result in as_delivered(info, spec, frames, through(stages, blocks)):
            check_peak(result)
            after.feed(result)
            stored = stored_as(result, spec, quantiser)
            digest.update(stored.data)
            overviewer.feed(stored, scale)
            writer.write(stored)
    output = Output(
        path=path,
        container=spec.container,
        subtype=spec.subtype,
        sha256=writer.sha256(),
        samples_sha256=digest.hexdigest(),
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


def _lost(chunks: list[str], spec: OutputSpec) -> tuple[str, ...]:
    return (
        (f"what its file says beside the audio ({', '.join(chunks)}) did not fit into this {spec.container}",)
        if chunks
        else ()
    )
