"""Since: what a person should know about a new plan and the last pass: recipes that moved, notes on top, stems kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.notes.standing import has_notes, set_aside
from stemwright.passes.history import recipes_moved
from stemwright.passes.keep import load_kept

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.passes.look import Look
    from stemwright.passes.manifest import Manifest
    from stemwright.plan.items import PlanItem


@dataclass(frozen=True, kw_only=True)
class SinceLast:
    """What happened since the last pass, gathered before the next one is made."""

    last: Manifest | None
    recipes: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()

    def lines(self, items: Sequence[PlanItem]) -> list[str]:
        """Return it in sentences, given the plan now."""
        if self.last is None:
            return []
        noted = [item.stem for item in items if has_notes(item)]
        aside = set_aside(items, self.last.items())
        lines = [f"recipe {line}" for line in self.recipes]
        lines += [f"notes stay on top of the recipes' moves: {', '.join(noted)}"] if noted else []
        lines += [f"notes set aside, since nothing is done to these stems any more: {', '.join(aside)}"] if aside else []
        return lines + [f"kept: {each}" for each in self.kept]


def since_last(seen: Look) -> SinceLast:
    """Gather what happened to recipes and stems since the last pass of a song that was looked at."""
    last = seen.last
    if last is None:
        return SinceLast(last=None)
    sources = [source for recipe in seen.recipes for source in recipe.sources]
    said = []
    for stem, kept in load_kept(seen.song).items():
        entry, facts = last.entries.get(stem), seen.facts.get(stem)
        received = None if entry is None else entry.item.input
        told = ""
        if facts is None:
            told = " (the stem as received is gone)"
        elif facts.sha256 is not None and received is not None and facts.sha256 != received.sha256:
            told = " (another file was received since; it is not used)"
        said.append(f"{stem}, {kept.why}{told}")
    return SinceLast(last=last, recipes=tuple(recipes_moved(last, sources)), kept=tuple(said))
