"""The library: every recipe in reach, from the directories in their search order."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from stemwright.errors import RecipeError
from stemwright.recipes.folders import display, house_dir, origin, read_texts
from stemwright.recipes.inherit import Resolver
from stemwright.recipes.problems import Problems, hint, shown
from stemwright.recipes.reading import RECORDED, Reading
from stemwright.recipes.recipe import Draft, Recipe, read_draft
from stemwright.recipes.spelling import Speller

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.recipes.recipe import Phrase, Source

    Texts = tuple[str, tuple[tuple[str, str | None], ...]]  # where a folder came from, and its files: label and text

# Small words inside a phrase that people leave out: "claquement de doigts".
SMALL = frozenset({"de", "di", "d", "da", "do", "des", "del", "della", "of", "en", "al", "à"})
KEPT = 16  # libraries: songs of one house share one, a song with recipes of its own has another


@dataclass(frozen=True)
class Claim:
    """A phrase by which a recipe takes stems, as the recipe has it; ``general`` where a more particular phrase comes first."""

    recipe: Recipe
    phrase: Phrase
    general: bool


@dataclass(frozen=True)
class Library:
    """Recipes by name.

    Parameters
    ----------
    recipes : dict of str to Recipe
        Those that count: of two with one name, the one found first.
    shadowed : tuple of Recipe
        The others.
    own : frozenset of str
        Recipes with phrases that are not the house's; they come first.
    """

    recipes: dict[str, Recipe]
    shadowed: tuple[Recipe, ...] = field(default=())
    own: frozenset[str] = frozenset()

    @property
    def all(self) -> tuple[Recipe, ...]:
        """Those that count and those that do not."""
        return (*self.recipes.values(), *self.shadowed)

    def get(self, name: str) -> Recipe:
        """Return a recipe.

        Parameters
        ----------
        name : str
            Its name.

        Returns
        -------
        Recipe

        Raises
        ------
        RecipeError
            If there is none; the message has the nearest name.
        """
        if name not in self.recipes:
            raise RecipeError([self.unknown(name)])
        return self.recipes[name]

    def unknown(self, name: str) -> str:
        """Say that no recipe has this name."""
        return f"no recipe has this name ({shown(name)}); {hint(name, sorted(self.recipes), most=60)}"

    @cached_property
    def speller(self) -> Speller:
        """Knows the words of all recipes' phrases."""
        recipes = self.recipes.values()
        return Speller(phrase for recipe in recipes for phrase in (*recipe.names, *recipe.general_names))

    @cached_property
    def by_first_word(self) -> dict[str, list[tuple[Phrase, list[Claim]]]]:
        """The phrases in the words that the speller gives, by the first of them, and who claims each."""
        found: dict[Phrase, list[Claim]] = defaultdict(list)
        for name in sorted(self.recipes):
            recipe = self.recipes[name]
            for general, phrases in ((False, recipe.names), (True, recipe.general_names)):
                for phrase in phrases:
                    for written in dict.fromkeys((phrase, _terse(phrase))):
                        plain = tuple(each for word in written for each in self.speller.meaning(word))
                        found[plain].append(Claim(recipe, phrase, general))
        by_word: dict[str, list[tuple[Phrase, list[Claim]]]] = defaultdict(list)
        for phrase, claims in found.items():
            by_word[phrase[0]].append((phrase, claims))
        return dict(by_word)

    def families(self, word: str) -> frozenset[str]:
        """Return the families of the recipes that a word asks for by itself."""
        meant = self.speller.meaning(word)
        claims = [claim for phrase, found in self.by_first_word.get(meant[0], ()) if phrase == meant for claim in found]
        return frozenset(claim.recipe.family for claim in claims if claim.recipe.family)

    @cached_property
    def refused_by_first_word(self) -> dict[str, list[tuple[Phrase, str]]]:
        """The phrases of the recipes' ``not``, by the first word of each, and the recipe that refuses it."""
        by_word: dict[str, list[tuple[Phrase, str]]] = defaultdict(list)
        for name in sorted(self.recipes):
            for phrase in self.recipes[name].not_names:
                by_word[phrase[0]].append((phrase, name))
        return dict(by_word)

    def contested(self) -> list[tuple[str, tuple[Recipe, ...]]]:
        """Return names that two or more recipes take which are not the house's, in order: a stem called so gets neither."""
        takers: dict[Phrase, list[Recipe]] = defaultdict(list)
        for name in sorted(self.own):
            for phrase in self.recipes[name].names:
                takers[phrase].append(self.recipes[name])
        return [(" ".join(phrase), tuple(found)) for phrase, found in sorted(takers.items()) if len(found) > 1]


def _terse(phrase: Phrase) -> Phrase:
    """Return a phrase without the small words inside it; as it is where a number begins it ("2 da voz")."""
    if phrase[0].isdigit():
        return phrase
    return (phrase[0], *(word for word in phrase[1:-1] if word not in SMALL), phrase[-1]) if len(phrase) > 1 else phrase


def load_library(dirs: Sequence[Path], recorded: Sequence[Sequence[Source]] = (), song_dir: Path | None = None) -> Library:
    """Read every recipe of the folders.

    Parameters
    ----------
    dirs : sequence of Path
        In search order; ``*.yaml`` and ``*.yml`` directly in them are recipes, hidden files are not. A file is one recipe.
    recorded : sequence of sequence of Source
        Recipes that a manifest holds, in layers, searched before all folders.
    song_dir : Path, optional
        The song, from where folders are named.

    Returns
    -------
    Library

    Raises
    ------
    RecipeError
        With every problem of every file.
    RecipeFolderError
        If a folder cannot be listed.
    """
    unread = Problems()
    folders = tuple((origin(folder, song_dir), tuple(read_texts(folder, unread))) for folder in dirs)
    layers = tuple(tuple(layer) for layer in recorded)
    house = display(house_dir()) if house_dir() in dirs else None
    if unread.lines():
        return _resolved(folders, layers, house, unread)
    return _kept(folders, layers, house)


@lru_cache(maxsize=KEPT)
def _kept(folders: tuple[Texts, ...], recorded: tuple[tuple[Source, ...], ...], house: str | None) -> Library:
    """Return the library of these texts: every file is read each time, and what is in it is parsed once in a process."""
    return _resolved(folders, recorded, house, Problems())


def _resolved(
    folders: tuple[Texts, ...], recorded: tuple[tuple[Source, ...], ...], house_label: str | None, unread: Problems
) -> Library:
    problems = Problems()
    drafts: list[list[Draft | None]] = [[_recorded(each, problems) for each in layer] for layer in recorded]
    drafts += [[_read(label, text, came_from, problems, unread) for label, text in files] for came_from, files in folders]
    layers = [_layer(found, problems) for found in drafts]
    complete = all(draft is not None and draft.name is not None for found in drafts for draft in found)
    resolver = Resolver(layers, problems, complete=complete)
    resolved = [resolver.resolve((number, name)) for number, layer in enumerate(layers) for name in layer]
    found = [recipe for recipe in resolved if recipe is not None]
    if complete:
        _check_roles(found, problems)
    problems.raise_any()
    recipes: dict[str, Recipe] = {}
    houses = set() if house_label is None else {Path(house_label)}
    shadowed = [recipe for recipe in found if recipes.setdefault(recipe.name, recipe) is not recipe]
    house = {recipe.name: _phrases_of(recipe) for recipe in found if Path(recipe.path).parent in houses}
    own = frozenset(
        recipe.name
        for recipe in recipes.values()
        if Path(recipe.path).parent not in houses and house.get(recipe.name) != _phrases_of(recipe)
    )
    return Library(recipes, tuple(shadowed), own if house else frozenset())


def _phrases_of(recipe: Recipe) -> frozenset[Phrase]:
    return frozenset((*recipe.names, *recipe.general_names))


def _read(label: str, text: str | None, came_from: str, problems: Problems, unread: Problems) -> Draft | None:
    problems.begin(label)
    problems.take(unread, label)
    if text is None:
        return None
    draft = read_draft(text, label, problems)
    draft.came_from = came_from
    return draft


def _recorded(source: Source, problems: Problems) -> Draft:
    draft = read_draft(source.text, f"{source.name}{RECORDED}", problems)
    draft.came_from = source.came_from
    return draft


def _check_roles(recipes: Sequence[Recipe], problems: Problems) -> None:
    """Refuse a move that waits for a role which no recipe has: it would never be made, and nobody would know why."""
    known = {word for recipe in recipes for word in (recipe.role, recipe.name, recipe.family) if word}
    for recipe in recipes:
        if recipe.path.endswith(RECORDED):
            continue  # looked at when it was recorded; the role's own recipe may be gone since
        for move in recipe.moves:
            if move.if_there is not None and move.if_there not in known:
                message = f"no recipe has this role ({shown(move.if_there)}); {hint(move.if_there, sorted(known), most=60)}"
                problems.add(recipe.path, None, f"{shown(move.name)}.if_there", message)


def _layer(drafts: list[Draft | None], problems: Problems) -> dict[str, Draft]:
    layer: dict[str, Draft] = {}
    for draft in drafts:
        if draft is None or draft.name is None:
            continue
        if draft.name in layer:
            first = layer[draft.name].file
            message = f"another file here has this name ({shown(draft.name)}), {Path(first).name}; give one of them another"
            Reading(draft.file, problems).problem(draft.name_node, "recipe", message)
        layer.setdefault(draft.name, draft)
    return layer
