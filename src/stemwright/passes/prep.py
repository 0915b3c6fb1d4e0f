"""Prep: the next pass of a song, from its stems, recipes and session sheet."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.notes.standing import carry
from stemwright.notes.there import placed_again
from stemwright.passes.foretold import held
from stemwright.passes.history import forgotten, recorded_layers
from stemwright.passes.keep import kept_stems
from stemwright.passes.make import Made, Maker, Request
from stemwright.passes.manifest import Because
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.riding import with_rides
from stemwright.passes.song import open_song
from stemwright.plan.assignment import assign, unmatched
from stemwright.plan.conditions import conditioned
from stemwright.plan.delivery import deliver_all
from stemwright.plan.kit import losses, members, seeming, sharing_phase
from stemwright.plan.resolve import plan_stem
from stemwright.recipes.folders import origin, search_dirs
from stemwright.recipes.library import load_library
from stemwright.recipes.session import load_session, sheet_dirs
from stemwright.recipes.stem_choices import StemChoice, choices_of
from stemwright.stems.asked import find
from stemwright.stems.intake import Arrived, inquire
from stemwright.stems.intake.tempo import proposed
from stemwright.stems.survey import begin_survey

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.plan.assignment import Assignment
    from stemwright.plan.items import PlanItem
    from stemwright.plan.resolve import RingMoves
    from stemwright.recipes.by_hand import ByHand
    from stemwright.recipes.recipe import Recipe
    from stemwright.recipes.session import SessionSheet
    from stemwright.stems.findings import Finding
    from stemwright.stems.survey import StemFacts


@dataclass(frozen=True, kw_only=True)
class Look:
    """A song looked at: what arrived, which recipe takes each stem, and what a person should settle.

    ``in_reach`` are the hashes of all recipes that were found, in use or not, ``folders`` what
    manifests call the places they were looked for.
    """

    song: SongFolder
    sheet: SessionSheet
    facts: dict[str, StemFacts]
    assignments: dict[str, Assignment]
    findings: tuple[Finding, ...]
    arrived: tuple[Arrived, ...] = ()
    in_reach: frozenset[str] = frozenset()
    folders: frozenset[str] = frozenset()
    by_hand: dict[str, tuple[ByHand, ...]] = field(default_factory=dict)

    @property
    def ready(self) -> bool:
        """Whether nothing that was found needs a person."""
        return all(finding.severity == "info" for finding in self.findings)

    def as_json(self) -> Plain:
        """Return what arrived, which recipe takes each stem, and the findings as plain JSON values."""
        return {
            "song": self.song.folder.name,
            "ready": self.ready,
            "stems": [_stem_as_json(facts, self.assignments[stem]) for stem, facts in self.facts.items()],
            "findings": [finding.as_json() for finding in self.findings],
        }

    @cached_property
    def last(self) -> Manifest | None:
        """The newest pass's manifest when it was first asked for; None before the first pass."""
        return last_manifest(self.song)

    @property
    def recipes(self) -> list[Recipe]:
        """The recipes in use."""
        used = {a.recipe.name: a.recipe for a in self.assignments.values() if a.recipe is not None}
        return [used[name] for name in sorted(used)]


def _stem_as_json(facts: StemFacts, assignment: Assignment) -> Plain:
    recipe, info = assignment.recipe, facts.info
    form = ("container", "subtype", "rate_hz", "channels", "frames")
    return {
        "stem": facts.stem,
        "recipe": recipe.name if recipe else None,
        "role": recipe.role if recipe else None,
        "matched_by": assignment.matched_by,
        "why": assignment.why,
        "pair": assignment.partner,
        "leave": assignment.leave,
        "skip": assignment.skip,
        **{key: getattr(info, key) if info else None for key in form},
    }


def look(  # noqa: PLR0913 - what is looked for, and where
    folder: Path,
    executor: Executor,
    *,
    recipe_dirs: Sequence[Path] = (),
    hashed: bool = False,
    as_before: bool = False,
    instead_of: Path | None = None,
) -> Look:
    """Look at a song: every stem is read once and listened to; nothing is written.

    Parameters
    ----------
    folder : Path
        The song.
    executor : Executor
        Runs the stems' share of the work.
    recipe_dirs : sequence of Path
        Searched after the song's own recipes and before the house's.
    hashed : bool
        Whether the stems are hashed too, which a plan needs.
    as_before : bool
        Whether the recipes that the last manifest recorded come before all others.
    instead_of : Path, optional
        A folder of recipes to pass over, should the session sheet name it.

    Returns
    -------
    Look

    Raises
    ------
    SongError, RecipeError
        If the folder, a recipe or the session sheet is not usable.
    """
    song = open_song(folder)
    sheet = load_session(song.folder)
    # The stems are listened to while the recipes are read: neither needs the other.
    listening = begin_survey({stem: song.source(stem) for stem in song.stems}, executor, hashed=hashed)
    last = last_manifest(song) if as_before else None
    named = [each for each in sheet_dirs(sheet, song.folder, gone=last is not None) if not _is(each, instead_of)]
    dirs = search_dirs(song.folder, [*recipe_dirs, *named])
    library = load_library(dirs, recorded_layers(last) if last is not None else (), song.folder)
    choices = choices_of(sheet, song.stems, library)
    if sheet.reference is not None:
        mix = PurePosixPath(sheet.reference).as_posix()
        choices |= {
            stem: StemChoice(skip="the reference mix, not a stem")
            for stem in song.stems
            if song.source_label(stem) == mix and stem not in choices
        }
    titles = [name for name in (sheet.song, song.folder.name) if name]
    assignments = assign(song.stems, library, choices, titles)
    wanted = {stem for stem in song.stems if not assignments[stem].skip}
    facts = [job.result() for job in listening]
    findings = list(song.findings)
    for fact in facts:
        if fact.stem not in wanted:
            continue
        findings.extend(fact.findings)
        if assignments[fact.stem].recipe is None and not assignments[fact.stem].leave:
            findings.append(unmatched(fact.stem, assignments[fact.stem]))
    arrived = [_arrived(fact, assignments[fact.stem]) for fact in facts if fact.stem in wanted and fact.usable]
    listened_to = tuple(each for each in arrived if each is not None)
    findings.extend(inquire(listened_to, song.stems))
    if not sheet.timeline.tempo:
        findings.extend(proposed(listened_to, titles))
    return Look(
        song=song,
        sheet=sheet,
        facts={fact.stem: fact for fact in facts},
        assignments=assignments,
        findings=tuple(findings),
        arrived=listened_to,
        in_reach=frozenset(each.sha256 for recipe in library.all for each in recipe.sources),
        folders=frozenset(origin(each, song.folder) for each in dirs),
        by_hand={stem: choice.ride for stem, choice in choices.items() if choice.ride},
    )


def _is(folder: Path, other: Path | None) -> bool:
    return other is not None and folder.resolve() == other.resolve()


def _arrived(facts: StemFacts, assignment: Assignment) -> Arrived | None:
    if facts.info is None or facts.heard is None:
        return None
    return Arrived(
        stem=facts.stem,
        source=facts.source,
        info=facts.info,
        heard=facts.heard,
        marks=facts.marks,
        role=assignment.recipe.role if assignment.recipe else None,
        sounds=assignment.recipe.sounds if assignment.recipe else None,
        deep=assignment.recipe is not None and assignment.recipe.deep,
        partner=assignment.partner,
    )


def plan(seen: Look, executor: Executor, *, hold: bool = False) -> list[PlanItem]:
    """Resolve every stem of a song that was looked at (hashed) to explicit numbers.

    The notes of the last pass stand on top of the recipes' moves, and a stem that was signed off is as it was. With `hold`
    (or ``loudness: hold`` in the sheet) each stem gets a last gain that undoes what the recipe did to its loudness; a note
    is not undone.
    """
    assignments = conditioned(seen.assignments, seen.facts, seen.sheet.timeline)
    kit = members(assignments, seen.sheet.kit)
    assignments = sharing_phase(assignments, kit)
    rings: dict[str, dict[str, RingMoves]] = {}
    if any(move.kind == "rings" for assignment in assignments.values() for move in assignment.moves):
        # Imported here: the search loads scipy, which takes as long as prepping a short song without it.
        from stemwright.plan.ring_moves import find_all  # noqa: PLC0415

        rings = find_all(seen.facts, assignments, executor)
    items = [
        plan_stem(facts, seen.song.source_label(stem), assignments[stem], rings.get(stem, {}), seen.sheet.deliver.bits)
        for stem, facts in seen.facts.items()
    ]
    items = losses(items, kit or seeming(assignments), declared=bool(kit))
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


def last_manifest(song: SongFolder) -> Manifest | None:
    """Return the newest pass's manifest, or None before the first."""
    names = song.passes()
    return read_manifest(song.passes_dir / names[-1]) if names else None


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
