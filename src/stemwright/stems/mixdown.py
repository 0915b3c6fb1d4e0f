"""Mixdown: many stems into one stream of blocks at one rate, at unity, without ever holding a whole one."""

from __future__ import annotations

import tempfile
from collections import Counter
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from stemwright.errors import AudioError
from stemwright.stems.audio import probe, read_blocks
from stemwright.stems.encoding import open_writer
from stemwright.stems.info import OutputSpec
from stemwright.stems.limits import are_numbers
from stemwright.stems.names import side_of
from stemwright.stems.resample import Resampler, length_at

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator, Sequence

    from stemwright.stems.info import AudioInfo

FRAMES = 16384
AT_ONCE = 48  # files read side by side: few enough for any limit on open files, and for memory


@dataclass(frozen=True, kw_only=True)
class Part:
    """One file of a sum. ``side`` is 0 or 1 for a mono file that is the left or right of a pair, else None."""

    path: Path
    info: AudioInfo
    side: int | None = None


def parts_of(files: dict[str, Path], pairs: dict[str, str]) -> list[Part]:
    """Return the parts of a sum: stems' names to their files; the sides of ``pairs`` go to their sides."""
    parts = []
    for stem, path in files.items():
        found = side_of(stem) if stem in pairs else None
        info = probe(path)
        side = {"L": 0, "R": 1}[found[0]] if found is not None and info.channels == 1 else None
        parts.append(Part(path=path, info=info, side=side))
    return parts


@dataclass(frozen=True)
class Form:
    """What a sum is: rate, channels and length. A mono part without a side goes to the first two channels alike."""

    rate_hz: int
    channels: int
    frames: int


def form_of(parts: Sequence[Part], rate_hz: int | None = None) -> Form:
    """Return the form of a sum: the rate most parts have (or the one given), the most channels, the longest length."""
    if rate_hz is None:
        rates = Counter(part.info.rate_hz for part in parts)
        rate_hz = max(rates, key=lambda rate: (rates[rate], rate))
    channels = max(2 if part.side is not None else part.info.channels for part in parts)
    return Form(rate_hz, channels, max(length_at(part.info.frames, part.info.rate_hz, rate_hz) for part in parts))


def mix(parts: Sequence[Part], form: Form) -> Iterator[np.ndarray]:
    """Yield the sum.

    Parameters
    ----------
    parts : sequence of Part
        Added in this order, so that the same parts give the same sum to the bit.
    form : Form
        From `form_of`.

    Yields
    ------
    np.ndarray, shape=(frames, channels)
        float64; not clipped. All blocks but the last have one length.
    """
    if len(parts) <= AT_ONCE:
        yield from _together([_blocks(part, form) for part in parts], form)
        return
    with tempfile.TemporaryDirectory(prefix="stemwright-sum-") as scratch:
        groups = []
        for start in range(0, len(parts), AT_ONCE):
            path = Path(scratch) / f"{start}.wav"
            write(path, mix(parts[start : start + AT_ONCE], form), form, "DOUBLE")
            groups.append(Part(path=path, info=probe(path)))
        yield from mix(groups, form)


def write(path: Path, blocks: Iterator[np.ndarray], form: Form, subtype: str) -> None:
    """Write blocks to a new WAV file."""
    spec = OutputSpec(container="WAV", subtype=subtype, rate_hz=form.rate_hz, channels=form.channels)
    with open_writer(path, spec, form.frames) as writer:
        for block in blocks:
            writer.write(block)


def _together(sources: list[Iterator[np.ndarray]], form: Form) -> Iterator[np.ndarray]:
    left = form.frames
    while left:
        length = min(FRAMES, left)
        total = np.zeros((form.channels, length)).T  # channel by channel, as what is read
        for source in sources:
            block = next(source, None)
            if block is not None:
                total[: len(block)] += block[:length]
        left -= length
        yield total


def _blocks(part: Part, form: Form) -> Iterator[np.ndarray]:
    """Yield one part at the sum's rate and on its channels, in blocks of one length."""
    held = np.zeros((0, part.info.channels))
    with closing(_at_rate(part, form.rate_hz)) as source:
        for piece in source:
            held = np.concatenate([held, piece]) if len(held) else piece
            while len(held) >= FRAMES:
                yield spread(held[:FRAMES], part, form)
                held = held[FRAMES:]
    if len(held):
        yield spread(held, part, form)


def _at_rate(part: Part, rate_hz: int) -> Generator[np.ndarray, None, None]:
    if part.info.rate_hz == rate_hz:
        yield from _read(part)
        return
    resampler = Resampler(part.info.rate_hz, rate_hz, channels=part.info.channels, frames=part.info.frames)
    for block in _read(part):
        yield resampler.process(block)
    yield resampler.finish()


def _read(part: Part) -> Iterator[np.ndarray]:
    for block in read_blocks(part.path, part.info, FRAMES):
        if part.info.bits is None and not are_numbers(block):
            raise AudioError(f"{part.path.name} holds samples that are no numbers; see: stemwright look SONG")
        yield block


def spread(block: np.ndarray, part: Part, form: Form) -> np.ndarray:
    """Return a part's frames on the channels of a sum; a mono one goes to its side, or to the first two alike."""
    if part.info.channels == form.channels:
        return block
    out = np.zeros((len(block), form.channels))
    if part.side is not None:
        out[:, part.side] = block[:, 0]
    elif part.info.channels == 1:
        out[:, : min(2, form.channels)] = block
    else:
        out[:, : part.info.channels] = block
    return out
