"""Rings: narrow bands that stand out and stay, found in the whole stem, and the notches that take part of them out."""

from stemwright.dsp.rings.finder import RingFinder, find_rings
from stemwright.dsp.rings.model import Ring, RingEvidence, RingSettings, RingSettingsError
from stemwright.dsp.rings.notches import BandLoss, PlannedNotch, band_losses, plan_notches

__all__ = [
    "BandLoss",
    "PlannedNotch",
    "Ring",
    "RingEvidence",
    "RingFinder",
    "RingSettings",
    "RingSettingsError",
    "band_losses",
    "find_rings",
    "plan_notches",
]
