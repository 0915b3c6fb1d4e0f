"""Look: a song as it arrived: what is there, which recipe takes each stem, and what a person should settle first."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.passes.history import recorded_layers
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.song import open_song
from stemwright.plan.assignment import assign, unmatched
from stemwright.recipes.folders import origin, search_dirs
from stemwright.recipes.library import load_library
from stemwright.recipes.session import load_session, sheet_dirs
from stemwright.recipes.stem_choices import StemChoice, choices_of
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


def last_manifest(song: SongFolder) -> Manifest | None:
    """Return the newest pass's manifest, or None before the first."""
    names = song.passes()
    return read_manifest(song.passes_dir / names[-1]) if names else None
