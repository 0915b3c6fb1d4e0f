"""Morphology: the words that an inflected word may come from. English endings by rule; which of them is meant, a lexicon decides.

Conventions
-----------
Candidates come nearest first, each with the ending it was found by: ``er`` says "more" of an adjective (brighter), the others
say nothing for a note. Words of fewer than three letters have no endings.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

SHORTEST = 3
OWN: Final = frozenset(("lows", "highs", "keys"))  # are no low, high or key: "lows on the kick" is not low on anything
_RUN: Final = re.compile(r"(.)\1{2,}")
# An ending, what may stand for it in the word it comes from, the shortest such word, and what the ending is called.
_RULES: Final = (
    ("iest", ("y",), 3, "est"),
    ("ier", ("y",), 3, "er"),
    ("iness", ("y",), 3, "ness"),
    ("ies", ("y",), 3, "s"),
    ("ied", ("y",), 3, "ed"),
    ("ily", ("y",), 3, "ly"),
    ("est", ("", "e"), 4, "est"),
    ("er", ("", "e"), 4, "er"),
    ("ness", ("",), 4, "ness"),
    ("ish", ("", "e"), 4, "ish"),
    ("ing", ("", "e", "y"), 3, "ing"),
    ("in", ("", "e"), 4, "ing"),
    ("ed", ("", "e"), 3, "ed"),
    ("ly", ("",), 4, "ly"),
    ("es", ("", "e"), 3, "s"),
    ("s", ("",), 3, "s"),
    ("z", ("", "s"), 3, "s"),
    ("y", ("", "e"), 3, "y"),
)


@lru_cache(maxsize=4096)
def roots(word: str) -> tuple[tuple[str, str], ...]:
    """Return the words that a word may be a form of, itself first, each with the ending between them.

    Parameters
    ----------
    word : str
        In small letters.

    Returns
    -------
    tuple of (str, str)
        ``boomier`` gives ``("boomier", "")``, ``("boomy", "er")``, ``("boom", "er")`` and others that no lexicon has.
    """
    found: dict[str, str] = {word: ""}
    if word in OWN:
        return ((word, ""),)
    for plain in (word, *_shortened(word)):
        found.setdefault(plain, "run")
        for root, ending in _once(plain):
            found.setdefault(root, ending)
            if ending in ("er", "est", "s", "ness", "ed") and root.endswith("y"):
                for deeper, _ in _once(root):
                    found.setdefault(deeper, ending)
        if len(plain) >= SHORTEST and plain.isalpha():
            found.setdefault(f"{plain}y", "y")
            found.setdefault(f"{plain}{plain[-1]}y", "y")
            if plain.endswith("e"):
                found.setdefault(f"{plain[:-1]}y", "y")
    return tuple(found.items())


def _shortened(word: str) -> tuple[str, ...]:
    return (_RUN.sub(r"\1\1", word), _RUN.sub(r"\1", word)) if _RUN.search(word) else ()


def _once(word: str) -> list[tuple[str, str]]:
    found = []
    for ending, instead, shortest, name in _RULES:
        if not word.endswith(ending) or (word.endswith("ss") and ending == "s"):
            continue
        stem = word[: -len(ending)]
        doubled = len(stem) > SHORTEST and stem[-1] == stem[-2] and stem[-1] not in "aeiou"
        hissing = ending != "es" or stem.endswith(("s", "x", "z", "ch", "sh", "o"))  # "hates" is no form of "hat"
        options = [stem + each for each in instead if each or hissing]
        if doubled and ending not in ("s", "es", "z"):
            options.append(stem[:-1])
        found += [(each, name) for each in options if len(each) >= (SHORTEST if doubled else shortest)]
    return found
