"""Spectrum: rumble, mains hum, a source that ends at a sharp edge, and a sound that is not what its name says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.stems.intake import thresholds as at

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stemwright.stems.findings import Finding
    from stemwright.stems.intake.arrived import Arrived
    from stemwright.stems.intake.heard import Colour


def spectrum(stem: Arrived) -> Iterator[Finding]:
    """Yield what is odd about a stem's spectrum."""
    colour = stem.heard.colour
    if colour is None or stem.heard.peak < at.SILENT:
        return
    yield from _rumble(stem, colour)
    yield from _hum(stem, colour)
    yield from _edge(stem, colour)
    yield from _name(stem, colour)


def _rumble(stem: Arrived, colour: Colour) -> Iterator[Finding]:
    share_db = colour.rumble_dbfs - colour.level_dbfs
    if stem.deep or colour.rumble_dbfs < at.RUMBLE_DBFS or share_db < at.RUMBLE_SHARE_DB:
        return
    yield stem.finding(
        "rumble",
        "warn" if share_db >= at.RUMBLE_GRAVE_DB else "info",
        f"rumble under {at.RUMBLE_HZ:.0f} Hz at {colour.rumble_dbfs:.0f} dBFS, {-share_db:.0f} dB under the whole stem",
        why="it is not heard, takes headroom and makes compressors pump",
        do="a high-pass takes it out; see that this stem's recipe has one",
    )


def _hum(stem: Arrived, colour: Colour) -> Iterator[Finding]:
    if colour.hum is None:
        return
    lines = ", ".join(f"{number * colour.hum.mains_hz:.0f}" for number in colour.hum.harmonics)
    yield stem.finding(
        "hum",
        "warn",
        f"mains hum of {colour.hum.mains_hz:.0f} Hz: lines at {lines} Hz, the strongest {colour.hum.level_dbfs:.0f} dBFS",
        why="it is there whenever the stem is, and every compressor lifts it in the gaps",
        do="ask for a clean print, or notch the lines in a recipe of this song",
    )


def _edge(stem: Arrived, colour: Colour) -> Iterator[Finding]:
    if colour.edge_hz is None:
        return
    half_khz = stem.info.rate_hz / 2000.0
    yield stem.finding(
        "band-edge",
        "warn",
        f"nothing above {colour.edge_hz / 1000:.1f} kHz, a sharp edge; the file could hold {half_khz:g} kHz",
        why="a lossy encoder or a lower sample rate cut it: lifting the air lifts nothing, or the encoder's leavings",
        do="ask for the original; if this is the original, go on",
    )


def _name(stem: Arrived, colour: Colour) -> Iterator[Finding]:
    if stem.sounds == "low" and colour.high_share >= at.NAME_SHARE_HIGH:
        what = f"{colour.high_share:.0%} of its power is above {at.HIGH_BAND_HZ / 1000:g} kHz"
    elif stem.sounds == "high" and colour.low_share >= at.NAME_SHARE_LOW:
        what = f"{colour.low_share:.0%} of its power is below {at.LOW_BAND_HZ:g} Hz"
    elif stem.sounds == "open" and colour.top_share < 10.0 ** (at.TOP_SHARE_DB / 10.0):
        what = f"it is dead above {at.TOP_BAND_HZ / 1000:g} kHz, as samples and lossy files are"
    else:
        return
    yield stem.finding(
        "name-and-sound",
        "warn",
        f"the name says {stem.role}, the sound does not: {what}",
        why="a recipe made for another sound would take away what there is of this one",
        do="listen to it, then give it its role in session.yaml",
    )
