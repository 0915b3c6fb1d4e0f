"""What was heard of one stem: numbers only, small, the same however many blocks it came in."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stemwright.dsp.overview import Overview


@dataclass(frozen=True, kw_only=True)
class Clipping:
    """Runs of samples at full scale: how many, the longest (frames), and where the first and the longest are."""

    runs: int
    longest: int
    first_frame: int
    longest_frame: int


@dataclass(frozen=True)
class Breaks:
    """Where clicks and dropouts begin, in frames, in order."""

    clicks: tuple[int, ...]
    dropouts: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Hum:
    """Mains hum: its fundamental in Hz, the numbers of its harmonics, and the strongest one's level."""

    mains_hz: float
    harmonics: tuple[int, ...]
    level_dbfs: float


@dataclass(frozen=True, kw_only=True)
class Colour:
    """What the spectra say. Levels in dBFS (a full-scale square is 0), shares of what is above rumble from 0 to 1.

    ``under`` has the power from 5 Hz up to each of some corners.
    """

    level_dbfs: float
    rumble_dbfs: float
    low_share: float
    high_share: float
    top_share: float
    hum: Hum | None
    edge_hz: float | None
    under: tuple[tuple[float, float], ...] = ()

    def under_dbfs(self, freq_hz: float) -> float:
        """Return the level from 5 Hz up to a frequency, its power interpolated between the corners that were kept."""
        before, total = 5.0, 0.0
        for corner_hz, power in self.under:
            if freq_hz <= corner_hz:
                return db(total + (power - total) * max(freq_hz - before, 0.0) / (corner_hz - before), 10.0)
            before, total = corner_hz, power
        return db(total, 10.0)


@dataclass(frozen=True, kw_only=True)
class Heard:
    """What was heard of one stem.

    ``peaks`` and ``powers`` (mean squares) have one number a channel. ``offset`` is the mean of the channel that has most of
    it, ``offset_share`` the share of places it was found at. ``cross`` is the mean product of left and
    right, None unless there are two channels. ``energies`` has one number a block, ``first_sound`` and ``last_sound`` are
    frames, None in a silent stem. ``true_peak`` was only looked for near full scale. ``bad`` counts samples that are no
    numbers. ``clipped_earlier`` are flat tops below full scale, and their level in dBFS. ``overview`` is for who draws the stem;
    None where samples were no numbers.
    """

    frames: int
    peaks: tuple[float, ...]
    powers: tuple[float, ...]
    offset: float
    offset_share: float
    cross: float | None
    energies: tuple[float, ...]
    first_sound: int | None
    last_sound: int | None
    bad: int
    first_bad: int
    clipping: Clipping | None
    true_peak: float
    true_peak_frame: int
    colour: Colour | None
    clipped_earlier: tuple[Clipping, float] | None = None
    breaks: Breaks = Breaks((), ())
    overview: Overview | None = field(default=None, compare=False)

    @property
    def peak(self) -> float:
        """Highest sample of all channels, linear."""
        return max(self.peaks, default=0.0)


def db(value: float, factor: float = 20.0) -> float:
    """Return decibels, -200 for nothing at all."""
    return max(factor * math.log10(value), -200.0) if value > 0.0 else -200.0
