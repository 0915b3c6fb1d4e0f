"""Offers of rings: the message that says what may ring and which note takes it, and what is read back from one."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from stemwright.plan.wording import decibels, frequency

if TYPE_CHECKING:
    from stemwright.dsp.rings import PlannedNotch

# Passes made by earlier versions say first that it was not taken.
_OFFER: Final = re.compile(
    r"(?:^|: )(?P<freq>[\d.]+) (?P<unit>k?Hz) may ring \(\+?(?P<excess>[\d.]+) dB, (?P<certain>\d+) % certain\)"
    r"(?:: offered, and not taken)?; a note takes it: (?P<line>.+)$"
)
_Q: Final = re.compile(r"q ([\d.]+)$")
UNKNOWN_Q: Final = 10.0


@dataclass(frozen=True, kw_only=True)
class RingOffer:
    """What may ring: where, how far it stands out, how certain it is (0 to 1), and the words of a note that take it."""

    freq_hz: float
    q: float
    excess_db: float
    certain: float
    line: str


def offer_words(name: str, notch: PlannedNotch) -> str:
    """Say in a sentence what may ring, and the words of a note that take it; ``name`` is the move's that found it."""
    ring, freq = notch.found, frequency(round(notch.freq_hz, 1))
    return (
        f"{name}: {freq} may ring ({decibels(round(ring.excess_db, 1))}, {100 * ring.confidence:.0f} % certain): offered, "
        f"and not taken; a note takes it: notch {freq} {notch.gain_db:.1f} dB q {ring.q:.0f}"
    )


def offer_in(message: str) -> RingOffer | None:
    """Return what a message of a stem offers; None where it offers no ring."""
    found = _OFFER.search(message)
    if found is None:
        return None
    width = _Q.search(found["line"])
    return RingOffer(
        freq_hz=float(found["freq"]) * (1000.0 if found["unit"] == "kHz" else 1.0),
        q=float(width[1]) if width else UNKNOWN_Q,
        excess_db=float(found["excess"]),
        certain=float(found["certain"]) / 100.0,
        line=found["line"],
    )
