"""Rings: narrow bands that stand out and stay, found in the whole stem, and the notches that take part of them out."""

from stemwright.dsp.rings.evidence import around_hz
from stemwright.dsp.rings.finder import RingFinder, find_rings
from stemwright.dsp.rings.model import (
    OFFERED_FROM,
    TAKEN_FROM,
    Ring,
    RingEvidence,
    RingSettings,
    RingSettingsError,
    RingVerdict,
)
from stemwright.dsp.rings.notches import BandLoss, PlannedNotch, band_losses, plan_notches

__all__ = [
    "OFFERED_FROM",
    "TAKEN_FROM",
    "BandLoss",
    "PlannedNotch",
    "Ring",
    "RingEvidence",
    "RingFinder",
    "RingSettings",
    "RingSettingsError",
    "RingVerdict",
    "around_hz",
    "band_losses",
    "find_rings",
    "plan_notches",
]
