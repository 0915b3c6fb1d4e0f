"""Problems: what is wrong in a file a person wrote, where exactly, what is allowed, and the nearest right word.

Conventions
-----------
Lines and columns count from 1, and so do entries of a list: ``moves[2]`` is the second move. A value is shown in
brackets as it was written.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, Protocol

from stemwright.errors import RecipeError

if TYPE_CHECKING:
    from collections.abc import Iterable

LONGEST_SHOWN = 60
MOST_PER_FILE = 50


class Place(Protocol):
    """Anything that knows where it was written."""

    @property
    def line(self) -> int:
        """Line, from 1."""

    @property
    def column(self) -> int:
        """Column in characters, from 1."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong: ``where`` is the way to it (``moves[2].bell.freq``), empty for the file as a whole."""

    file: str
    line: int
    column: int
    where: str
    message: str

    def __str__(self) -> str:
        parts = (f"{self.file}:{self.line}:{self.column}", self.where, self.message)
        return ": ".join(part for part in parts if part)


class Problems:
    """Collects problems of several files, to raise all of them at once in file order."""

    def __init__(self) -> None:
        self._by_file: dict[str, list[Problem]] = {}

    def begin(self, file: str) -> None:
        """Give a file its place in the order."""
        self._by_file.setdefault(file, [])

    def add(self, file: str, place: Place | None, where: str, message: str) -> None:
        """Add one; a place of None is the file's beginning."""
        line, column = (place.line, place.column) if place is not None else (1, 1)
        self._by_file.setdefault(file, []).append(Problem(file, line, column, where, message))

    def take(self, others: Problems, file: str) -> None:
        """Take over what others found in a file."""
        self._by_file.setdefault(file, []).extend(others._by_file.get(file, []))

    def found_in(self, file: str) -> bool:
        """Whether this file has problems."""
        return bool(self._by_file.get(file))

    def lines(self) -> list[str]:
        """Return every problem as one line, in file order; a file with very many ends in a count of the rest."""
        lines: list[str] = []
        for file, problems in self._by_file.items():
            found = sorted(dict.fromkeys(problems), key=lambda problem: (problem.line, problem.column))
            lines += [str(problem) for problem in found[:MOST_PER_FILE]]
            if len(found) > MOST_PER_FILE:
                lines.append(f"{file}: and {len(found) - MOST_PER_FILE} problems more")
        return lines

    def raise_any(self) -> None:
        """Raise what was found.

        Raises
        ------
        RecipeError
            If there is a problem.
        """
        lines = self.lines()
        if lines:
            raise RecipeError(lines)


def shown(text: str) -> str:
    """Return a value fit for a message: one line, printable, cut where it is long."""
    clean = "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in " ".join(text.split()))
    return clean if len(clean) <= LONGEST_SHOWN else clean[: LONGEST_SHOWN - 1] + "…"


def nearest(word: str, allowed: Iterable[str]) -> str | None:
    """Return the allowed word that was most likely meant, or None."""
    by_fold = {candidate.casefold(): candidate for candidate in reversed(list(allowed))}
    # A long text is no misspelt word, and difflib takes its time over it.
    close = get_close_matches(word[:LONGEST_SHOWN].casefold(), by_fold, n=1, cutoff=0.6)
    return by_fold[close[0]] if close else None


def hint(word: str, allowed: Iterable[str], *, most: int = 12) -> str:
    """Return ``did you mean bell? allowed: bell, notch``, for a word that is none of the allowed ones.

    Parameters
    ----------
    word : str
        As written.
    allowed : iterable of str
        In the order they are to be listed.
    most : int
        List no more than so many; a long list is left to its own command.
    """
    words = list(allowed)
    if not words:
        return "there are none"
    near = nearest(word, words)
    meant = f"did you mean {shown(near)}? " if near else ""
    more = ", …" if len(words) > most else ""
    return f"{meant}allowed: {', '.join(shown(candidate) for candidate in words[:most])}{more}"
