"""Held names: the words that the names of stems hold, and the stems that are meant by some of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.notes.lexicon import Lexicon, house_lexicon
from stemwright.notes.name_words import is_named, singular, telling, with_numbered
from stemwright.stems.names import base_name, split_words, without_accents
from stemwright.stems.vocabulary import MODIFIERS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from stemwright.recipes.grammar import Phrase

DETERMINERS = (
    "the", "a", "an", "my", "your", "our", "his", "her", "their", "this", "that", "these", "those", "them", "any", "some",
)  # fmt: skip
SHORTEST_JOINED = 5
SHORTEST_PART = 3
SHORTEST_WORD = 2
SIDES = ("left", "right", "l", "r")
NAMES = ("role", "instrument", "group", "part")


class HeldNames:
    """The words that the names of a song's stems hold, without their accents.

    Parameters
    ----------
    stems : sequence of (stem, role or None, family or None)
        Those that have a file.
    partner : mapping of str to str
        The other side of each stem that is one of a pair.
    """

    def __init__(self, stems: Sequence[tuple[str, str | None, str | None]], partner: Mapping[str, str]) -> None:
        self._lexicon: Lexicon = house_lexicon()
        self._partner = partner
        self._roles = {stem: ((role or "").replace("-", " "), family) for stem, role, family in stems}
        written = {stem: split_words(base_name(stem)) for stem, _, _ in stems}
        bags = {stem: _plainly_telling(each) for stem, each in written.items()}
        common = frozenset.intersection(*bags.values()) if len(bags) > 2 else frozenset()
        words = {stem: [word for word in each if not _plainly_telling([word]) <= common] for stem, each in written.items()}
        self._bags = {stem: bag - common for stem, bag in bags.items()}
        self._joined = {stem: without_accents("".join(each)) for stem, each in words.items()}
        self._raw = {stem: set(map(without_accents, each)) for stem, each in words.items()}

    def alone(self, phrase: Phrase) -> tuple[str, ...]:
        """Return the stems whose telling words are these and no others."""
        words = telling(phrase)
        if not phrase or phrase[0] in DETERMINERS:
            return ()
        if len(phrase) == 1 and len(phrase[0]) >= SHORTEST_JOINED:  # "leadsaw" for leadSaw
            joined = self._sides(stem for stem, each in self._joined.items() if each == phrase[0])
            if joined:
                return joined
        if len(phrase) == 2 and all(len(word) >= SHORTEST_PART for word in phrase):  # "metal hits" for metalhits
            joined = self._sides(stem for stem, each in self._joined.items() if each == "".join(phrase))
            if joined:
                return joined
        weak = all(self._weak(word) for word in phrase)
        own = [
            stem for stem, bag in self._bags.items() if (is_named(self._raw[stem], set(phrase)) if weak else bag == words)
        ]
        return self._with_numbered(own, phrase)

    def _with_numbered(self, own: list[str], phrase: Phrase) -> tuple[str, ...]:
        """Return stems, and for many those of their name with a number: "guitars" of a song with guitar and guitar 2."""
        if own and not self.is_one(phrase):
            own = with_numbered(own, self._raw, phrase)
        return self._sides(own)

    def with_word(self, word: str) -> tuple[str, ...]:
        """Return the one stem (or pair) with a word in its name as it stands, however common the word is; a letter is no word."""
        if len(word) < SHORTEST_WORD:
            return ()
        plain = without_accents(word)
        found = self._sides(stem for stem, raw in self._raw.items() if plain in raw)
        return found if len(found) == 1 or self._one_pair(found) else ()

    def with_part(self, part: str) -> tuple[str, ...]:
        """Return the one stem (or pair) whose own name has these letters in it: saw for SuperSaw."""
        if len(part) < SHORTEST_PART or part.isdigit():
            return ()
        plain = without_accents(part)
        whole = len(part) >= SHORTEST_JOINED
        found = self._sides(
            stem
            for stem, joined in self._joined.items()
            if (plain in joined if whole else any(plain in word for word in self._raw[stem]))
        )
        return found if len(found) == 1 or self._one_pair(found) else ()

    def literal(self, phrase: Phrase) -> tuple[str, ...]:
        """Return the stem that has exactly this name, or these telling words and no others where more have them too."""
        own = [stem for stem, raw in self._raw.items() if raw == set(phrase)]
        if not own:
            own = [stem for stem, bag in self._bags.items() if bag == telling(phrase)]
            own = own if any(telling(phrase) < bag for bag in self._bags.values()) else []
        return self._with_numbered(own, phrase)

    def is_written(self, phrase: Phrase) -> bool:
        """Whether a stem's own words are these as they stand, one or many alike."""
        one = {singular(word) for word in phrase}
        return any(is_named({singular(word) for word in raw}, one) for raw in self._raw.values())

    def is_numbered(self, stem: str, phrase: Phrase) -> bool:
        """Whether a stem's words are those of a phrase but for a number: piano 2."""
        return is_named({singular(word) for word in self._raw[stem]}, {singular(word) for word in phrase})

    def is_one(self, phrase: Phrase) -> bool:
        """Whether a phrase names one thing, and not many."""
        return singular(phrase[-1]) == phrase[-1]

    def one_side(self, phrase: Phrase, stems: Sequence[str]) -> bool:
        """Whether a phrase names one side of stems that are a pair."""
        return self._one_pair(stems) and any(word in SIDES for word in phrase)

    def of_side(self, side: str, stems: Sequence[str]) -> tuple[str, ...]:
        """Return those of the stems whose names say a side, each with its other one: the left acoustic."""
        return self._sides(stem for stem in stems if self._raw[stem] & {side, side[0]})

    def has_words(self, stem: str, phrase: Phrase) -> bool:
        """Whether a stem's name has the words of a phrase."""
        return telling(phrase) <= self._bags.get(stem, frozenset())

    def _weak(self, word: str) -> bool:
        if word.isdigit():
            return word != "808"
        return word in MODIFIERS or len(word) < 2 or self._lexicon.says_more_than(word, NAMES)

    def _holding(self, words: frozenset[str]) -> list[str]:
        return [stem for stem, bag in self._bags.items() if words <= bag]

    def _one_pair(self, stems: Sequence[str]) -> bool:
        return len(stems) == 2 and self._partner.get(stems[0]) == stems[1]

    def _sides(self, stems: Iterable[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(side for stem in stems for side in (stem, self._partner.get(stem, stem))))


def _plainly_telling(words: Sequence[str]) -> frozenset[str]:
    return frozenset(map(without_accents, telling(words)))
