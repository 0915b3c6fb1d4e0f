"""Asked: which stem a person means by a part of its name, its number, or its role. Strings only, no disk.

Conventions
-----------
Tried in this order, and the first that fits anything decides: the whole name; the name without its ending; the file's name in
any case and without its folder; words that stand in the name, or its role, with a number or without; letters anywhere in the
name; words of its role ("vocal" of a lead vocal). In words and letters, one and many, accents, and zeros before a number make no
difference. The two sides of a left/right pair are one answer.
"""

from __future__ import annotations

import unicodedata
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.stems.names import base_name, pairs, split_words, without_accents, words_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Words = tuple[str, ...]
SHORTEST_PART = 3


def fitting(asked: str, roles: Mapping[str, str | None]) -> tuple[str, ...]:
    """Return the stems that somebody may mean.

    Parameters
    ----------
    asked : str
        What was said.
    roles : mapping of str to str or None
        The stems to choose from, each with its role where that is known.

    Returns
    -------
    tuple of str
        In the order of `roles`; empty if nothing fits.
    """
    plain = _plain(asked)
    said = _even(split_words(asked))
    by_role = _by_role(said, roles)
    tests: tuple[Callable[[str], bool], ...] = (
        lambda stem: _plain(stem) == plain,
        lambda stem: bare(stem) == plain,
        lambda stem: base_name(_plain(stem)).casefold() == plain.casefold(),
        lambda stem: bool(said) and (_has(_words(stem), said) or stem in by_role),
        lambda stem: (
            len(plain) >= SHORTEST_PART and without_accents(plain.casefold()) in without_accents(_plain(stem).casefold())
        ),
        lambda stem: bool(said) and _has(_even(split_words(roles[stem] or "")), said),
    )
    for test in tests:
        found = tuple(stem for stem in roles if test(stem))
        if found:
            return found
    return ()


def find(asked: str, roles: Mapping[str, str | None], where: str) -> tuple[str, ...]:
    """Return the one stem that somebody means, or both sides of it.

    Parameters
    ----------
    asked : str
        What was said.
    roles : mapping of str to str or None
        The stems to choose from, each with its role where that is known.
    where : str
        What they are stems of, for the message: ``this song``.

    Returns
    -------
    tuple of str
        One stem, or the two sides of a left/right pair.

    Raises
    ------
    SongError
        If none or several fit; the message lists the candidates.
    """
    fits = fitting(asked, roles)
    if is_one(fits):
        return fits
    what = f"fits several stems of {where}" if fits else f"is no stem of {where}"
    raise SongError(f"{asked!r} {what}; give one of: {', '.join(fits or roles)}")


def is_one(fits: tuple[str, ...]) -> bool:
    """Return whether stems are one stem: a single one, or the two sides of a pair."""
    return len(fits) == 1 or (len(fits) == 2 and pairs(fits).get(fits[0]) == fits[1])


def _by_role(said: Words, roles: Mapping[str, str | None]) -> frozenset[str]:
    """Return the stems of a role that was said; with a number, those that have it, or else the one of that place."""
    number = said[-1] if len(said) > 1 and said[-1].isdigit() else None
    found = []
    for wanted in (said, said[:-1]) if number else (said,):
        of_role = [stem for stem, role in roles.items() if role is not None and _even(split_words(role)) == wanted]
        if of_role and wanted != said and number is not None:
            numbered = [stem for stem in of_role if number in _words(stem)]
            of_role = numbered or of_role[int(number) - 1 : int(number)] if int(number) > 0 else numbered
        found.extend(of_role)
    return frozenset(found)


def _has(words: Words, run: Words) -> bool:
    return any(words[at : at + len(run)] == run for at in range(len(words) - len(run) + 1))


def _words(stem: str) -> Words:
    return _even((*split_words(str(PurePosixPath(stem).parent)), *words_of(stem)))


def _even(words: Words) -> Words:
    plain = map(without_accents, words)
    return tuple(str(int(word)) if word.isdecimal() else word.removesuffix("s") or word for word in plain)


def _plain(name: str) -> str:
    return unicodedata.normalize("NFC", name)


def bare(stem: str) -> str:
    """Return a stem's name without its ending, its folder before it."""
    plain = _plain(stem)
    folder, slash, last = plain.rpartition("/")
    return f"{folder}{slash}{base_name(last)}"
