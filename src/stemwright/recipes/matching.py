"""Matching: which recipe a stem's name asks for.

Conventions
-----------
A phrase matches where its words stand side by side in the file's name, letter for letter (a plural is a phrase of its own).
The phrase with most words wins, then the one with most letters. A phrase of a recipe's ``not`` takes that recipe out. Where
no recipe takes the file's name, the name of the folder it lies in is tried.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.errors import MatchError
from stemwright.recipes.problems import shown
from stemwright.stems.names import split_words, words_of

if TYPE_CHECKING:
    from stemwright.recipes.library import Library
    from stemwright.recipes.recipe import Phrase, Recipe


@dataclass(frozen=True)
class Match:
    """A recipe that takes a stem, the phrase that did it, and the reason in words."""

    recipe: Recipe
    phrase: Phrase
    why: str


def match(stem: str, library: Library) -> Match | None:
    """Find the recipe for a stem.

    Parameters
    ----------
    stem : str
        Its name: a path with ``/`` between folders.
    library : Library
        The recipes.

    Returns
    -------
    Match or None
        None if no recipe takes it.

    Raises
    ------
    MatchError
        If two recipes claim it by phrases of the same length.
    """
    own = words_of(stem)
    found = _best(stem, own, own, library)
    if found is not None:
        return Match(*found, why=f"its name has '{' '.join(found[1])}'")
    folder = split_words(PurePosixPath(stem).parent.name)
    found = _best(stem, folder, (*folder, *own), library)
    if found is not None:
        return Match(*found, why=f"its folder's name has '{' '.join(found[1])}'")
    return None


def _best(stem: str, words: Phrase, all_words: Phrase, library: Library) -> tuple[Recipe, Phrase] | None:
    runs = _runs(all_words)
    claims: dict[str, tuple[Recipe, Phrase]] = {}
    for phrase in sorted(sorted(_runs(words) & library.by_phrase.keys()), key=_length, reverse=True):
        if claims and _length(phrase) < _length(next(iter(claims.values()))[1]):
            break
        for recipe in library.by_phrase[phrase]:
            if runs.isdisjoint(recipe.not_names):
                claims.setdefault(recipe.name, (recipe, phrase))
    if len(claims) > 1:
        raise MatchError(_tie(stem, sorted(claims.items())))
    return next(iter(claims.values()), None)


def _length(phrase: Phrase) -> tuple[int, int]:
    return len(phrase), sum(map(len, phrase))


def _runs(words: Phrase) -> set[Phrase]:
    """Return every run of words in a name."""
    return {words[first:last] for first in range(len(words)) for last in range(first + 1, len(words) + 1)}


def _tie(stem: str, claims: list[tuple[str, tuple[Recipe, Phrase]]]) -> str:
    both = " and ".join(f"{shown(name)} (by '{' '.join(phrase)}')" for name, (_, phrase) in claims)
    quoted = '"' + "".join(f"\\{char}" if char in '"\\' else char for char in stem) + '"'
    return f"{stem}: {both} claim it equally; settle it in session.yaml, under stems: {quoted}: {{role: {claims[0][0]}}}"
