"""Idle words: what a name has that says nothing of what the stem is: counts, tunings, pedals, a workstation's own names.

Conventions
-----------
Words are as `stemwright.stems.names` splits them. Which word is whose is common practice, no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.stems.people import TITLES
from stemwright.stems.short_forms import COUNTED, IDLE_PAIRS, OF_STRINGS, ON_STRINGS, PLACES, TUNINGS, UNNAMED, WITH
from stemwright.stems.vocabulary import MODIFIERS

if TYPE_CHECKING:
    from stemwright.recipes.spelling import Speller, Words

ALONE_A_MIX = ("pista",)
OF = frozenset({"de", "du", "des", "del", "della"})  # "di" is a box as well
AUDIENCE = "aud"
SIDES = frozenset({"l", "r", "left", "right", "lr"})
TWO = 2  # digits: "ch 24" is a channel, "CH1" and "CH909" are hats


def without_idle(words: Words, speller: Speller) -> Words:
    """Return words without those that say nothing where they stand.

    ``Inst 3`` is any track, a bass in ``drop A`` or with ``5 str`` is a bass, and so is one with ``chorus fx``.
    """
    idle: set[int] = set()
    for at, word in enumerate(words):
        after = words[at + 1] if at + 1 < len(words) else ""
        if (
            (word in COUNTED and after.isdigit())
            or (word == "ch" and len(after) == TWO and after.isdigit())
            or (word == "el" and after.endswith(("o", "a")) and speller.is_strange(after))  # an article
            or _counts_strings(words, at, speller)
        ):
            idle.add(at)
        if word in TITLES and any(speller.knows(other) for other in (*words[:at], *words[at + 2 :])):
            idle.add(at + 1)  # somebody's name: "voz don Chelo"
        if (word, after) in IDLE_PAIRS or (word == "drop" and after in TUNINGS):
            idle |= {at, at + 1}
    return tuple(word for at, word in enumerate(words) if at not in idle)


def _counts_strings(words: Words, at: int, speller: Speller) -> bool:
    return (
        words[at] in ("string", "str", "strg")
        and at > 0
        and words[at - 1] in OF_STRINGS
        and any(not ON_STRINGS.isdisjoint(speller.meaning(word)) for word in words)
    )


def before_with(words: Words) -> Words:
    """Return the words in front of the first that means with; all where there is none, or nothing in front of it."""
    at = next((at for at, word in enumerate(words) if at and word in WITH), len(words))
    return words[:at]


def before_of(words: Words) -> Words:
    """Return the words in front of the first that means of, as Romance tongues say what a thing is before whose: ``cor d'harmonie``."""
    at = next(
        (at for at, word in enumerate(words) if 0 < at < len(words) - 1 and _means_of(word, words[at + 1])), len(words)
    )
    return words[:at]


def _means_of(word: str, after: str) -> bool:
    return word in OF or (word == "d" and after[0] in "aeiouyhéêàâîô")


def is_unnamed(words: Words) -> bool:
    """Return whether a name is only what a workstation calls any track or file: ``Audio 14-bip``."""
    whole = [word for word in words if not word.isdigit()]
    if whole[:1] == [AUDIENCE] and SIDES.issuperset(whole[1:]) and whole[1:]:
        return False  # microphones in front of it
    return (
        words != ALONE_A_MIX
        and bool(UNNAMED.intersection(whole))
        and all(word in UNNAMED or word in MODIFIERS - PLACES for word in whole)
    )
