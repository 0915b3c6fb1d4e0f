"""Names: a file's name as words, and left and right files of one stem. Strings only, no disk.

Conventions
-----------
A word is a run of letters, or a run of digits. Words end at anything else (space, ``_``, ``-``, ``.``), where a small letter
meets a capital (``leadVox``), and between letters and digits (``808s``). A run of capitals is one word with what follows it:
``HHat`` is ``hhat``, ``BVs`` is ``bvs``, ``KICKIN`` is ``kickin``. Case is folded, accents are kept, Unicode is in form NFC.
"""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from functools import lru_cache
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Iterable

Side = Literal["L", "R"]

# An ending has a letter in it: "Kick.01" without one is still "kick 01".
_ENDING = re.compile(r"\.(?=[a-z0-9]{1,5}$)[0-9]*[a-z][a-z0-9]*$", re.IGNORECASE)


def base_name(path: str) -> str:
    """Return a path's file name without its ending: ``Drums/Kick 01.wav`` is ``Kick 01``."""
    name = PurePosixPath(path).name
    return _ENDING.sub("", name) or name


def words_of(name: str) -> tuple[str, ...]:
    """Split a file name into words.

    Parameters
    ----------
    name : str
        A name or a path with ``/``, with or without an ending such as ``.wav``.

    Returns
    -------
    tuple of str
        ``HiHat 01_PRINT.wav`` gives ``("hi", "hat", "01", "print")``.
    """
    return split_words(base_name(name))


_ASCII_WORD = re.compile("[A-Z]+[a-z]*|[a-z]+|[0-9]+")


def split_words(text: str) -> tuple[str, ...]:
    """Split any text into words, as `words_of` does with a name that has no ending."""
    if text.isascii():  # most are, and need no look at every character by itself
        return tuple(word.lower() for word in _ASCII_WORD.findall(text))
    words: list[str] = []
    current = ""
    last = ""
    for char in unicodedata.normalize("NFC", text):
        sort = _sort(char)
        if sort == "mark" and current:
            current += char  # an accent without a composed form belongs to its letter
            continue
        if not current or sort != _sort(last) or (last.islower() and char.isupper()):
            words.append(current)
            current = ""
        if sort in ("letter", "digit"):
            current += char
            last = char
    words.append(current)
    folded = (unicodedata.normalize("NFC", word.casefold()) for word in words)
    return tuple(word for word in folded if word)


def without_accents(text: str) -> str:
    """Return a text without accents, as hurried people write it: ``Güiro`` is ``Guiro``."""
    if text.isascii():
        return text
    return "".join(char for char in unicodedata.normalize("NFD", text) if not unicodedata.combining(char))


@lru_cache(maxsize=4096)
def _sort(char: str) -> str:
    category = unicodedata.category(char) if char else ""
    return {"L": "letter", "M": "mark"}.get(category[:1], "digit" if category == "Nd" else "other")


# Bracketed, after a separator, or a capital right behind anything ("OHL", "Gtr2R"): "vocal" and "bar" have no side.
_SIDE = re.compile(
    r"""(?P<open>[(\[]) (?P<inside>l|r|left|right) [)\]] $
      | (?<=[\s_.\-]) (?P<apart>l|r|left|right) $
      | (?<=[^\s_.\-(\[]) (?P<joined>(?-i:L|R|Left|Right|LEFT|RIGHT)) $""",
    re.IGNORECASE | re.VERBOSE,
)


def side_of(path: str) -> tuple[Side, str] | None:
    """Return which side of a left/right pair a name says it is.

    Parameters
    ----------
    path : str
        A stem's name: a path with ``/``.

    Returns
    -------
    tuple of ("L" or "R") and str, or None
        The second is equal for both sides of one pair: ``Gtr_L.wav`` and ``Gtr_R.wav``.
    """
    whole = unicodedata.normalize("NFC", path)
    base = base_name(whole)
    found = _SIDE.search(base)
    if found is None or not split_words(base[: found.start()]):
        return None
    kind = next(group for group in ("inside", "apart", "joined") if found[group])
    word = found[kind]
    side: Side = "L" if word[0] in "lL" else "R"
    ending = PurePosixPath(whole).name[len(base) :]
    folder = PurePosixPath(whole).parent
    # "\0" cannot be in a file's name, so no other stem can have this key.
    return side, f"{folder}/{base[: found.start(kind)]}\0{'word' if len(word) > 1 else 'letter'}{ending}".casefold()


def pairs(paths: Iterable[str]) -> dict[str, str]:
    """Find the left and right files among stems.

    Parameters
    ----------
    paths : iterable of str
        Stems' names.

    Returns
    -------
    dict of str to str
        Both sides, each with its partner. A name counts only if exactly one left and one right of it are there.
    """
    sides: dict[str, dict[Side, list[str]]] = defaultdict(lambda: {"L": [], "R": []})
    for path in dict.fromkeys(paths):
        found = side_of(path)
        if found is not None:
            sides[found[1]][found[0]].append(path)
    partner: dict[str, str] = {}
    for both in sides.values():
        if len(both["L"]) == 1 and len(both["R"]) == 1:
            (left,), (right,) = both["L"], both["R"]
            partner[left] = right
            partner[right] = left
    return partner


def safe(text: str) -> str:
    """Return a text from outside with control, bidirectional-override and undecodable characters made visible."""
    return "".join(
        char
        if unicodedata.category(char) not in ("Cc", "Cf", "Cs", "Zl", "Zp")
        else char.encode("unicode_escape", "backslashreplace").decode()
        for char in text
    )
