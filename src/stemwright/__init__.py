"""stemwright: prep stems from per-role recipes and get any pass back to the bit.

The names below are the public interface: `Song`, what it returns, and the arithmetic behind a move. Each is loaded when it is
first asked for, so that the command line can answer ``--help`` without numpy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stemwright.door.song import Song
    from stemwright.dsp.prototypes import magnitude_db
    from stemwright.dsp.rings import PlannedNotch, Ring, RingFinder, RingSettings, find_rings, plan_notches
    from stemwright.dsp.sections import design
    from stemwright.errors import (
        AudioError,
        DesignError,
        ManifestError,
        RecipeError,
        SongError,
        StemwrightError,
        WriteError,
    )
    from stemwright.handover.pack import Packed
    from stemwright.handover.sum import Summed
    from stemwright.passes.balance import Judged
    from stemwright.passes.compare import Compared, StemChange
    from stemwright.passes.history import PassSummary
    from stemwright.passes.keep import Kept
    from stemwright.passes.look import Look
    from stemwright.passes.make import Made
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.manifest_file import read_manifest
    from stemwright.passes.note import NotePlan
    from stemwright.passes.recall import Recalled, Verdict
    from stemwright.passes.verify import Verified
    from stemwright.plan.items import PlanItem, PlannedMove
    from stemwright.plan.rings_in_file import RingsInFile
    from stemwright.report.page import Written

    __version__: str

_HOMES = {
    "door.song": ("Song",),
    "dsp.prototypes": ("magnitude_db",),
    "dsp.rings": (
        "PlannedNotch",
        "Ring",
        "RingFinder",
        "RingSettings",
        "find_rings",
        "plan_notches",
    ),
    "dsp.sections": ("design",),
    "errors": (
        "AudioError",
        "DesignError",
        "ManifestError",
        "RecipeError",
        "SongError",
        "StemwrightError",
        "WriteError",
    ),
    "handover.pack": ("Packed",),
    "handover.sum": ("Summed",),
    "passes.balance": ("Judged",),
    "passes.compare": (
        "Compared",
        "StemChange",
    ),
    "passes.history": ("PassSummary",),
    "passes.keep": ("Kept",),
    "passes.make": ("Made",),
    "passes.entry": ("Entry",),
    "passes.manifest": ("Manifest",),
    "passes.manifest_file": ("read_manifest",),
    "passes.note": ("NotePlan",),
    "passes.look": ("Look",),
    "passes.recall": (
        "Recalled",
        "Verdict",
    ),
    "passes.verify": ("Verified",),
    "plan.items": (
        "PlanItem",
        "PlannedMove",
    ),
    "plan.rings_in_file": ("RingsInFile",),
    "report.page": ("Written",),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "AudioError",
    "Compared",
    "DesignError",
    "Entry",
    "Judged",
    "Kept",
    "Look",
    "Made",
    "Manifest",
    "ManifestError",
    "NotePlan",
    "Packed",
    "PassSummary",
    "PlanItem",
    "PlannedMove",
    "PlannedNotch",
    "Recalled",
    "RecipeError",
    "Ring",
    "RingFinder",
    "RingSettings",
    "RingsInFile",
    "Song",
    "SongError",
    "StemChange",
    "StemwrightError",
    "Summed",
    "Verdict",
    "Verified",
    "WriteError",
    "Written",
    "design",
    "find_rings",
    "magnitude_db",
    "plan_notches",
    "read_manifest",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - whatever the name stands for
    """Load a public name from the room it lives in; the version is looked up only for those who ask."""
    if name == "__version__":
        return _version()
    if name not in _HOME_OF:
        raise AttributeError(f"module 'stemwright' has no attribute {name!r}")
    return getattr(import_module(f"stemwright.{_HOME_OF[name]}"), name)


def _version() -> str:
    # Imported here: it loads the standard library's mail parser, a third of the time of --help.
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415

    try:
        return version("stemwright")
    except PackageNotFoundError:  # the source tree on a path, not installed
        return "0"
