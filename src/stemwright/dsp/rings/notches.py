"""Rings to notches: how deep, how wide, and no deeper than leaves the sound whole.

Conventions
-----------
A notch is the analog bell of the Audio EQ Cookbook with a negative gain. A ring of excess E and Q is undone exactly by
a notch of -E dB and the same Q, so a notch of half of E leaves half of the excess in dB; it is as wide as the ring at any
depth.

**Hollow guard.** The loss of a band is the power that all notches together take from a sound whose spectrum is flat
(equal power per Hz) inside that band: ``-10 log10(mean over the band of |H(f)|^2)``. Bands are the third-octave bands of
IEC 61260-1, base 10: mid frequencies ``1000 * 10^(x/10)`` Hz, edges a factor of ``10^(1/20)`` to each side.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from stemwright.dsp.prototypes import magnitude_db
from stemwright.dsp.rings.model import RingSettingsError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.dsp.rings.model import Ring

Floats = NDArray[np.float64]

MOST_BAND_LOSS_DB: Final = 3.0
_TOUCHES_DB: Final = 0.1
_ROUNDING_DB: Final = 0.005  # so that a gain rounded to 0.01 dB still keeps within the limit
_BAND_POINTS: Final = 2000
_FIRST_BAND, _LAST_BAND = -18, 13
_NOMINAL: Final = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0)  # IEC 61260-1: nominal mid frequencies of one decade


@dataclass(frozen=True)
class PlannedNotch:
    """One notch, with the ring it answers.

    Parameters
    ----------
    freq_hz : float
        Centre, Hz.
    gain_db : float
        Gain at the centre, dB, below 0.
    q : float
        Q as in the Audio EQ Cookbook; the ring's own.
    asked_db : float
        Gain that the depth and the deepest allowed asked for; lower than ``gain_db`` where the hollow guard gave way.
    gave_way : str
        What the hollow guard did to this notch and why, in a sentence; empty when it did nothing.
    found : Ring
        The ring, with its evidence.
    """

    freq_hz: float
    gain_db: float
    q: float
    asked_db: float
    gave_way: str
    found: Ring

    def settings(self) -> dict[str, float]:
        """Return the settings of a ``notch`` move."""
        return {"freq_hz": self.freq_hz, "gain_db": self.gain_db, "q": self.q}

    def found_as_json(self) -> dict[str, object]:
        """Return the evidence for a manifest: the ring's numbers, the gain asked for, and what the guard said."""
        return self.found.as_json() | {"asked_db": self.asked_db, "gave_way": self.gave_way}


@dataclass(frozen=True)
class BandLoss:
    """What notches take from one third-octave band: its exact and nominal mid frequency, Hz, and the loss, dB."""

    mid_hz: float
    nominal_hz: float
    loss_db: float


def band_losses(notches: Sequence[dict[str, float]]) -> list[BandLoss]:
    """Return the loss of every third-octave band from 16 Hz to 20 kHz.

    Parameters
    ----------
    notches : sequence of dict
        Settings of notch moves: ``freq_hz``, ``gain_db``, ``q``.
    """
    return [_band_loss(band, notches) for band in range(_FIRST_BAND, _LAST_BAND + 1)]


def plan_notches(
    rings: Sequence[Ring],
    *,
    depth_percent: float = 50.0,
    deepest_db: float = 6.0,
    most_band_loss_db: float = MOST_BAND_LOSS_DB,
) -> list[PlannedNotch]:
    """Plan one notch for each ring.

    Parameters
    ----------
    rings : sequence of Ring
        As found.
    depth_percent : float
        Share of each excess in dB to take out, 0 to 100 %.
    deepest_db : float
        No notch is deeper than this, 0 to 24 dB.
    most_band_loss_db : float
        Most that any third-octave band may lose to all notches together, dB.

    Returns
    -------
    list of PlannedNotch
        In the order of the rings; rings whose notch would be nothing (under 0.05 dB) are left out.

    Raises
    ------
    RingSettingsError
        If the depth or the deepest is out of its range.
    """
    if not 0 <= depth_percent <= 100:
        raise RingSettingsError(f"rings: depth is {depth_percent:g} %; allowed are 0 to 100 %")
    if not 0 <= deepest_db <= 24:
        raise RingSettingsError(f"rings: deepest is {deepest_db:g} dB; allowed are 0 to 24 dB")
    if not most_band_loss_db > 0:
        raise RingSettingsError(f"rings: most_band_loss is {most_band_loss_db:g} dB; it must be above 0")
    notches = []
    for ring in rings:
        gain_db = -min(ring.excess_db * depth_percent / 100, deepest_db, ring.most_cut_db)
        if gain_db < -0.05:
            notches.append(PlannedNotch(ring.freq_hz, gain_db, ring.q, gain_db, "", ring))
    return _kept_whole(notches, most_band_loss_db)


def _kept_whole(notches: list[PlannedNotch], most_db: float) -> list[PlannedNotch]:
    """Ease the notches that reach into the worst band until it loses no more than allowed, then those of the next."""
    bands = range(_FIRST_BAND, _LAST_BAND + 1)
    while True:
        moves = [n.settings() for n in notches]
        loss, band = max((_band_loss(band, moves).loss_db, band) for band in bands)
        if loss <= most_db:  # easing a notch lowers the loss of every band, so no band comes up twice
            return notches
        reach = [_band_loss(band, [move]).loss_db >= _TOUCHES_DB for move in moves]
        share = _largest_share(band, notches, reach, most_db)
        worst = _band_loss(band, [move | {"gain_db": n.asked_db} for move, n in zip(moves, notches, strict=True)])
        notches = [_eased(n, share, worst, most_db) if touches else n for n, touches in zip(notches, reach, strict=True)]


def _eased(notch: PlannedNotch, share: float, band: BandLoss, most_db: float) -> PlannedNotch:
    gain_db = notch.gain_db * share
    text = (
        f"the notch at {_spoken(notch.freq_hz)} takes {-gain_db:.1f} dB instead of {-notch.asked_db:.1f} dB: "
        f"the third-octave band at {_spoken(band.nominal_hz)} would lose {band.loss_db:.1f} dB, "
        f"and more than {most_db:g} dB hollows it out"
    )
    return replace(notch, gain_db=gain_db, gave_way=text)


def _largest_share(band: int, notches: list[PlannedNotch], reach: list[bool], most_db: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(24):
        share = (low + high) / 2
        moves = [
            n.settings() | {"gain_db": n.gain_db * (share if touches else 1.0)}
            for n, touches in zip(notches, reach, strict=True)
        ]
        if _band_loss(band, moves).loss_db > most_db - _ROUNDING_DB:
            high = share
        else:
            low = share
    return low


def _band_loss(band: int, notches: Sequence[dict[str, float]]) -> BandLoss:
    mid_hz = 1000 * 10 ** (band / 10)
    low_hz, high_hz = mid_hz * 10**-0.05, mid_hz * 10**0.05
    freq_hz = low_hz + (np.arange(_BAND_POINTS) + 0.5) * (high_hz - low_hz) / _BAND_POINTS
    total_db: Floats = np.zeros(_BAND_POINTS)
    for notch in notches:
        total_db = total_db + magnitude_db("notch", notch, freq_hz)
    loss_db = -10 * float(np.log10(np.mean(10 ** (total_db / 10))))
    return BandLoss(mid_hz, _NOMINAL[band % 10] * 10 ** (3 + band // 10), loss_db)


def _spoken(freq_hz: float) -> str:
    return f"{freq_hz / 1000:.4g} kHz" if freq_hz >= 1000 else f"{freq_hz:.4g} Hz"
