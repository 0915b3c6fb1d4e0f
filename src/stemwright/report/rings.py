"""Rings close up: half an octave around each, before and after, how far it stands out, how certain it is, and what is offered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.plan.ring_offers import offer_in

if TYPE_CHECKING:
    from stemwright.passes.entry import Entry

HALF_SPAN = 2.0**0.25  # a quarter of an octave to each side
POINTS = 120
SMOOTH_OCTAVES = 1.0 / 96.0


@dataclass(frozen=True, kw_only=True)
class Around:
    """A ring and its surroundings.

    ``number`` is its move's, None for one that is only offered; ``line`` are then the words of a note that take it.
    ``levels_db`` are of narrow bands at ``freqs_hz``, by side. ``excess_db`` is what it stands out by, ``certain`` from 0 to 1.
    """

    number: int | None
    freq_hz: float
    q: float
    excess_db: float
    certain: float
    line: str
    freqs_hz: np.ndarray
    levels_db: dict[str, np.ndarray]


def arounds(entry: Entry, powers: dict[str, tuple[np.ndarray, float]]) -> tuple[Around, ...]:
    """Return every ring of a stem close up: those taken, in the order of their moves, then those offered.

    Parameters
    ----------
    entry : Entry
    powers : dict of str to (np.ndarray, float)
        By side, the power of its loudest moments in every bin, shape (bins,), and how far bins are apart in Hz.
    """
    asked: list[tuple[int | None, float, float, float, float, str]] = []
    for number, move in enumerate(entry.item.moves, start=1):
        if move.found is not None:
            excess, certain = (_number(move.found.get(key)) for key in ("excess_db", "confidence"))
            asked.append((number, move.settings["freq_hz"], move.settings.get("q", 10.0), excess, certain, ""))
    for message in entry.item.messages:
        offer = offer_in(message)
        if offer is not None:
            asked.append((None, offer.freq_hz, offer.q, offer.excess_db, offer.certain, offer.line))
    if not asked:
        return ()
    return tuple(_around(one, powers) for one in asked)


def _number(value: object) -> float:
    return float(value) if isinstance(value, (int, float)) else 0.0


def _around(
    asked: tuple[int | None, float, float, float, float, str], powers: dict[str, tuple[np.ndarray, float]]
) -> Around:
    number, freq_hz, q, excess_db, certain, line = asked
    freqs = freq_hz * HALF_SPAN ** np.linspace(-1.0, 1.0, POINTS)
    levels = {side: _levels(power, bin_hz, freqs) for side, (power, bin_hz) in powers.items()}
    return Around(
        number=number,
        freq_hz=freq_hz,
        q=q,
        excess_db=excess_db,
        certain=certain,
        line=line,
        freqs_hz=freqs,
        levels_db=levels,
    )


def _levels(power: np.ndarray, bin_hz: float, freqs_hz: np.ndarray) -> np.ndarray:
    """Return levels of bands about as wide as the transform can tell apart, or a 96th of an octave where that is more."""
    half = np.maximum(freqs_hz * SMOOTH_OCTAVES / 2.0, bin_hz)
    bins = np.arange(len(power)) * bin_hz
    low = max(int((freqs_hz[0] - 3 * half[0]) / bin_hz), 0)
    high = min(int((freqs_hz[-1] + 3 * half[-1]) / bin_hz) + 2, len(power))
    weights = np.exp(-(((bins[np.newaxis, low:high] - freqs_hz[:, np.newaxis]) / half[:, np.newaxis]) ** 2))
    return np.asarray(10.0 * np.log10(np.maximum(weights @ power[low:high], 1e-14)))
