"""Levels: clipping, overs between samples, offset, silence, and samples that are no numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.stems.findings import Finding
from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import db

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stemwright.stems.intake.arrived import Arrived
    from stemwright.stems.intake.heard import Heard


def no_numbers(stem: str, heard: Heard, rate_hz: int) -> Finding | None:
    """Return the finding on samples that are no numbers, None if all are."""
    if not heard.bad:
        return None
    where = f"{heard.bad} of them, the first at {heard.first_bad / rate_hz:.3f} s"
    return Finding(
        id="no-numbers",
        severity="stop",
        stem=stem,
        measured=f"holds samples that are no numbers (NaN, infinite, or 180 dB over full scale): {where}",
        why="they would reach the speakers as a loud click, and any filter would spread them over the rest of the stem",
        do="ask for it again, or tell session.yaml to skip it with a reason",
    )


def levels(stem: Arrived) -> Iterator[Finding]:
    """Yield what is wrong with a stem's levels."""
    heard = stem.heard
    if heard.peak < at.SILENT:
        quiet = "digital silence" if heard.peak == 0.0 else f"nothing above {db(heard.peak):.0f} dBFS"
        yield stem.finding(
            "silent",
            "warn",
            f"silent: {quiet} in {stem.info.seconds:.1f} s",
            why="either the wrong track was printed or it was muted",
            do="ask whether this stem should sound; if not, tell session.yaml to skip it with a reason",
        )
        return
    yield from _clipping(stem)
    yield from _clipped_earlier(stem)
    yield from _breaks(stem)
    yield from _overs(stem)
    yield from _offset(stem)


def _clipping(stem: Arrived) -> Iterator[Finding]:
    clipping = stem.heard.clipping
    if clipping is None:
        return
    times = "once" if clipping.runs == 1 else f"{clipping.runs} times"
    longest = f", the longest {clipping.longest} samples at {stem.at(clipping.longest_frame)}"
    yield stem.finding(
        "clipped",
        "warn",
        f"clipped {times}: {at.CLIPPED_SAMPLES} samples or more at full scale, first at {stem.at(clipping.first_frame)}{longest}",
        why="what was cut off does not come back, and lifting the highs makes it plain",
        do="ask for a print with more headroom; if the clipping is wanted, go on",
    )


def _clipped_earlier(stem: Arrived) -> Iterator[Finding]:
    if stem.heard.clipped_earlier is None or stem.heard.clipping is not None:
        return
    clipping, level_dbfs = stem.heard.clipped_earlier
    yield stem.finding(
        "clipped-earlier",
        "warn",
        f"{clipping.runs} flat tops at its own peak of {level_dbfs:.1f} dBFS, the longest {clipping.longest} samples at "
        f"{stem.at(clipping.longest_frame)}, first at {stem.at(clipping.first_frame)}",
        why="it was clipped and turned down afterwards: what was cut off does not come back, and there is no headroom in it",
        do="ask for a print from before that; if the clipping is wanted, go on",
    )


def _breaks(stem: Arrived) -> Iterator[Finding]:
    seconds = max(stem.info.seconds, 1.0)
    breaks = stem.heard.breaks
    for kind, places, most, what, why in (
        ("clicks", breaks.clicks, at.CLICK_MOST, "click", "it is heard as a tick, and what lifts the highs lifts it most"),
        ("dropouts", breaks.dropouts, at.LOST_MOST, "dropout", "samples were lost while it was copied or printed"),
    ):
        if not places or len(places) > most * seconds:
            continue
        listed = ", ".join(stem.at(place) for place in places[:3]) + (", ..." if len(places) > 3 else "")
        yield stem.finding(
            kind,
            "warn",
            f"{len(places)} {what}{'s' if len(places) > 1 else ''}, at {listed}",
            why=why,
            do="listen there; ask for a clean print, or have it repaired before anything else is done",
        )


def _overs(stem: Arrived) -> Iterator[Finding]:
    heard = stem.heard
    if heard.peak > 1.0:
        yield stem.finding(
            "over-full-scale",
            "info",
            f"floating-point samples up to {db(heard.peak):+.1f} dB over full scale",
            why="nothing is lost as long as it stays floating point; an integer file would clip",
            do="nothing here: it is written as float, or trimmed where session.yaml says overs: trim",
        )
    elif heard.true_peak > 1.0 and db(heard.true_peak) >= at.OVER_DBTP + 0.05:  # what shows as +0.1
        yield stem.finding(
            "inter-sample-overs",
            "info",
            f"true peak {db(heard.true_peak):+.1f} dBTP, at {stem.at(heard.true_peak_frame)}; samples reach {db(heard.peak):.1f} dBFS",
            why="converters and lossy encoders clip between the samples; any lift makes it more",
            do="leave headroom after the moves, or ask for a print with a few dB less",
        )


def _offset(stem: Arrived) -> Iterator[Finding]:
    heard = stem.heard
    offset = heard.offset
    steady = heard.offset_share >= at.DC_STEADY_SHARE and stem.info.seconds >= at.DC_LEAST_SECONDS
    if abs(offset) >= at.DC_OFFSET and steady:
        yield stem.finding(
            "dc-offset",
            "warn" if abs(offset) >= at.DC_OFFSET_GRAVE else "info",
            f"DC offset {100 * offset:+.2f} % of full scale ({db(abs(offset)):.0f} dBFS)",
            why="it takes headroom, and cuts and fades click",
            do="a high-pass takes it out; a recipe with one needs nothing more",
        )
