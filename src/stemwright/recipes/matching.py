"""Matching: which recipe a stem's name asks for.

Conventions
-----------
A name is read from left to right as phrases, the longest that starts at each word; between the words of a phrase may stand
numbers and words that say how, where or which one ("vox 02 chop"). Of several phrases the last one decides, as in English
the last noun does ("snare roll hat" is a hat), but one of a recipe's ``general`` words only where no other does ("piano
keys"), and a vague one of those only where nothing else in the name or its folder does ("drum solo").
What stands in brackets decides only where nothing else does. A phrase of a recipe's ``not`` takes that recipe out. Recipes
of one's own come before the house's. Where no phrase is the file's, its folder's name stands before its own.

Where two readings are left, or the one that decides would cut off what the other needs, neither is taken: `Doubt`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.recipes.song_words import SongWords, song_words
from stemwright.stems.everyday import EVERYDAY, VAGUE
from stemwright.stems.names import base_name, split_words
from stemwright.stems.short_forms import COUNTED
from stemwright.stems.vocabulary import MODIFIERS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from stemwright.recipes.library import Claim, Library
    from stemwright.recipes.recipe import Phrase, Recipe

_BRACKETS = re.compile(r"[\[(].*?[\])]")
_WITHOUT = frozenset({"no", "without", "minus", "ohne", "sin", "sans", "senza", "sem"})
_SPILL = frozenset({"bleed", "spill"})
SAMPLED = "vocal sample"
BOTH = "folder's and its own name"
VOICE_OR_WIND = frozenset({"choir", "woodwinds"})
RHYTHM = frozenset({"kick", "snare", "drum", "hat", "guitar", "808"})
UPRIGHTS = frozenset({"bass", "piano"})
LOW_HZ = 45.0
CUT_OFF_RATIO = 2.5
_NAME, _GENERAL, _EVERYDAY, _VAGUE = range(4)


@dataclass(frozen=True)
class Match:
    """A recipe that takes a stem, the words of the name that did it, and the reason in words."""

    recipe: Recipe
    phrase: Phrase
    why: str


@dataclass(frozen=True)
class Doubt:
    """Readings of one name that exclude each other; none is taken."""

    readings: tuple[Match, ...]


@dataclass(frozen=True)
class _Found:
    """A phrase found in a name: who claims it, and the words as they were written."""

    claims: tuple[Claim, ...]
    written: Phrase

    @property
    def weight(self) -> int:
        """How little it says: 0 for a name, then a general one, an everyday word, and a vague one."""
        if all(claim.general and VAGUE.issuperset(claim.phrase) for claim in self.claims):
            return _VAGUE
        if len(self.written) == 1 and (
            self.written[0] in EVERYDAY
            or all(len(claim.phrase) == 1 and claim.phrase[0] in EVERYDAY for claim in self.claims)
        ):
            return _EVERYDAY
        return _GENERAL if all(claim.general for claim in self.claims) else _NAME

    @property
    def families(self) -> set[str | None]:
        return {claim.recipe.family for claim in self.claims}


@dataclass(frozen=True)
class _Name:
    """What is known of one name before its phrases are read.

    Parameters
    ----------
    folder, whole : tuple of str
        The words of its folder, and its own.
    refused : frozenset of str
        Recipes that a phrase of their ``not`` in either takes out.
    """

    folder: Phrase
    whole: Phrase
    refused: frozenset[str]
    library: Library
    song: SongWords

    @property
    def everything(self) -> Phrase:
        return (*self.folder, *self.whole)


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
    song = song_words(names, library.speller, titles)
    found = {name: match(name, library, song) for name in names}
    if song.sings_in_parts and song.heard.isdisjoint(RHYTHM):
        found |= {name: match(name, library, replace(song, codes={**song.codes, "bass": "choir bass"})) for name in names}
    sure = [each.recipe for each in found.values() if isinstance(each, Match)]
    return {name: _settled(each, sure, song) if isinstance(each, Doubt) else each for name, each in found.items()}


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
    name = _name(known.folder(stem), known.own(stem), library, known)
    outside = known.left(split_words(_BRACKETS.sub(" ", base_name(stem))))
    weak: list[_Found] = []
    for words in dict.fromkeys((outside, name.whole)):
        found = _read(words, name)
        if any(each.weight == _NAME for each in found):
            decided = _decide(found, library, "name")
            return _by_folder(decided, name) or decided
        weak = weak or found
    inside = _read(name.everything, name) if name.folder else []
    across = _across(inside, name)
    if across:
        return _decide(across, library, BOTH)
    if weak and not (inside and _yields(weak, _read(name.folder, name))):
        return _decide(weak, library, "name")
    return _decide(inside, library, "folder's name") if inside else None


def _yields(weak: list[_Found], folder: list[_Found]) -> bool:
    """Return whether what a name says is less than what its folder does."""
    least = min(each.weight for each in weak)
    if least == _EVERYDAY and folder:
        return {family for each in weak if each.weight == least for family in each.families}.isdisjoint(folder[-1].families)
    return least == _VAGUE


def _name(folder: Phrase, whole: Phrase, library: Library, song: SongWords) -> _Name:
    written = (*folder, *whole)
    meant = tuple(each for word in written for each in library.speller.meaning(word))
    refused = {
        recipe
        for words in (written, meant)
        for at, word in enumerate(words)
        for phrase, recipe in library.refused_by_first_word.get(word, ())
        if words[at : at + len(phrase)] == phrase
    }
    return _Name(folder, whole, frozenset(refused), library, song)


def _across(found: list[_Found], name: _Name) -> list[_Found]:
    """Return the phrases that begin in a folder's name and end in a file's."""
    return [each for each in found if set(each.written) & set(name.folder) and set(each.written) & set(name.whole)]


def _by_folder(decided: Match | Doubt, name: _Name) -> Match | None:
    """Return the reading that a folder's and a file's name make together, if it settles a doubt, or if it is sung ("Choir/Bass")."""
    across = _across(_read(name.everything, name), name) if name.folder else []
    found = _decide(across, name.library, BOTH) if across else None
    if not isinstance(found, Match):
        return None
    if isinstance(decided, Doubt):
        return found if found.recipe.name in {each.recipe.name for each in decided.readings} else None
    return found if found.recipe.family == "vocals" and decided.recipe.family != "vocals" else None


def _read(words: Phrase, name: _Name) -> list[_Found]:
    """Return the phrases of a name in order, without those that a recipe refuses."""
    meaning = name.library.speller.meaning
    plain = tuple(
        (each, at)
        for at, spelt in enumerate(name.song.spelt_out(words, alone=words == name.everything))
        if not _is_counted(words, at)
        for part in spelt.split()
        for each in meaning(part)
    )
    return list(_phrases(plain, words, name))


def _is_counted(words: Phrase, at: int) -> bool:
    return words[at] in COUNTED and at + 1 < len(words) and words[at + 1].isdigit()


def _phrases(plain: tuple[tuple[str, int], ...], words: Phrase, name: _Name) -> Iterator[_Found]:
    at, denied = 0, False
    while at < len(plain):
        word = plain[at][0]
        end, claims = _longest(plain, at, words, name)
        if not claims:
            denied = word in _WITHOUT or (denied and word in MODIFIERS)
            at += 1
            continue
        spilt = end < len(plain) and plain[end][0] in _SPILL
        if not denied and not spilt:
            yield _Found(claims, tuple(words[index] for index in dict.fromkeys(index for _, index in plain[at:end])))
        at, denied = end, False


def _longest(plain: tuple[tuple[str, int], ...], at: int, words: Phrase, name: _Name) -> tuple[int, tuple[Claim, ...]]:
    best: tuple[int, int, tuple[Claim, ...]] = (0, at, ())
    for phrase, claims in name.library.by_first_word.get(plain[at][0], ()):
        end = _ends(plain, at, phrase)
        if end is None or len(phrase) <= best[0]:
            continue
        free = [claim for claim in claims if claim.recipe.name not in name.refused]
        own = [claim for claim in free if claim.recipe.name in name.library.own] or free
        written = words[plain[at][1] : plain[end - 1][1] + 1]
        exact = [claim for claim in own if claim.phrase == written] or own
        if exact:
            best = (len(phrase), end, tuple(exact))
    return best[1], best[2]


def _ends(plain: tuple[tuple[str, int], ...], at: int, phrase: Phrase) -> int | None:
    """Return where a phrase that starts at a word ends, numbers and modifiers inside it passed over."""
    for wanted in phrase[1:]:
        at += 1
        while at < len(plain) and plain[at][0] != wanted and (plain[at][0].isdigit() or plain[at][0] in MODIFIERS):
            at += 1
        if at == len(plain) or plain[at][0] != wanted:
            return None
    return at + 1


def _decide(found: list[_Found], library: Library, where: str) -> Match | Doubt:
    own = [each for each in found if any(claim.recipe.name in library.own for claim in each.claims)]
    least = min(each.weight for each in own or found)
    strong = [each for each in own or found if each.weight == least]
    last = strong[-1]
    readings = _readings(last, where)
    if len(readings) == 1 and last.weight == _NAME:
        low = [
            each for other in strong[:-1] for each in _readings(other, where) if _cuts_off(readings[0].recipe, each.recipe)
        ]
        readings = [*low[:1], *readings]
    return readings[0] if len(readings) == 1 else Doubt(tuple(readings))


def _readings(found: _Found, where: str) -> list[Match]:
    written = " ".join(found.written)
    claims: dict[str, Claim] = {}
    for claim in found.claims:
        claims.setdefault(claim.recipe.name, claim)
    made = []
    for name in sorted(claims):
        claim = claims[name]
        meant = " ".join(claim.phrase)
        read = "" if set(claim.phrase) <= set(found.written) else f", read as '{meant}'"
        made.append(Match(claim.recipe, claim.phrase, f"its {where} has '{written}'{read}"))
    return made


def _cuts_off(deciding: Recipe, other: Recipe) -> bool:
    """Return whether the recipe that decides would take the body from the other, if that is what the stem is."""
    low, high = (_roll_off_hz(recipe) for recipe in (other, deciding))
    return low is not None and high is not None and low <= LOW_HZ and high >= CUT_OFF_RATIO * low


def _roll_off_hz(recipe: Recipe) -> float | None:
    return next((move.settings["freq_hz"] for move in recipe.moves if move.kind == "high_pass" and not move.off), None)


def _settled(doubt: Doubt, sure: list[Recipe], song: SongWords) -> Match | Doubt:
    """Settle a doubt by the song's other stems.

    Nobody sings where nobody else does, and one lead singer is enough. An alto is sung where others sing and nobody blows, and
    blown where others blow and nobody sings. Of two kinds of uprights, the one that the song has not is meant.
    """
    sung = any(recipe.family == "vocals" and recipe.name != SAMPLED for recipe in sure)
    taken = {recipe.name for recipe in sure}
    left = [each for each in doubt.readings if each.recipe.family != "vocals" or (sung and each.recipe.name not in taken)]
    names = {each.recipe.name for each in doubt.readings}
    if names == VOICE_OR_WIND:
        blown = bool(taken & {"woodwinds", "brass"}) and not song.sings_in_parts
        sung = sung or song.sings_in_parts
        left = [each for each in doubt.readings if sung != blown and (each.recipe.family == "vocals") == sung]
    elif names == UPRIGHTS:
        left = [each for each in doubt.readings if each.recipe.name not in taken]
    return left[0] if len(left) == 1 else replace(doubt, readings=tuple(left)) if left else doubt


def label(stem: str) -> str:
    """Return a stem's name as a key of a session sheet."""
    return '"' + "".join(f"\\{char}" if char in '"\\' else char for char in PurePosixPath(stem).as_posix()) + '"'
