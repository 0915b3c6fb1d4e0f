"""Letterings: which letters a song's names are written in, and which words of them only say whose take or which section it is."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from stemwright.recipes.shared_runs import FEWEST_FILES
from stemwright.stems.short_forms import BESIDE, CODES, HORNS, PLAYED
from stemwright.stems.vocabulary import MODIFIERS

if TYPE_CHECKING:
    from stemwright.recipes.spelling import Speller, Words

ENOUGH_CODES = 3
LETTERINGS = frozenset(BESIDE).union(*CODES.values())


def marks_of(every: list[Words], speller: Speller) -> frozenset[str]:
    """Return the words that are none of ours and end several names in two or three letters, or stand in many: whose, which section."""
    last = Counter(words[-1] for words in every if len(words) > 1)
    often = Counter(word for words in every if len(words) > 1 for word in set(words))
    many = max(FEWEST_FILES, len(every) // 5)
    return frozenset(
        word
        for word in often
        if ((last[word] >= ENOUGH_CODES and len(word) in (2, 3)) or often[word] >= many)
        and word not in LETTERINGS
        and speller.is_strange(word)
    )


def codes_of(every: list[Words]) -> dict[str, str]:
    """Return the lettering that most of the song's whole names are written in, if enough of them are; of two what both say."""
    letters = [
        [word for word in words if not (word.isdigit() or word in PLAYED or word in MODIFIERS)] or list(words)
        for words in every
    ]
    letters = [[word for word in words if len(word) > 1] or words for words in letters]  # "stem h hp"
    used = {words[0] for words in letters if len(words) == 1}
    counts = {sort: len(used & codes.keys()) for sort, codes in CODES.items()}
    most = max(counts.values())
    best = [CODES[sort] for sort, count in counts.items() if count == most]
    horns = HORNS if len(used & HORNS.keys()) >= ENOUGH_CODES else {}
    if most < ENOUGH_CODES:
        return horns
    return {word: meaning for word, meaning in best[0].items() if all(each.get(word) == meaning for each in best)} | horns
