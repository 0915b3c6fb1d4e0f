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
        groups = [names, *_by_folder(names)]
        self._openings = _found([[words for _, words in group] for group in groups], families)
        closed = [[self._opened(words)[::-1] for _, words in group] for group in groups]
        self._closings = _found(closed, families)

    def left(self, words: Words) -> Words:
        """Return the words of a name without the run it begins with and the one it ends with."""
        return _cut(self._opened(words)[::-1], self._closings)[::-1]

    def _opened(self, words: Words) -> Words:
        return _cut(words, self._openings)


def _by_folder(names: Sequence[tuple[str, Words]]) -> list[list[tuple[str, Words]]]:
    folders: dict[PurePosixPath, list[tuple[str, Words]]] = {}
    for path, words in names:
        folders.setdefault(PurePosixPath(path).parent, []).append((path, words))
    return list(folders.values()) if len(folders) > 1 else []


def _start(words: Words) -> int:
    return next((at for at, word in enumerate(words) if not word.isdigit()), len(words))


def _cut(words: Words, runs: Sequence[Words]) -> Words:
    at = _start(words)
    for run in runs:
        if words[at : at + len(run)] == run and len(words) > at + len(run):
            return (*words[:at], *words[at + len(run) :])
    return words


def _found(groups: Sequence[Sequence[Words]], families: Families) -> tuple[Words, ...]:
    runs = {run for group in groups if (run := _longest(group)) and _says_nothing(run, group, families)}
    return tuple(sorted(runs, key=lambda run: (-len(run), run)))


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


def _says_nothing(run: Words, group: Sequence[Words], families: Families) -> bool:
    if not any(families(word) for word in run):
        return True
    rest = [_cut(words, (run,)) for words in group]
    said = [
        frozenset().union(*(families(word) for word in words))
        for words, whole in zip(rest, group, strict=True)
        if words != whole
    ]
    clear = [next(iter(each)) for each in said if len(each) == 1]
    return len(run) > 1 and len(clear) >= MOST * len(said) and len(set(clear)) > 1
