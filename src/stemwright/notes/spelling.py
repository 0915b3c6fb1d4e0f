"""Spelling: the word that somebody meant to type. Only long words, only one letter away, only where it can be one word."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.recipes.spelling import one_slip

if TYPE_CHECKING:
    from stemwright.notes.lexicon import Lexicon

SHORTEST = 7  # of a shorter one, one letter in six may make another word


def near(word: str, *lexicons: Lexicon) -> str | None:
    """Return the one known word that differs by a letter too many, too few, another, or two changed over."""
    if len(word) < SHORTEST or not word.isalpha():
        return None
    found = {
        first
        for lexicon in lexicons
        for first, phrases in lexicon.by_first.items()
        if abs(len(first) - len(word)) <= 1
        and len(first) >= SHORTEST - 1
        and (first,) in phrases
        and first[0] == word[0]
        and first != word
        and one_slip(word, first)
    }
    return found.pop() if len(found) == 1 else None
