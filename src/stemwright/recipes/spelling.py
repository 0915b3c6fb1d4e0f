"""Spelling: a file's word as the word recipes use for it: other spellings, accents, plurals, slips, words run together.

Conventions
-----------
Each rule is tried in that order, and only on words that no rule before it knows; each only where one meaning is in reach.

- Plurals in s, z, es and x ("plux"); letters held ("supersaww").
- A given name is nobody's instrument ("margit").
- Words run together are taken apart only where every part says something by itself, or all of them together are one of the
  recipes' phrases ("snaretopmic", "palmmute").
- Vowels left out: the four consonants and more of one known word and no vowel ("crsh", "prcsn"); three are any word's.
- Compounds and diminutives by their endings (`stemwright.recipes.endings`).
- A slip: a letter too many (not at the end: a sampler is no sample), too few, two in the wrong order, or a vowel or a letter
  of the same sound for another, in a word of five letters and more whose first letter is right; two in the wrong order in
  four as well ("calp").
- A mark of one or two letters without a vowel in front of one that ends no other word ("mpkick", "rgtr").
- `OTHER_WORDS` are words of the language that are near one of ours, and are never taken for it ("strong" is no "string").
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from stemwright.recipes.endings import folded, headed, small
from stemwright.stems.everyday import EVERYDAY, OTHER_WORDS, VAGUE
from stemwright.stems.names import without_accents
from stemwright.stems.people import PEOPLE
from stemwright.stems.vocabulary import EXACT, JOINED, MARKED, MODIFIERS, SPELLINGS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

Words = tuple[str, ...]
NEVER_MEANT = OTHER_WORDS | PEOPLE
SHORTEST_MISTAKEN = 5
SHORTEST_SWAPPED = 4
SHORTEST_EVERYDAY = 5  # a shorter everyday word is part of too many others: "mar" in "market"
SHORTEST_BESIDE_VOWEL = 4  # beside a short form with a vowel: "elsynth", and no "model"
# What only many of them name: ends are sung again, tops are a loop; an end and a top are places.
MANY_ONLY = frozenset(("ends", "tops", "wides", "trips", "accents", "punches", "pans"))
_VOWEL = re.compile("[aeiouyäöüáéíóú]")  # a short form without one is near too much: "strong" and "strng"
SHORTEST_PART = 2
SHORTEST_CLIPPED = 4
SHORTEST_FOLDED = 6
# Letters that are no other letter with an accent.
_LETTERS = str.maketrans({"ł": "l", "ø": "o", "ı": "i", "đ": "d", "ß": "ss", "æ": "ae", "œ": "oe"})  # noqa: RUF001 (a dotless i on purpose)
_ALIKE = ("aeiouy", "ckqsz", "fvw", "bp", "dt", "gj", "mn")  # letters taken for one another


class Speller:
    """Knows the words of recipes' phrases and everything that stands for one of them.

    Parameters
    ----------
    phrases : iterable of tuple of str
        Every phrase, in words as written there.
    """

    def __init__(self, phrases: Iterable[Words]) -> None:
        every = frozenset(phrases)
        self._written = frozenset(word for phrase in every for word in phrase)
        self._known: dict[str, Words] = {word: self._plain(word) for word in self._written} | SPELLINGS
        plain = {_bare(word): meaning for word, meaning in self._known.items() if not word.isascii()}
        self._exact = EXACT | (
            plain.keys() - self._known.keys()
        )  # no right spelling of a wrong word, and no part of another
        self._known = plain | self._known
        self._phrases = frozenset(tuple(each for word in phrase for each in self._known[word]) for phrase in every)
        self._fragments = {
            word for word in self._known if len(word) >= SHORTEST_PART and not word.isdigit() and word not in self._exact
        }
        alone = {phrase[0] for phrase in every if len(phrase) == 1} | SPELLINGS.keys()
        vague = {word for word in (EVERYDAY | VAGUE) - SPELLINGS.keys() - JOINED if len(word) < SHORTEST_EVERYDAY}
        self._usual = SPELLINGS.keys() | {word for meaning in SPELLINGS.values() for word in meaning}
        self._small = {word: self._known[word] for word in (self._fragments | EXACT) & alone - EVERYDAY - VAGUE}
        self._parts = (self._fragments & alone - vague) | {word for word in MODIFIERS if len(word) > SHORTEST_PART}
        self._fragments |= self._parts
        self._meaning = cache(self._find)

    def meaning(self, word: str) -> Words:
        """Return the words that one word of a name stands for; itself where nothing is known of it."""
        return self._meaning(word)

    def knows(self, word: str) -> bool:
        """Return whether a word, as it stands or by a rule, is one that recipes use."""
        return any(each in self._written or each in self._known for each in self._meaning(word))

    def is_strange(self, word: str) -> bool:
        """Return whether a word is one that nobody knows: letters alone, used by no recipe, and no how, where or when."""
        return word.isalpha() and word not in MODIFIERS and not self.knows(word)

    def _plain(self, word: str) -> Words:
        """Return a word of a phrase as one in the singular, if the singular is a word of a phrase too."""
        if word in SPELLINGS:
            return SPELLINGS[word]
        if word in MANY_ONLY:
            return (word,)
        single = word.removesuffix("s")
        if single != word and (single in self._written or single in SPELLINGS):
            return SPELLINGS.get(single, (single,))
        return (word,)

    def _find(self, word: str) -> Words:
        if word in self._known:
            return self._known[word]
        if word in MODIFIERS or word.isdigit():
            return (word,)
        bare = without_accents(word)
        once = _singulars(bare)
        forms = (bare, *once, *(twice for form in once for twice in _singulars(form)))
        exact = next((each for each in forms if each in self._known and not _is_short_modifier(each)), None)
        if exact is None and NEVER_MEANT.isdisjoint(forms):
            exact = next((form for form in _respelt(word, forms) if form in self._known), None)
        if exact is not None or not NEVER_MEANT.isdisjoint(forms):
            return self._known[exact] if exact else (word,)
        for rule in (self._apart, self._clipped, self._ended, self._mistaken, self._marked):
            for single in dict.fromkeys(forms):
                found = rule(single)
                if found:
                    return found
        return (word,)

    def _apart(self, word: str) -> Words:
        """Return the two known words that one was made of, or else the three; none where it can be read in two ways."""
        for count in (2, 3):
            ways = self._ways(word, count)
            found = {self._meant(way) for way in ways if self._likely(way)}
            if found:
                return found.pop() if len(found) == 1 else ()
        return ()

    def _ways(self, word: str, count: int) -> list[Words]:
        """Return the ways to take a word apart into known ones."""
        if count == 1:
            return [(word,)] if word in self._fragments else []
        return [
            (word[:at], *rest)
            for at in range(SHORTEST_PART, len(word) - SHORTEST_PART + 1)
            if word[:at] in self._fragments
            for rest in self._ways(word[at:], count - 1)
        ]

    def _meant(self, way: Words) -> Words:
        return tuple(each for part in way for each in self._known.get(part, (part,)))

    def _likely(self, way: Words) -> bool:
        """Return whether parts are likely to be words: of three letters and more, or a usual short form and a longer one."""
        if not (self._parts.issuperset(way) or (self._meant(way) in self._phrases and min(map(len, way)) > SHORTEST_PART)):
            return False
        if all(part in MODIFIERS for part in way):
            return False
        short = [part for part in way if len(part) == SHORTEST_PART]
        if not short:
            return True
        longest = max(map(len, way))
        least = SHORTEST_BESIDE_VOWEL if _VOWEL.search(short[0]) else SHORTEST_PART + 1
        return len(way) == 2 and JOINED.issuperset(short) and longest >= least

    def _clipped(self, word: str) -> Words:
        """Return the one known word that has these consonants, if the vowels are left out."""
        if len(word) < SHORTEST_CLIPPED or _VOWEL.search(word):
            return ()
        bones = _bones(word)
        near = {meaning for known, meaning in self._known.items() if len(known) > len(word) and _bones(known) == bones}
        return near.pop() if len(near) == 1 else ()

    def _marked(self, word: str) -> Words:
        """Return the known word behind a mark of one or two letters."""
        found = [self._known[word[at:]] for at in (1, 2) if word[at:] in MARKED and not _VOWEL.search(word[:at])]
        return found[0] if found else ()

    def _mistaken(self, word: str) -> Words:
        if len(word) < SHORTEST_MISTAKEN:
            return self._swapped(word)
        near = {
            meaning
            for known, meaning in self._known.items()
            if _VOWEL.search(known)
            and known not in self._exact
            and (len(known) > SHORTEST_MISTAKEN or (len(known) == SHORTEST_MISTAKEN and known in self._usual))
            and (known[0] == word[0] or {known[0], word[0]} == {"c", "k"})
            and not word.startswith(known)
            and not (len(word) == len(known) == SHORTEST_MISTAKEN and word[:-1] == known[:-1])
            and one_slip(word, known, alike=_ALIKE)
        }
        return near.pop() if len(near) == 1 else ()

    def _ended(self, word: str) -> Words:
        """Return what a compound or a diminutive is by its ending."""
        return headed(folded(word), self._known) or small(word, self._small)

    def _swapped(self, word: str) -> Words:
        """Return the known word of four letters that has two of them in the other order."""
        near = {
            self._known[swapped]
            for at in range(1, len(word) - 1)
            if len(word) == SHORTEST_SWAPPED
            and (swapped := word[:at] + word[at + 1] + word[at] + word[at + 2 :]) in self._parts - MODIFIERS
        }
        return near.pop() if len(near) == 1 else ()


def _singulars(word: str) -> list[str]:
    calm = re.sub(r"(.)\1{2,}", r"\1\1", word)
    forms = [word[:-1]] if word.endswith(("s", "z")) and len(word) > SHORTEST_PART else []
    forms += [word[:-1] + "s"] if word.endswith("z") else []
    forms += [word[:-1] + "ck"] if word.endswith("x") and len(word) > SHORTEST_PART + 1 else []
    forms += [word[:-2]] if word.endswith("es") and len(word) > SHORTEST_MISTAKEN else []
    forms += [word[:-1]] if word[-1:] == word[-2:-1] and len(word) > SHORTEST_PART + 1 else []
    return [*forms, *([calm, re.sub(r"(.)\1+", r"\1", word)] if calm != word else [])]


def _is_short_modifier(word: str) -> bool:
    return len(word) <= SHORTEST_PART and word in MODIFIERS


def _respelt(word: str, forms: Words) -> Words:
    """Return a word with its strokes and dots taken off, and its umlauts in one letter."""
    return (_bare(word), *(folded(form) for form in forms if len(form) >= SHORTEST_FOLDED))


def _bare(word: str) -> str:
    return without_accents(word).translate(_LETTERS)


def _bones(word: str) -> str:
    return re.sub(r"(.)\1+", r"\1", _VOWEL.sub("", word))


def one_slip(wrong: str, right: str, *, alike: Sequence[str] = ()) -> bool:
    """Return whether one letter too many, too few, swapped with its neighbour or taken for another is all the difference.

    Parameters
    ----------
    wrong, right : str
        A word as written, and the one that may be meant.
    alike : sequence of str
        Letters that are taken for one another; none: any for any.
    """
    if len(wrong) == len(right):
        differ = [at for at in range(len(wrong)) if wrong[at] != right[at]]
        first, last = (differ[0], differ[-1]) if differ else (0, 0)
        if len(differ) == 1:
            return not alike or any(wrong[first] in each and right[first] in each for each in alike)
        return len(differ) == 2 and last == first + 1 and wrong[first] == right[last] and wrong[last] == right[first]
    short, long = sorted((wrong, right), key=len)
    return len(long) == len(short) + 1 and any(long[:at] + long[at + 1 :] == short for at in range(len(long)))
