"""Delivered: a stem's sound from its file to the samples that are written: read, at its rate and length, no louder than sound is."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stemwright.errors import AudioError
from stemwright.stems.audio import BLOCK_FRAMES, read_blocks
from stemwright.stems.limits import HIGHEST_PEAK_DBFS, are_numbers
from stemwright.stems.resample import Resampler

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from stemwright.dsp.dither import Quantiser
    from stemwright.dsp.loudness import LevelMeter
    from stemwright.stems.info import AudioInfo, OutputSpec

STOP_FILE = "stop"
RENDER_FRAMES = 65536  # smaller blocks cost more in calls than they save in cache: 2.0 s at 2048, 1.1 at 8192, 0.9 here


class StoppedError(Exception):
    """The run was asked to stop: the stop file appeared beside the folder written to."""


class OverFullScaleError(Exception):
    """The integer format cannot hold the result; carries nothing, the caller renders again as float."""


def as_delivered(info: AudioInfo, spec: OutputSpec, frames: int, blocks: Iterable[np.ndarray]) -> Iterator[np.ndarray]:
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


def measured(blocks: Iterable[np.ndarray], meter: LevelMeter) -> Iterator[np.ndarray]:
    """Yield blocks that a meter was fed with on their way."""
    for block in blocks:
        meter.feed(block)
        yield block


def check_peak(result: np.ndarray) -> None:
    """Refuse what no sound is: the stem fails alone, before a sample of it can reach a speaker."""
    peak = max(float(result.max()), -float(result.min()))
    if not peak <= 10.0 ** (HIGHEST_PEAK_DBFS / 20.0):
        level = f"{20.0 * math.log10(peak):.0f} dB" if math.isfinite(peak) else "without bound"
        raise AudioError(
            f"its moves would take it {level} over full scale; at most {HIGHEST_PEAK_DBFS:g} dB are written; "
            "lower the stem, or tell session.yaml to leave it with a reason"
        )


def stored_as(result: np.ndarray, spec: OutputSpec, quantiser: Quantiser | None) -> np.ndarray:
    """Return the samples as they are written, interleaved: int32, or little-endian floats."""
    if quantiser is None:
        return np.ascontiguousarray(result, dtype="<f8" if spec.subtype == "DOUBLE" else "<f4")
    quantised = quantiser.process(result)
    if quantised.overs:
        raise OverFullScaleError
    return quantised.samples


def blocks_of(source: Path, info: AudioInfo, building: Path | None) -> Iterator[np.ndarray]:
    """Yield a stem's blocks, every sample a number, until the end or until the run is asked to stop.

    Parameters
    ----------
    source : Path
        The stem as received.
    info : AudioInfo
    building : Path or None
        The folder of the pass that is made; a file in it says stop. None where no pass is.

    Raises
    ------
    StoppedError
        If it does, or the folder is gone.
    AudioError
        If the stem cannot be read, or a sample of it is no number.
    """
    # A file rather than a flag in memory: it reaches the workers of any executor.
    stop = None if building is None else building / STOP_FILE
    for block in read_blocks(source, info, RENDER_FRAMES):
        if stop is not None and (stop.exists() or not stop.parent.exists()):
            raise StoppedError
        if info.bits is None and not are_numbers(block):
            raise AudioError(
                "holds samples that are no numbers (NaN, infinite, or 180 dB over full scale), which would reach the speakers as a "
                "loud click; ask for it again, or tell session.yaml to skip it with a reason"
            )
        yield block
