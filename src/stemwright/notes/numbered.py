"""Numbered: stems by their number, as people say it: hat 2, the second ad lib, hat two; track 9, stem nine."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from stemwright.notes.number_words import ORDINALS, SMALL
from stemwright.stems.names import base_name, split_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stemwright.recipes.grammar import Phrase

_WORDS: Final = SMALL[1 : len(ORDINALS) + 1]
_SPELT: Final = {word: str(number) for words in (_WORDS, ORDINALS) for number, word in enumerate(words, start=1)}
_LAST: Final = "last"
_TRACKS: Final = ("track", "trk", "stem", "number", "channel", "file")


def with_a_number(phrase: Phrase) -> tuple[Phrase, str] | None:
    """Return what a phrase names and the number it says of it, in digits; None where it says none.

    Parameters
    ----------
    phrase : tuple of str
        ``("second", "hat")`` and ``("hat", "two")`` give ``("hat",)`` and ``"2"``.
    """
    if len(phrase) < 2:
        return None
    if phrase[0] in ORDINALS:
        return phrase[1:], _SPELT[phrase[0]]
    if phrase[0] == _LAST:
        return phrase[1:], _LAST
    number = phrase[-1] if phrase[-1].isdigit() else _SPELT.get(phrase[-1]) if phrase[-1] in _WORDS else None
    return None if number is None else (phrase[:-1], number)


def of_number(stems: Sequence[str], number: str) -> tuple[str, ...]:
    """Return the one of some stems that has a number in its name, or the highest for the last.

    For the first, where none has a 1, it is the one without a number.

    Nothing where several have it, or none.
    """
    numbers = {stem: _numbers_behind(split_words(base_name(stem))) for stem in stems}
    if number == _LAST:
        number = str(max((int(each) for own in numbers.values() for each in own), default=0))
    found = [stem for stem in stems if number in numbers[stem]]
    if not found and number == "1":
        found = [stem for stem in stems if not numbers[stem]]
    return tuple(found) if len(found) == 1 else ()


def of_track(stems: Iterable[str], phrase: Phrase) -> tuple[str, ...]:
    """Return the one stem whose name begins with the number of a track: track 9, the ninth stem.

    Nothing where the phrase says no such number, or several files begin with it.
    """
    said = with_a_number(phrase)
    if said is None or len(said[0]) != 1 or said[0][0] not in _TRACKS or said[1] == _LAST:
        return ()
    first = {stem: split_words(base_name(stem))[:1] for stem in stems}
    found = [stem for stem, words in first.items() if words and words[0].isdigit() and int(words[0]) == int(said[1])]
    return tuple(found) if len(found) == 1 else ()


def _numbers_behind(words: Sequence[str]) -> set[str]:
    """Return the numbers behind a name's first word; a number in front is a track's."""
    start = next((at for at, word in enumerate(words) if not word.isdigit()), len(words))
    return {word.lstrip("0") or word for word in words[start:] if word.isdigit()}
