"""Spelling: a file's word as the word recipes use for it: other spellings, plurals, mistakes of one letter, words run together.

Conventions
-----------
Each rule is tried in that order, and only on words that no rule before it knows. A mistake is a letter too many (not at the
end: a sampler is no sample), too few, or two in the wrong order, in a word of five letters and more whose first letter is
right, and only where one meaning is in reach ("strong" is no "string"). Words run together are taken apart only where every
part is known.
"""

from __future__ import annotations

import re
from functools import cache

from stemwright.stems.vocabulary import MODIFIERS, SPELLINGS

Words = tuple[str, ...]
SHORTEST_MISTAKEN = 5
_VOWEL = re.compile("[aeiouyäöüáéíóú]")  # a short form without one is near too much: "strong" and "strng"
SHORTEST_PART = 2


class Speller:
    """Knows the words of recipes' phrases and everything that stands for one of them.

    Parameters
    ----------
    words : frozenset of str
        Every word of every phrase, as written there.
    """

    def __init__(self, words: frozenset[str]) -> None:
        self._written = words
        self._known: dict[str, Words] = {word: self._plain(word) for word in words} | SPELLINGS
        self._parts = {word for word in self._known if len(word) >= SHORTEST_PART and not word.isdigit()} | {
            word for word in MODIFIERS if len(word) > SHORTEST_PART
        }
        self._meaning = cache(self._find)

    def meaning(self, word: str) -> Words:
        """Return the words that one word of a name stands for; itself where nothing is known of it."""
        return self._meaning(word)

    def knows(self, word: str) -> bool:
        """Return whether a word, as it stands or by a rule, is one that recipes use."""
        return any(each in self._written or each in self._known for each in self._meaning(word))

    def _plain(self, word: str) -> Words:
        """Return a word of a phrase as one in the singular, if the singular is a word of a phrase too."""
        if word in SPELLINGS:
            return SPELLINGS[word]
        single = word.removesuffix("s")
        if single != word and (single in self._written or single in SPELLINGS):
            return SPELLINGS.get(single, (single,))
        return (word,)

    def _find(self, word: str) -> Words:
        if word in self._known:
            return self._known[word]
        if word in MODIFIERS or word.isdigit():
            return (word,)
        for single in _singulars(word):
            if single in self._known:
                return self._known[single]
        apart = self._apart(word)
        if apart:
            return apart
        return self._mistaken(word) or (word,)

    def _apart(self, word: str) -> Words:
        """Return two known words that one was made of; none where it can be read in two ways."""
        found = set()
        for at in range(SHORTEST_PART, len(word) - SHORTEST_PART + 1):
            parts = word[:at], word[at:]
            if all(part in self._parts for part in parts) and not all(part in MODIFIERS for part in parts):
                found.add(tuple(each for part in parts for each in self._known.get(part, (part,))))
        return found.pop() if len(found) == 1 and len(word) >= 2 * SHORTEST_PART else ()

    def _mistaken(self, word: str) -> Words:
        if len(word) < SHORTEST_MISTAKEN:
            return ()
        near = {
            meaning
            for known, meaning in self._known.items()
            if _VOWEL.search(known)
            and len(known) >= SHORTEST_MISTAKEN - 1
            and known[0] == word[0]
            and not word.startswith(known)
            and _one_slip(word, known)
        }
        return near.pop() if len(near) == 1 else ()


def _singulars(word: str) -> list[str]:
    calm = re.sub(r"(.)\1{2,}", r"\1\1", word)
    forms = [word[:-1]] if word.endswith(("s", "z")) and len(word) > SHORTEST_PART else []
    forms += [word[:-1] + "s"] if word.endswith("z") else []
    forms += [word[:-2]] if word.endswith("es") and len(word) > SHORTEST_MISTAKEN else []
    return [*forms, *([calm, re.sub(r"(.)\1+", r"\1", word)] if calm != word else [])]


def _one_slip(wrong: str, right: str) -> bool:
    """Return whether one letter too many, too few, or two swapped, make one word of the other."""
    if len(wrong) == len(right):
        differ = [at for at in range(len(wrong)) if wrong[at] != right[at]]
        first, last = (differ[0], differ[-1]) if differ else (0, 0)
        return len(differ) == 2 and last == first + 1 and wrong[first] == right[last] and wrong[last] == right[first]
    short, long = sorted((wrong, right), key=len)
    return len(long) == len(short) + 1 and any(long[:at] + long[at + 1 :] == short for at in range(len(long)))
