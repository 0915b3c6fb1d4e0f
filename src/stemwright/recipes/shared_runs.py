"""Shared runs: what most of a song's names, or of one folder's, begin or end with says nothing about any of them.

Conventions
-----------
A run is looked for behind the numbers at a name's start and before those at its end. One that has a word which says something is
dropped only if it has two words and more, and what is left says things of several families: of "Ride Home kick" and "Ride Home
vox" the ride is the song's, but "Lead Vox 1" and "Lead Vox high" are vocals.
"""

from __future__ import annotations

from collections import Counter
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from stemwright.recipes.spelling import Words

    Families = Callable[[str], frozenset[str]]

FEWEST_FILES = 4
MOST = 2 / 3


class Runs:
    """The runs that a song's names begin and end with.

    Parameters
    ----------
    names : sequence of tuple of str and tuple of str
        Each file's path, and the words of its name that are to be looked at.
    families : callable
        The families of recipes that a word asks for by itself.
    """

    def __init__(self, names: Sequence[tuple[str, Words]], families: Families) -> None:
        openings: set[Words] = set()
        closings: set[Words] = set()
        for group in ([words for _, words in names], *_by_folder(names)):
            opening = _longest(group)
            behind = [_cut(words, (opening,)) if opening else words for words in group]
            closing = _longest([words[::-1] for words in behind])
            left = [_cut(words[::-1], (closing,))[::-1] if closing else words for words in behind]
            several = _are_several([rest for rest, words in zip(left, group, strict=True) if rest != words], families)
            for run, found in ((opening, openings), (closing, closings)):
                if run and (not any(families(word) for word in run) or (len(run) > 1 and several)):
                    found.add(run)
        self._openings = _longest_first(openings)
        self._closings = _longest_first(closings)

    def left(self, words: Words) -> Words:
        """Return the words of a name without the run it begins with and the one it ends with."""
        return _cut(self._opened(words)[::-1], self._closings)[::-1]

    def _opened(self, words: Words) -> Words:
        return _cut(words, self._openings)


def _by_folder(names: Sequence[tuple[str, Words]]) -> list[list[Words]]:
    folders: dict[PurePosixPath, list[Words]] = {}
    for path, words in names:
        folders.setdefault(PurePosixPath(path).parent, []).append(words)
    return list(folders.values()) if len(folders) > 1 else []


def _longest_first(runs: set[Words]) -> tuple[Words, ...]:
    return tuple(sorted(runs, key=lambda run: (-len(run), run)))


def _start(words: Words) -> int:
    return next((at for at, word in enumerate(words) if not word.isdigit()), len(words))


def _cut(words: Words, runs: Sequence[Words]) -> Words:
    at = _start(words)
    for run in runs:
        if words[at : at + len(run)] == run and len(words) > at + len(run):
            return (*words[:at], *words[at + len(run) :])
    return words


def _longest(group: Sequence[Words]) -> Words:
    """Return the longest run that most names of a group begin with."""
    starts = [words[_start(words) :] for words in group]
    least = max(FEWEST_FILES, MOST * len(group))
    best: Words = ()
    while True:
        longer = Counter(words[: len(best) + 1] for words in starts if len(words) > len(best) and words[: len(best)] == best)
        run, count = longer.most_common(1)[0] if longer else ((), 0)
        if count < least:
            return best
        best = run


def _are_several(left: Sequence[Words], families: Families) -> bool:
    """Return whether most of what is left of names says a thing of one family each, and not all of the same."""
    said = [frozenset().union(*(families(word) for word in words)) for words in left]
    clear = [next(iter(each)) for each in said if len(each) == 1]
    return len(clear) >= MOST * len(said) and len(set(clear)) > 1
