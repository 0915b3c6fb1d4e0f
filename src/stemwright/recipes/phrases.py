"""Phrases: which of the recipes' phrases a name has, in order.

Conventions
-----------
A name is read from left to right as phrases, the longest that starts at each word; between the words of a phrase may stand
numbers and words that say how, where or which one ("vox 02 chop"). A phrase of a recipe's ``not`` takes that recipe out, and a
phrase of several words that only such recipes have is read as nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.recipes.deciding import Found
from stemwright.stems.short_forms import WITHOUT
from stemwright.stems.vocabulary import MODIFIERS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stemwright.recipes.library import Claim, Library
    from stemwright.recipes.recipe import Phrase
    from stemwright.recipes.song_words import SongWords

_SPILL = frozenset({"bleed", "spill"})


@dataclass(frozen=True)
class Name:
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
        """The words of the folder, then the name's own."""
        return (*self.folder, *self.whole)


def name_of(folder: Phrase, whole: Phrase, library: Library, song: SongWords) -> Name:
    """Return what is known of a name: its folder's words, its own, and which recipes they take out."""
    written = (*folder, *whole)
    meant = tuple(each for word in written for each in library.speller.meaning(word))
    refused = {
        recipe
        for words in (written, meant)
        for at, word in enumerate(words)
        for phrase, recipe in library.refused_by_first_word.get(word, ())
        if words[at : at + len(phrase)] == phrase
    }
    return Name(folder, whole, frozenset(refused), library, song)


def read(words: Phrase, name: Name) -> list[Found]:
    """Return the phrases of a name in order, without those that a recipe refuses."""
    meaning = name.library.speller.meaning
    plain = tuple(
        (each, at)
        for at, spelt in enumerate(name.song.spelt_out(words, alone=words == name.everything))
        for part in spelt.split()
        for each in meaning(part)
    )
    return list(_phrases(plain, words, name))


def _phrases(plain: tuple[tuple[str, int], ...], words: Phrase, name: Name) -> Iterator[Found]:
    at, denied = 0, False
    while at < len(plain):
        word = plain[at][0]
        end, claims = _longest(plain, at, words, name)
        if not claims:
            denied = word in WITHOUT or (denied and word in MODIFIERS)
            at = max(at + 1, end)
            continue
        spilt = end < len(plain) and plain[end][0] in _SPILL
        if not denied and not spilt:
            yield Found(claims, tuple(words[index] for index in dict.fromkeys(index for _, index in plain[at:end])))
        at, denied = end, False


def _longest(plain: tuple[tuple[str, int], ...], at: int, words: Phrase, name: Name) -> tuple[int, tuple[Claim, ...]]:
    best: tuple[int, int, tuple[Claim, ...]] = (0, at, ())
    for phrase, claims in name.library.by_first_word.get(plain[at][0], ()):
        end = _ends(plain, at, phrase)
        if end is None or len(phrase) <= best[0]:
            continue
        free = [claim for claim in claims if claim.recipe.name not in name.refused]
        if not free and len(phrase) > 1:
            best = (len(phrase), end, ())  # whose it would be is out, and its words mean nothing else: "lead vocal Ann dbl"
            continue
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
