"""How much sound a page has room for: what of the excerpts is given up first where a song is so dense that a page grows heavy."""

from __future__ import annotations

from dataclasses import dataclass

from stemwright.report.excerpt import SECONDS

# A page of up to 16 stems stays below 12 MB and one of 60 below 30, so that it can be sent and opens on a phone.
FEW, FEW_BYTES = 16, 12_000_000
STEM_BYTES = (30_000_000 - FEW_BYTES) / (60 - FEW)
# What else a page holds: scripts and the strip, and a stem's plots, moves and read-outs (measured: 60 to 75 kB).
PAGE_BYTES, PLOTS_BYTES = 300_000, 90_000
VERY_MANY = 24  # stems: up to here there is room for the usual length


@dataclass(frozen=True)
class Amount:
    """How many excerpts at most, how long each, and the MP3's quality."""

    most: int
    seconds: float
    quality: str

    @property
    def share(self) -> float:
        """Bytes a stem, as a share of those of a second at ``V2``."""
        return self.most * self.seconds * RATES[self.quality]


# Measured on white noise, stereo at 44.1 kHz: 183, 144 and 111 kbit/s; recordings have a half to a third of that.
RATES = {"V2": 1.0, "V4": 0.79, "V6": 0.6}
TOPS_KHZ = {"V2": 18, "V4": 16, "V6": 15}
# The first is for whom there is room. Then the top octave gives way before time, and time before the second excerpt: a second is
# chosen only for stems whose change is not in the first.
AMOUNTS = (
    Amount(2, SECONDS, "V2"),
    Amount(2, SECONDS, "V4"),
    Amount(2, 6.0, "V4"),
    Amount(2, 5.0, "V4"),
    Amount(1, SECONDS, "V4"),
    Amount(1, 6.0, "V4"),
    Amount(1, 5.0, "V4"),
    Amount(1, 4.0, "V4"),
    Amount(1, 4.0, "V6"),
    Amount(1, 3.0, "V6"),
    Amount(1, 2.0, "V6"),
)


def page_bytes(stems: int) -> float:
    """Return what the page of a song of so many stems may come to."""
    return FEW_BYTES + max(stems - FEW, 0) * STEM_BYTES


def audio_bytes(stems: int) -> float:
    """Return what of it the encoded excerpts may have."""
    return page_bytes(stems) - PAGE_BYTES - stems * PLOTS_BYTES


def first_amount(stems: int) -> Amount:
    """Return what a song of so many stems gets where it is not unusually dense."""
    if stems <= FEW:
        return AMOUNTS[0]
    return Amount(1, SECONDS if stems <= VERY_MANY else 6.0, "V4")


def less(tried: Amount, size: float, room: float) -> Amount | None:
    """Return the most that will fit, now that a size is known.

    Parameters
    ----------
    tried : Amount
        What was encoded, ``most`` and ``seconds`` as they came out.
    size, room : float
        Bytes it took, and bytes there are.

    Returns
    -------
    Amount or None
        Never more excerpts than were tried. None where it fits, or where nothing less is worth hearing.
    """
    if size <= room:
        return None
    steps = [Amount(min(each.most, tried.most), each.seconds, each.quality) for each in AMOUNTS]
    smaller = [each for each in steps if each.share < tried.share]
    fitting = (each for each in smaller if size * each.share <= room * tried.share)
    return next(fitting, smaller[-1] if smaller else None)


def given_up(usual: Amount, given: Amount, megabytes: float) -> str:
    """Return a sentence for the reader of a page that has less than usual."""
    length = f"{given.seconds:g} s instead of {usual.seconds:g} s"
    top = f", and little above {TOPS_KHZ[given.quality]} kHz" if given.quality != usual.quality else ""
    return f"These stems are dense: so that the page stays below {megabytes:.0f} MB, excerpts have {length}{top}"
