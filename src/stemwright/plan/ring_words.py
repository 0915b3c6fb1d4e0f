"""A ring in words and as a small picture: why it was taken, offered or left, and half an octave around it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.plan.wording import frequency

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.dsp.rings import PlannedNotch, Ring

WHATEVER_PLAYS = 0.6
MOSTLY = 0.5
_BARS = "▁▂▃▄▅▆▇█"


def why(ring: Ring) -> str:
    """Return in a sentence what speaks for a ring and what against it."""
    from stemwright.dsp.rings import TAKEN_FROM  # noqa: PLC0415 - numpy only when it is needed

    numbers = ring.evidence
    ms = 1000 * numbers.decay_s
    always = "whatever plays" if numbers.pitch_independence >= WHATEVER_PLAYS else "more with some notes than with others"
    there = f"stands {ring.excess_db:.1f} dB out of its surroundings for {100 * ring.share:.0f} % of the time, {always}"
    against = []
    if numbers.peak_to_harmonics_db < 0:
        against.append("something an octave or a fifth away is louder, as with a partial")
    if ring.share < MOSTLY:
        against.append("most of the time it is not there")
    if ring.verdict == "offered" and ring.confidence >= TAKEN_FROM:
        against.append(
            "only offered: by its recipe, since its width cannot be told, or since a notch would harm what is beside"
        )
    return f"{there}; so narrow a resonator falls 60 dB in {ms:.0f} ms{'; but ' if against else ''}{', and '.join(against)}"


def picture(levels_db: Sequence[float], notch_db: Sequence[float] | None = None) -> str:
    """Return levels as bars, from 0 dB (the surroundings) to the highest level as received."""
    top = max(1.0, *levels_db)
    after = levels_db if notch_db is None else [level + cut for level, cut in zip(levels_db, notch_db, strict=True)]
    return "".join(_BARS[round(min(max(level / top, 0.0), 1.0) * (len(_BARS) - 1))] for level in after)


def pictures(ring: Ring, notch: PlannedNotch | None) -> list[str]:
    """Return lines that show half an octave around a ring, as received and, where there is one, with the notch."""
    from stemwright.dsp.prototypes import magnitude_db  # noqa: PLC0415 - numpy only when it is needed
    from stemwright.dsp.rings import around_hz  # noqa: PLC0415

    freq_hz, levels_db = around_hz(ring), ring.evidence.around_db
    ends = [frequency(float(round(hz, -1 if hz >= 1000 else 0))) for hz in (freq_hz[0], freq_hz[-1])]
    lines = [f"{ends[0]} {picture(levels_db)} {ends[1]}  as received, {max(levels_db):.0f} dB high"]
    if notch is not None:
        cut_db = [float(gain) for gain in magnitude_db("notch", notch.settings(), freq_hz)]
        lines.append(f"{ends[0]} {picture(levels_db, cut_db)} {ends[1]}  with the notch")
    return lines
