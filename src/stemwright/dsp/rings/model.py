"""What is asked of the ring finder and what it answers: settings, a ring, and the numbers behind it."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Literal

from stemwright.errors import StemwrightError

LOWEST_HZ = 20.0
HIGHEST_HZ = 20000.0
# The three answers: from the first on a ring is taken, from the second on it is offered, below it is no ring. On the
# ``chosen`` packages of tests/bench/rings the first takes 0.09 false notches a clean stem (0.15 from 0.2 on; 0.15 are allowed, and
# packages not seen may be worse).
TAKEN_FROM = 0.25
OFFERED_FROM = 0.12
RingVerdict = Literal["taken", "offered", "no"]


class RingSettingsError(StemwrightError):
    """The settings for finding rings or planning notches contradict each other or are out of range."""


@dataclass(frozen=True)
class RingSettings:
    """Where to look for rings and how many to keep.

    Parameters
    ----------
    from_hz, to_hz : float
        Band to look in, 20 Hz to 20 kHz, ``from_hz`` below ``to_hz``.
    at_most : int
        Most rings to return, 1 to 8.
    least_db : float
        Smallest excess worth returning, 0 to 24 dB.
    least_confidence : float
        Smallest confidence worth returning, 0 to 1. From ``TAKEN_FROM`` on, the default, only rings whose verdict is ``taken``
        are returned; 0 ranks every candidate, for a person to judge.
    offer_only : bool
        Take none by itself: for cymbals, bells and other metal, whose own modes are the instrument.

    Raises
    ------
    RingSettingsError
        If a value is not finite or out of its range, or the bounds cross.
    """

    from_hz: float = 20.0
    to_hz: float = 20000.0
    at_most: int = 2
    least_db: float = 4.0
    least_confidence: float = TAKEN_FROM
    offer_only: bool = False

    def __post_init__(self) -> None:
        ranges = (
            ("from", self.from_hz, LOWEST_HZ, HIGHEST_HZ, " Hz"),
            ("to", self.to_hz, LOWEST_HZ, HIGHEST_HZ, " Hz"),
            ("at_most", self.at_most, 1, 8, ""),
            ("least", self.least_db, 0, 24, " dB"),
            ("least_confidence", self.least_confidence, 0, 1, ""),
        )
        for name, value, low, high, unit in ranges:
            if not (math.isfinite(value) and low <= value <= high):
                raise RingSettingsError(f"rings: {name} is {value:g}{unit}; allowed are {low:g} to {high:g}{unit}")
        if self.from_hz >= self.to_hz:
            raise RingSettingsError(f"rings: from ({self.from_hz:g} Hz) must be below to ({self.to_hz:g} Hz)")


@dataclass(frozen=True)
class RingEvidence:
    """The numbers a ring was judged by.

    Parameters
    ----------
    peak_to_neighbours_db : float
        Mean level in the ring's core over the higher of its two surroundings, in the average (power) spectrum.
    peak_to_harmonics_db : float
        Level at the ring over the loudest of 0.5, 1.5, 2, 3 and 4 times its frequency (PHPR of van Waterschoot & Moonen,
        Proc. IEEE 99(2), 2011, eq. 45). Near or below 0 dB for a partial in a series.
    floor_excess_db : float
        Excess over the near surroundings in the level that is exceeded nine tenths of the active time, under the notes.
    average_excess_db : float
        The same in the average (power) spectrum, where the notes are.
    between_partials_db : float
        Excess that is left after everything narrower than a ring (single partials) is taken out of the floor.
    persistence : float
        Share of the active frames in which the excess is over 3 dB, 0 to 1.
    decay_s : float
        Time to fall 60 dB that a resonator of this frequency and of the measured pole width has (2.1988 Q / f0).
    pitch_independence : float
        The smaller over the larger of floor and average excess: 1 when it is there whatever plays, 0 when only with notes.
    around_db : tuple of float
        The mean level over half an octave around the ring (see ``around_hz``), against the median of its outer halves, dB.
    readings_apart_db : float
        How far three readings of its excess are apart (standard deviation): the level exceeded three quarters of the time,
        the mean level, the mean power. So much less than their mean is taken to be the ring's.
    at_a_bound : bool
        Whether two of the three found no width or height inside their bounds (Q 3 to 100, 0.5 to 40 dB); then it is only offered.
    """

    peak_to_neighbours_db: float
    peak_to_harmonics_db: float
    floor_excess_db: float
    average_excess_db: float
    between_partials_db: float
    persistence: float
    decay_s: float
    pitch_independence: float
    around_db: tuple[float, ...] = ()
    readings_apart_db: float = 0.0
    at_a_bound: bool = False


@dataclass(frozen=True)
class Ring:
    """A narrow band that stands out of the sound's own envelope and stays where it is.

    Parameters
    ----------
    freq_hz : float
        Centre, Hz.
    excess_db : float
        Height over its surroundings, dB: the gain of the bell that would make it.
    q : float
        Q of that bell, as in the Audio EQ Cookbook (``freq_hz / width_hz``).
    width_hz : float
        Width at half the excess in dB.
    share : float
        Share of the active time in which it stands out by 3 dB or more, 0 to 1.
    confidence : float
        0 to 1: the share of such candidates that are rings, where half of all stems have one.
    evidence : RingEvidence
        The numbers behind it.
    verdict : str
        ``taken``: sure enough to be notched unasked. ``offered``: may be one; a person decides. ``no``: listed on request only.
    most_cut_db : float
        How deep a notch may go at most, dB: no deeper than 12 dB (20 dB where a bell explains all of what stands out, as in steady
        noise), nor than does no harm to what lies beside (see ``harmless``).
    """

    freq_hz: float
    excess_db: float
    q: float
    width_hz: float
    share: float
    confidence: float
    evidence: RingEvidence
    verdict: RingVerdict = "taken"
    most_cut_db: float = 24.0

    def as_json(self) -> dict[str, object]:
        """Return plain numbers under their names, ready for ``json.dumps``."""
        data = asdict(self)
        data["evidence"]["around_db"] = list(self.evidence.around_db)
        return data
