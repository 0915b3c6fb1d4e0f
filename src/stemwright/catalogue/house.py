"""House: what a change of the recipes is, in the trade's words, and what it does to a song before anything is rendered."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from stemwright.catalogue.outcome import Outcome
from stemwright.passes import prep as prepping
from stemwright.passes.foretold import foretold
from stemwright.passes.history import read_pass, recipes_moved
from stemwright.passes.look import look
from stemwright.passes.song import open_song
from stemwright.plan.assignment import assign
from stemwright.plan.items import PlannedMove
from stemwright.plan.wording import changes_in_short, describe
from stemwright.recipes.folders import display, search_dirs
from stemwright.recipes.library import load_library
from stemwright.recipes.session import load_session, sheet_dirs
from stemwright.recipes.stem_choices import choices_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from concurrent.futures import Executor

    from stemwright.catalogue.listing import Listed
    from stemwright.dsp.loudness import Levels
    from stemwright.passes.manifest import Manifest
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem
    from stemwright.recipes.moves import Move
    from stemwright.recipes.recipe import Recipe, Source


@dataclass(frozen=True)
class HouseChange:
    """What is different between two houses' recipes: by recipe, the lines that say it."""

    recipes: dict[str, tuple[str, ...]]

    def as_json(self) -> Plain:
        """Return it as plain JSON values."""
        return {name: list(lines) for name, lines in self.recipes.items()}


@dataclass(frozen=True, kw_only=True)
class StemEffect:
    """What a change of recipes does to one stem: the lines that say it, and its loudness and peak then, less than now, in dB."""

    stem: str
    lines: tuple[str, ...]
    lufs_db: float | None = None
    peak_db: float | None = None

    def as_json(self) -> Plain:
        """Return it as plain JSON values."""
        return {"stem": self.stem, "changes": list(self.lines), "lufs_db": self.lufs_db, "peak_db": self.peak_db}

    def in_words(self) -> list[str]:
        """Return it line by line."""
        if self.lufs_db is None:
            return list(self.lines)
        peak = "" if self.peak_db is None else f", peak {_signed(self.peak_db)} dB"
        return [*self.lines, f"= loudness {_signed(self.lufs_db)} LU{peak}"]


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-0.0", "+0.0")


def compare_houses(first: Path, second: Path) -> HouseChange:
    """Say what is different from one folder of recipes to another; each builds on the house's own where it says so.

    Raises
    ------
    RecipeFolderError, RecipeError
        If one is not there, or a recipe is wrong.
    """
    one, other = _alone(first), _alone(second)
    found = {}
    for name in sorted({*one, *other}):
        lines = tuple(_recipe_change(one.get(name), other.get(name)))
        if lines:
            found[name] = lines
    return HouseChange(found)


def _alone(folder: Path) -> dict[str, Recipe]:
    library = load_library(search_dirs(None, [folder]))
    return {recipe.name: recipe for recipe in library.all if Path(recipe.path).parent == Path(display(folder))}


def _recipe_change(was: Recipe | None, now: Recipe | None) -> list[str]:
    if was is None or now is None:
        one = now or was
        assert one is not None  # noqa: S101 - one side is always there
        moves = " · ".join(describe(move.kind, move.settings) for move in one.moves if not move.off) or "no moves"
        return [f"{'new' if was is None else 'gone'}: {moves}"]
    if was.sources == now.sources:
        return []
    lines = changes_in_short(_planned(was.moves), _planned(now.moves))
    lines += _names("takes", (*was.names, *was.general_names), (*now.names, *now.general_names))
    lines += _names("refuses", was.not_names, now.not_names)
    for move in now.moves:
        old = next((each for each in was.moves if (each.kind, each.name) == (move.kind, move.name)), None)
        if old is not None and (old.when, old.if_there) != (move.when, move.if_there):
            waits = [each for each in (move.when, move.if_there) if each]
            lines.append(f"{move.name}: {'waits for ' + ' and '.join(waits) if waits else 'waits for nothing now'}")
    if not lines:
        lines = ["other words, the same moves"]
    if was.version != now.version:
        return [f"version {was.version} -> {now.version}", *lines]
    return [*lines, f"still called version {now.version}"]


def _planned(moves: Sequence[Move]) -> list[PlannedMove]:
    """Return a recipe's moves that are on as a plan's, so that both are put in the same words."""
    return [
        PlannedMove(kind=move.kind, name=move.name, why=move.why, settings=dict(move.settings))
        for move in moves
        if not move.off
    ]


def _names(verb: str, was: Sequence[Sequence[str]], now: Sequence[Sequence[str]]) -> list[str]:
    more = [" ".join(phrase) for phrase in now if phrase not in was]
    less = [" ".join(phrase) for phrase in was if phrase not in now]
    return [f"{verb} {', '.join(more)} too"] * bool(more) + [f"{verb} {', '.join(less)} no more"] * bool(less)


def effect_on(song: Path, first: Path, second: Path, executor: Executor) -> list[StemEffect]:
    """Return what a change from one folder of recipes to another does to a song; nothing is written.

    Parameters
    ----------
    song : Path
    first, second : Path
        Folders of recipes, each searched after the song's own and in place of the other.
    executor : Executor
        Listens to the stems, and runs them through what would change.
    """
    plans = []
    for mine, theirs in ((first, second), (second, first)):
        seen = look(song, executor, recipe_dirs=[mine], instead_of=theirs, hashed=True)
        plans.append((seen, prepping.plan(seen, executor)))
    (seen, was), (_, now) = plans
    lines = changes(was, now)
    measured = [foretold(seen.song, [item for item in items if item.stem in lines], executor) for items in (was, now)]
    return [_effect(stem, said, *(each.get(stem) for each in measured)) for stem, said in lines.items()]


def _effect(
    stem: str, lines: Sequence[str], was: tuple[Levels, Levels] | None, now: tuple[Levels, Levels] | None
) -> StemEffect:
    """Put lines and levels together; without moves a stem stays as received, which the other side has measured."""
    one = was[1] if was is not None else now[0] if now is not None else None
    other = now[1] if now is not None else was[0] if was is not None else None
    if one is None or other is None:
        return StemEffect(stem=stem, lines=tuple(lines))
    return StemEffect(
        stem=stem,
        lines=tuple(lines),
        lufs_db=_difference(one.lufs, other.lufs),
        peak_db=_difference(one.sample_peak_dbfs, other.sample_peak_dbfs),
    )


def _difference(was: float | None, now: float | None) -> float | None:
    return None if was is None or now is None else round(now - was, 2)


def changes(was: Sequence[PlanItem], now: Sequence[PlanItem]) -> dict[str, list[str]]:
    """Say stem by stem what is different between two plans of a song; stems whose sound stays are left out."""
    before = {item.stem: item for item in was}
    found = {}
    for item in now:
        old = before.get(item.stem)
        if old is None or old.sound == item.sound:
            continue
        lines = [f"recipe {old.recipe or 'none'} -> {item.recipe or 'none'}"] if old.recipe != item.recipe else []
        lines += [f"{old.status} -> {item.status}"] if old.status != item.status else []
        lines += changes_in_short(old.moves, item.moves)
        found[item.stem] = lines or ["delivered in another form"]
    return found


@dataclass(frozen=True, kw_only=True)
class Drift:
    """Work on a song: whether it was made with recipes older than those in reach, and what would change.

    ``found`` gets that, by song and stem.
    """

    executor: Executor
    recipe_dirs: Sequence[Path] = ()
    found: dict[str, dict[str, list[str]]] = field(default_factory=dict)

    def __call__(self, song: Listed, on_stem: Callable[[str], None]) -> Outcome:  # noqa: ARG002 - counts songs
        """Do it; stems are only listened to where recipes have moved."""
        opened = open_song(song.folder)
        last = read_pass(opened, None)
        moved = self._moved(song.folder, last)
        lines: Mapping[str, list[str]] = {}
        if moved:
            seen = look(song.folder, self.executor, recipe_dirs=self.recipe_dirs, hashed=True)
            lines = changes(last.items(), prepping.plan(seen, self.executor))
        if lines:
            self.found[song.name] = dict(lines)
        said = f"{'; '.join(moved)}; {_count(lines)} would change" if moved else "as the house is"
        return Outcome(
            song=song.name,
            state="done",
            stems=len(last.stems),
            pass_name=last.name,
            to_settle=len(lines),
            said=said,
            details={"recipes": moved, "would_change": dict(lines)},
        )

    def _moved(self, folder: Path, last: Manifest) -> list[str]:
        song = open_song(folder)
        sheet = load_session(song.folder)
        library = load_library(
            search_dirs(song.folder, [*self.recipe_dirs, *sheet_dirs(sheet, song.folder)]), song_dir=song.folder
        )
        titles = [name for name in (sheet.song, song.folder.name) if name]
        now = assign(song.stems, library, choices_of(sheet, song.stems, library), titles)
        used: dict[str, Source] = {}
        for assignment in now.values():
            used |= {source.sha256: source for source in assignment.recipe.sources} if assignment.recipe else {}
        lines = recipes_moved(last, used.values())
        for item in last.items():
            recipe = now[item.stem].recipe if item.stem in now and item.status != "kept" else None
            if item.stem in now and item.status != "kept" and (recipe.name if recipe else None) != item.recipe:
                lines.append(f"{item.stem}: recipe {item.recipe or 'none'} -> {recipe.name if recipe else 'none'}")
        return lines


def _count(lines: Mapping[str, object]) -> str:
    return f"{len(lines)} stem{'' if len(lines) == 1 else 's'}"
