"""stemwright: prep stems from per-role recipes and get any pass back to the bit.

The names below are the public interface. Each is loaded when it is first asked for, so that the command line can answer
``--help`` without numpy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from stemwright.dsp.prototypes import magnitude_db
    from stemwright.dsp.rings import Ring, RingFinder, RingSettings, find_rings, plan_notches
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
    from stemwright.passes.make import Made, Maker
    from stemwright.passes.manifest import Manifest, read_manifest
    from stemwright.passes.prep import look, plan, prep
    from stemwright.passes.render import RenderJob, render
    from stemwright.passes.song import Song, open_song
    from stemwright.passes.verify import verify
    from stemwright.plan.items import PlanItem, PlannedMove
    from stemwright.recipes.library import Library, load_library, search_dirs

_HOMES = {
    "dsp.prototypes": ("magnitude_db",),
    "dsp.rings": ("Ring", "RingFinder", "RingSettings", "find_rings", "plan_notches"),
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
    "passes.make": ("Made", "Maker"),
    "passes.manifest": ("Manifest", "read_manifest"),
    "passes.prep": ("look", "plan", "prep"),
    "passes.render": ("RenderJob", "render"),
    "passes.song": ("Song", "open_song"),
    "passes.verify": ("verify",),
    "plan.items": ("PlanItem", "PlannedMove"),
    "recipes.library": ("Library", "load_library", "search_dirs"),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = [
    "AudioError",
    "DesignError",
    "Library",
    "Made",
    "Maker",
    "Manifest",
    "ManifestError",
    "PlanItem",
    "PlannedMove",
    "RecipeError",
    "RenderJob",
    "Ring",
    "RingFinder",
    "RingSettings",
    "Song",
    "SongError",
    "StemwrightError",
    "WriteError",
    "design",
    "find_rings",
    "load_library",
    "look",
    "magnitude_db",
    "open_song",
    "plan",
    "plan_notches",
    "prep",
    "read_manifest",
    "render",
    "search_dirs",
    "verify",
]


def __getattr__(name: str) -> Any:  # noqa: ANN401 - whatever the name stands for
    """Load a public name from the room it lives in."""
    if name not in _HOME_OF:
        raise AttributeError(f"module 'stemwright' has no attribute {name!r}")
    return getattr(import_module(f"stemwright.{_HOME_OF[name]}"), name)
