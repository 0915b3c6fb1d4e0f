"""Matching: which recipe a stem's name asks for.

Conventions
-----------
A name is read as phrases (`stemwright.recipes.phrases`). Of several the last one decides, as in English the last noun does
("snare roll hat" is a hat), but one of a recipe's ``general`` words only where no other does ("piano keys"), and a vague one
of those only where nothing else in the name or its folder does ("drum solo"). What stands in brackets, or behind a word that
means with ("mix w dialog"), decides only where nothing else does. Recipes of one's own come before the house's. Where no phrase
is the file's, its folder's name stands before its own; a workstation's name for any track is nothing in a folder of many things.

A room is the drums' only where the song has drums. Where two readings are left, or the one that decides would cut off what
the other needs, neither is taken: `Doubt`.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.recipes.company import Company
from stemwright.recipes.deciding import (
    EVERYDAY_WORD,
    NAME,
    VAGUE_WORD,
    Doubt,
    Found,
    Match,
    decide,
)
from stemwright.recipes.idle_words import before_of, before_with, is_unnamed, without_idle
from stemwright.recipes.phrases import Name, name_of, read
from stemwright.recipes.song_words import RHYTHM, SongWords, song_words
from stemwright.stems.names import base_name, split_words
from stemwright.stems.people import PEOPLE
from stemwright.stems.short_forms import WITH

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.recipes.library import Library
    from stemwright.recipes.recipe import Phrase

_BRACKETS = re.compile(r"[\[(].*?[\])]")
ONE_MICROPHONE = frozenset({"mic", "mics", "mikro", "micro"})  # that hears them all
SOUND_EFFECT = "sfx"  # a sort of sound, whatever sounds: "sfx bell"
BOTH = "folder's and its own name"
OF_ONE_SORT = frozenset({"drums", "vocals"})


def match_all(stems: Iterable[str], library: Library, titles: Iterable[str] = ()) -> dict[str, Match | Doubt | None]:
    """Find the recipes for a song's stems.

    Parameters
    ----------
    stems : iterable of str
        All of the song's.
    library : Library
        The recipes.
    titles : iterable of str
        The song's own names.

    Returns
    -------
    dict of str to Match, Doubt or None
        None where no recipe takes a stem.
    """
    names = list(stems)
    song = song_words(names, library, titles)
    found = {name: match(name, library, song) for name in names}
    if song.sings_in_parts and song.heard.isdisjoint(RHYTHM):
        found |= {name: match(name, library, replace(song, codes={**song.codes, "bass": "choir bass"})) for name in names}
    return Company(found, song, library).settled()


def match(stem: str, library: Library, song: SongWords | None = None) -> Match | Doubt | None:
    """Find the recipe for a stem.

    Parameters
    ----------
    stem : str
        Its name: a path with ``/``.
    library : Library
        The recipes.
    song : SongWords, optional
        What is known of the song's other names.

    Returns
    -------
    Match, Doubt or None
        None if no recipe takes it. A doubt that only the song's other stems settle is settled by `match_all`.
    """
    known = song or SongWords()
    folder = known.folder(stem)
    own = without_idle(known.own(stem), library.speller)
    name = name_of(folder, own, library, known)
    outside = without_idle(known.left(split_words(_BRACKETS.sub(" ", base_name(stem)))), library.speller)
    weak: list[Found] = []
    for words in dict.fromkeys((outside, name.whole)):
        every = read(words, name)
        found = _of_its_sort(every, library)
        if any(each.weight == NAME for each in found):
            decided = _said_first(decide(found, library, "name"), every, words, name)
            return _by_folder(decided, name) or decided
        weak = weak or found
    if is_unnamed(known.own(stem)):
        inside = [each for each in read(folder, name) if each.weight == NAME]  # else one of many in a folder of many
        return decide(inside, library, "folder's name") if inside else None
    inside = read(name.everything, name) if name.folder else []
    across = _across(inside, name)
    if across and not _own_noun(weak, across):
        return decide(across, library, BOTH)
    if weak:
        kept = _kept(weak, inside and read(name.folder, name))
        if kept:
            return _said_first(decide(kept, library, "name"), read(own, name), own, name)
    if not inside or _is_one_of_a_kit(inside, own, library):
        return None
    return decide(inside, library, "folder's name")


def _of_its_sort(found: list[Found], library: Library) -> list[Found]:
    """Return only the phrase that says a name is a sound effect's, if there is one and no recipe of one's own takes another."""
    if _is_ones_own(found, library):
        return found
    return [each for each in found if SOUND_EFFECT in each.written] or found


def _is_ones_own(found: list[Found], library: Library) -> bool:
    """Return whether a recipe of one's own takes any of some phrases."""
    return any(claim.recipe.name in library.own for each in found for claim in each.claims)


def _is_one_of_a_kit(inside: list[Found], own: Phrase, library: Library) -> bool:
    """Return whether a folder of drums holds a file called by a word nobody knows: one drum of them, and not all of the kit."""
    if inside[-1].recipe_name != "drum bus" or not ONE_MICROPHONE.isdisjoint(own):
        return False
    return any(len(word) > 1 and word not in PEOPLE and library.speller.is_strange(word) for word in own)


def _own_noun(weak: list[Found], across: list[Found]) -> bool:
    """Return whether an everyday word of the name's own ends it, of the family that it has with its folder: "Vox/low dbl"."""
    last = weak[-1] if weak else None
    return (
        last is not None
        and last.weight == EVERYDAY_WORD
        and not set(last.written) & set(across[-1].written)
        and last.families == across[-1].families
    )


def _said_first(decided: Match | Doubt, found: list[Found], words: Phrase, name: Name) -> Match | Doubt:
    """Return what stands first where that decides: a guide, or a name in front of a word that means of, or with.

    What follows a with is on the stem as well. ``found`` are all phrases of the words.
    """
    house = not _is_ones_own(found, name.library)
    if house and found and found[0].is_guide:
        return decide(found[:1], name.library, "name")
    head = before_of(words)
    if house and head != words:
        first, rest = read(head, name), read(words[len(head) + 1 :], name)
        if first and first[-1].weight == NAME and first[-1].recipe_name and [*first, *rest] == found:
            return decide(first, name.library, "name")
    front = before_with(words)
    if isinstance(decided, Doubt) or front == words:
        return decided
    before = [each for each in read(front, name) if each.weight == NAME or each.recipe_name == "reference"]
    if not before or any(not WITH.isdisjoint(each.written) for each in found):
        return decided
    if before[-1].weight == NAME:  # it may cut off what follows
        before = [*(each for each in found[len(before) :] if each.weight == NAME), *before]
    return decide(before, name.library, "name")


def _kept(weak: list[Found], folder: list[Found]) -> list[Found]:
    """Return the phrases of a name that says little which say more than its folder does.

    A vague word says it of a folder of its own family where that has drums or singers only: "Drums/rack" are toms, "Keys/melody"
    is played on keys.
    """
    least = min(each.weight for each in weak)
    if not folder:
        return weak
    families = folder[-1].families
    if least == EVERYDAY_WORD:
        said = {family for each in weak if each.weight == least for family in each.families}
        return [] if said.isdisjoint(families) else weak
    if least == VAGUE_WORD:
        return [
            each.of_families(families) for each in weak if families <= OF_ONE_SORT and not each.families.isdisjoint(families)
        ]
    return weak


def _across(found: list[Found], name: Name) -> list[Found]:
    """Return the phrases that begin in a folder's name and end in a file's."""
    return [each for each in found if set(each.written) & set(name.folder) and set(each.written) & set(name.whole)]


def _by_folder(decided: Match | Doubt, name: Name) -> Match | None:
    """Return the reading that a folder's and a file's name make together, if it settles a doubt, or if it is sung ("Choir/Bass")."""
    across = _across(read(name.everything, name), name) if name.folder else []
    found = decide(across, name.library, BOTH) if across else None
    if not isinstance(found, Match):
        return None
    if isinstance(decided, Doubt):
        return found if found.recipe.name in {each.recipe.name for each in decided.readings} else None
    return found if found.recipe.family == "vocals" and decided.recipe.family != "vocals" else None


def label(stem: str) -> str:
    """Return a stem's name as a key of a session sheet."""
    return '"' + "".join(f"\\{char}" if char in '"\\' else char for char in PurePosixPath(stem).as_posix()) + '"'
