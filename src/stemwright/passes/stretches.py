"""Stretches: a few seconds here and there of all stems, added up and measured, in a fraction of the time of the whole sum.

Conventions
-----------
Stretches are spread evenly over the song and read from every stem at unity: a real sum, phase in it, of a small part of the
sound; a song no longer than all of them is read whole. Edges inside a song are faded over 10 ms. A band's level is that of the
mean of all channels, as RMS: a full-scale sine has -3.01 dBFS.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.loudness import LevelMeter, Levels
from stemwright.errors import AudioError
from stemwright.passes.heard import CENTRES_HZ, FFT, spectrum_of
from stemwright.stems.audio import read_span
from stemwright.stems.limits import are_numbers
from stemwright.stems.mixdown import spread
from stemwright.stems.resample import Resampler, length_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.stems.mixdown import Form, Part

STRETCHES = 8
STRETCH_S = 3.0
FADE_S = 0.01
BANDS_HZ = (20.0, 60.0, 120.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 20_000.0)
_LEAST = 1e-20  # of the whole power: less is no sound


@dataclass(frozen=True)
class Stretch:
    """A part of a song: where it starts and how long it is, both in seconds."""

    start_s: float
    seconds: float


@dataclass(frozen=True, kw_only=True)
class SumLevels:
    """One sum over all stretches: what a meter says of it, and its level in each of nine bands; None where nothing sounds."""

    levels: Levels
    bands_dbfs: tuple[float | None, ...]


def stretches_of(seconds: float) -> tuple[Stretch, ...]:
    """Return the stretches of a song: the middles of as many equal parts, or all of a short one."""
    if seconds <= STRETCHES * STRETCH_S:
        return (Stretch(0.0, seconds),)
    part = seconds / STRETCHES
    return tuple(Stretch(round(number * part + (part - STRETCH_S) / 2.0, 3), STRETCH_S) for number in range(STRETCHES))


def in_bands(power: np.ndarray) -> np.ndarray:
    """Return the power in nine bands, shape (9,), of that in third octaves, shape (31,), each by its nominal frequency."""
    # 2 kHz lies at 1995 Hz, 20 Hz at 19.95 (IEC 61260-1): half a third octave lower nothing is missed and nothing else met.
    edges = [int(np.searchsorted(CENTRES_HZ, low / 10.0**0.05)) for low in BANDS_HZ[:-1]]
    return np.array([power[low:high].sum() for low, high in pairwise([*edges, len(power)])])


def measure(parts: Sequence[Part], form: Form, stretches: Sequence[Stretch]) -> SumLevels:
    """Add up the stretches of some files and measure the sum; a file that ends before a stretch is silent there."""
    meter = LevelMeter(form.rate_hz, form.channels)
    sums = []
    for stretch in stretches:
        frames = round(stretch.seconds * form.rate_hz)
        total = np.zeros((form.channels, frames)).T  # channel by channel, as what is read
        for part in parts:
            audio = read_stretch(part, form, stretch)[:frames]
            total[: len(audio)] += audio
        if len(stretches) > 1:
            fade = np.linspace(0.0, 1.0, round(FADE_S * form.rate_hz), endpoint=False)[:, np.newaxis]
            total[: len(fade)] *= fade
            total[-len(fade) :] *= fade[::-1]
        meter.feed(total)
        sums.append(total)
    power = in_bands(spectrum_of(sums, form.rate_hz))
    power *= 2.0 / (float(np.sum(np.hanning(FFT) ** 2)) * max(sum(map(len, sums)), 1))  # Parseval; one side of the spectrum
    bands = tuple(_level(float(each)) if each > _LEAST * power.sum() else None for each in power)
    return SumLevels(levels=meter.levels().rounded, bands_dbfs=bands)


def _level(power: float) -> float:
    return round(float(10.0 * np.log10(power)), 2) + 0.0


def read_stretch(part: Part, form: Form, stretch: Stretch) -> np.ndarray:
    """Return a stretch of one file at the rate and on the channels of a sum; shorter where the file ends."""
    info = part.info
    audio = read_span(part.path, info, round(stretch.start_s * info.rate_hz), round(stretch.seconds * info.rate_hz))
    if info.bits is None and not are_numbers(audio):
        raise AudioError(f"{part.path.name} holds samples that are no numbers; see: stemwright look SONG")
    if info.rate_hz != form.rate_hz and len(audio):
        resampler = Resampler(info.rate_hz, form.rate_hz, channels=info.channels, frames=len(audio))
        audio = np.concatenate([resampler.process(audio), resampler.finish()])[
            : length_at(len(audio), info.rate_hz, form.rate_hz)
        ]
    return spread(audio, part, form)
