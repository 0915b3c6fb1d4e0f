"""Intake findings for a page: the stems as received heard again, with the roles that the manifest gave them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.errors import RecipeError
from stemwright.passes.history import recorded_layers
from stemwright.recipes.library import load_library
from stemwright.stems.intake import Arrived, inquire
from stemwright.stems.names import pairs
from stemwright.stems.opening import wrong_link
from stemwright.stems.survey import begin_survey

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.recipes.recipe import Recipe
    from stemwright.stems.findings import Finding


def findings_of(song: SongFolder, manifest: Manifest, executor: Executor) -> list[Finding]:
    """Return what is to be said about the stems of a pass as they were received.

    Parameters
    ----------
    song : SongFolder
    manifest : Manifest
        Of one of its passes.
    executor : Executor
        Listens to the stems.
    """
    entries = {
        stem: entry for stem, entry in manifest.entries.items() if entry.item.status != "skipped" and entry.item.input
    }
    partners = pairs(entries)
    found: list[Finding] = []
    arrived = []
    sources = {
        stem: path
        for stem, entry in entries.items()
        if (received := entry.item.input) is not None
        and wrong_link(path := song.folder / received.path, song.folder) is None
    }
    recipes = _recorded_recipes(manifest)
    for facts in (job.result() for job in begin_survey(sources, executor, hashed=False)):
        found.extend(facts.findings)
        if facts.info is not None and facts.heard is not None and facts.usable:
            recipe = recipes.get(entries[facts.stem].item.recipe or "")
            arrived.append(
                Arrived(
                    stem=facts.stem,
                    source=facts.source,
                    info=facts.info,
                    heard=facts.heard,
                    marks=facts.marks,
                    role=entries[facts.stem].item.role,
                    sounds=recipe.sounds if recipe else None,
                    deep=recipe is not None and recipe.deep,
                    partner=partners.get(facts.stem),
                )
            )
    return [*found, *inquire(arrived, list(entries))]


def _recorded_recipes(manifest: Manifest) -> dict[str, Recipe]:
    """Return the recipes as the manifest holds them, by name; none where they are no longer readable."""
    try:
        return load_library([], recorded_layers(manifest)).recipes
    except RecipeError:
        return {}
