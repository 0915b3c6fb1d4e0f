"""Prep: the next pass of a song, from its stems, recipes and session sheet."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.notes.standing import carry
from stemwright.notes.there import placed_again
from stemwright.passes.foretold import held
from stemwright.passes.history import forgotten
from stemwright.passes.keep import kept_stems
from stemwright.passes.make import Made, Maker, Request
from stemwright.passes.manifest import Because
from stemwright.passes.riding import with_rides
from stemwright.plan.conditions import conditioned
from stemwright.plan.delivery import deliver_all
from stemwright.plan.kit import losses, members, moved_roles, seeming, sharing_phase
from stemwright.plan.resolve import plan_stem
from stemwright.stems.asked import find

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor

    from stemwright.passes.look import Look
    from stemwright.passes.manifest import Manifest
    from stemwright.plan.items import PlanItem
    from stemwright.plan.resolve import RingMoves


def plan(seen: Look, executor: Executor, *, hold: bool = False) -> list[PlanItem]:
    """Resolve every stem of a song that was looked at (hashed) to explicit numbers.

    The notes of the last pass stand on top of the recipes' moves, and a stem that was signed off is as it was. With `hold`
    (or ``loudness: hold`` in the sheet) each stem gets a last gain that undoes what the recipe did to its loudness; a note
    is not undone.
    """
    assignments = conditioned(seen.assignments, seen.facts, seen.sheet.timeline)
    roles = {stem: each.recipe.role if each.recipe else None for stem, each in assignments.items() if not each.skip}
    kit = members(roles, seen.sheet.kit)
    assignments = sharing_phase(assignments, kit)
    rings: dict[str, dict[str, RingMoves]] = {}
    if any(move.kind == "rings" for assignment in assignments.values() for move in assignment.moves):
        # Imported here: a song without rings to look for need not load the search.
        from stemwright.plan.ring_moves import find_all  # noqa: PLC0415

        rings = find_all(seen.facts, assignments, executor)
    items = [
        plan_stem(facts, seen.song.source_label(stem), assignments[stem], rings.get(stem, {}), seen.sheet.deliver.bits)
        for stem, facts in seen.facts.items()
    ]
    items = losses(items, kit or seeming(moved_roles(assignments)), declared=bool(kit))
    if hold or seen.sheet.deliver.hold:
        items = held(seen.song, items, assignments, executor)
    last = seen.last
    noted = items
    if last is not None:
        # Dither of another kind would change every stem of a song that is under way, for nothing anybody hears.
        kinds = {item.stem: item.dither for item in last.items() if item.seed is not None}
        same_kind = [replace(item, dither=kinds.get(item.stem, item.dither)) for item in items]
        noted = placed_again(carry(same_kind, last.items(), seen.facts), seen.sheet.timeline)
    noted = with_rides(seen.song, noted, executor, seen.by_hand)
    delivered = deliver_all(noted, seen.facts, seen.sheet.deliver, seen.sheet.song or seen.song.folder.name)
    return kept_stems(seen.song, last).apply(_as_stored(delivered, last))


def _as_stored(items: list[PlanItem], last: Manifest | None) -> list[PlanItem]:
    """Give moves that are set as in the last pass that pass's sections: designed again elsewhere, their last digits differ."""
    if last is None or not last.plan_intact:
        return items
    before = {item.stem: item for item in last.items()}
    return [_with_sections(item, before.get(item.stem)) for item in items]


def _with_sections(item: PlanItem, old: PlanItem | None) -> PlanItem:
    if old is None or old.input is None or item.input is None or old.input.rate_hz != item.input.rate_hz:
        return item
    stored = {(move.kind, *sorted(move.settings.items())): move for move in old.moves}
    found = [stored.get((move.kind, *sorted(move.settings.items()))) for move in item.moves]
    same = old.input.sha256 == item.input.sha256
    moves = [
        move
        if there is None
        else replace(move, sections=there.sections, found=there.found if same and there.found and move.found else move.found)
        for move, there in zip(item.moves, found, strict=True)
    ]
    return replace(item, moves=tuple(moves))


def prep(
    seen: Look, items: Sequence[PlanItem], maker: Maker, *, only: Sequence[str] = (), other_recipes: bool = False
) -> Made:
    """Make the next pass of a song.

    Parameters
    ----------
    seen : Look
        The song, looked at with hashes.
    items : sequence of PlanItem
        Its plan.
    maker : Maker
        Renders, takes over and writes.
    only : sequence of str
        Stems to prep anew; all others stay as the last pass has them. Empty means all.
    other_recipes : bool
        Whether folders of recipes that the last pass used are left out on purpose.

    Returns
    -------
    Made
        ``name`` is None where the plan equals the last pass's and no new pass was made.

    Raises
    ------
    SongError
        If recipes of the last pass came from a folder that is out of reach now.
    """
    last = seen.last
    missing = forgotten(last, seen.in_reach, seen.folders)
    if missing and not other_recipes:
        raise SongError(missing)
    kept = kept_stems(seen.song, last)
    chosen = kept.apply(choose(seen, items, only))
    request = Request(
        song=seen.song,
        items=tuple(chosen),
        facts=seen.facts,
        recipes=tuple(seen.recipes),
        because=Because(kind="prep", came_from=last.name if last else None),
        last=last,
        overs=seen.sheet.deliver.overs,
        kept=kept.hashes,
        also_from=kept.passes,
    )
    return maker.make(request)


def choose(seen: Look, items: Sequence[PlanItem], only: Sequence[str]) -> list[PlanItem]:
    """Return the plan with every stem but those in `only` as the last pass has it; the whole plan if it is empty."""
    if not only:
        return list(items)
    last = seen.last
    roles = dict.fromkeys(seen.song.stems) | {item.stem: item.role for item in items}
    wanted = {stem for name in only for stem in find(name, roles, "this song")}
    before = {item.stem: item for item in last.items()} if last else {}
    chosen = []
    for item in items:
        if item.stem in wanted:
            chosen.append(item)
        elif item.stem in before:
            chosen.append(before[item.stem])
        else:
            chosen.append(
                replace(item, status="skipped", why="not asked for (--only)", moves=(), seed=None, deliver_as=None)
            )
    return chosen
