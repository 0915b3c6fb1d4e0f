"""Number words: figures written out, where they are figures: minus five, below eighty, at two point five k. Strings only."""

from __future__ import annotations

import re
from typing import Final

SMALL: Final = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen",
    "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
ORDINALS: Final = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth",
)  # fmt: skip
_SMALL: Final = {word: number for number, word in enumerate(SMALL)}
_TENS_WORDS: Final = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_TENS: Final = {word: 10 * number for number, word in enumerate(_TENS_WORDS, start=2)}
_HALF: Final = "and a half"
_UNIT: Final = r"(?:dbs?|decibels?|hz|hertz|k|khz|kay|kilohertz|percent)\b"
_ONE: Final = "|".join((*_SMALL, *_TENS))
_RUN: Final = (
    rf"(?:(?:{_ONE})\b|a(?=\s+(?:hundred|thousand)\b))"
    rf"(?:(?:[ -]|(?<=hundred)\s+and\s+|(?<=thousand)\s+and\s+)(?:{_ONE}|hundred|thousand)\b)*"
    rf"(?:\s+point(?:\s+(?:{_ONE})\b)+)?(?:\s+{_HALF}\b)?"
)
_SIGNS: Final = ("minus", "plus", "up", "down", "by")
_PLACES: Final = ("at", "below", "under", "above", "over", "around", "about", "near", "from")
_LEAST_HZ: Final = 20.0  # behind a place in the spectrum a figure without a unit is Hz from here on
_SAID: Final = re.compile(rf"(?:\b(?P<lead>{'|'.join((*_SIGNS, *_PLACES))}) )?\b(?P<run>{_RUN})", re.IGNORECASE)
_COUNTS: Final = re.compile(rf"\s?{_UNIT}| or \d+(?:\.\d+)?\s?{_UNIT}", re.IGNORECASE)
_ENDS: Final = re.compile(
    r"\s*(?:$|[,;.!?)&/]|(?:and|on|at|by|in|for|from|with|please|pls|except|but|then|each|all)\b)", re.IGNORECASE
)


def with_digits(text: str) -> str:
    """Return text with number words as digits where a unit, a sign, a direction or a place in the spectrum stands beside them.

    Parameters
    ----------
    text : str
        A sentence of a note.

    Returns
    -------
    str
        ``minus five`` as ``minus 5``, ``below eighty on the keys`` as ``below 80 on the keys``; ``track two`` as it is.
    """
    once = _SAID.sub(_digits, text)
    return once if once == text else _SAID.sub(_digits, once)  # "one or two dB": first the two


def _digits(match: re.Match[str]) -> str:
    lead, value, behind = (match["lead"] or "").lower(), value_of(match["run"]), match.string[match.end() :]
    alone = lead in _SIGNS or (lead in _PLACES and value >= _LEAST_HZ)
    if not (_COUNTS.match(behind) or (alone and _ENDS.match(behind))):
        return match[0]
    return f"{match['lead']} {value:g}" if lead else f"{value:g}"


def value_of(words: str) -> float:
    """Return the number that words say, as they are spoken: two fifty is 250, one point five 1.5, three and a half 3.5.

    Parameters
    ----------
    words : str
        English number words.
    """
    said = words.lower()
    half = 0.5 if said.endswith(_HALF) else 0.0
    whole, _, fraction = said.removesuffix(_HALF).partition(" point ")
    thousands = total = 0.0
    last = 0.0  # two fifty: what tens behind it make hundreds of
    for word in re.findall(r"[a-z]+", whole):
        if word == "thousand":
            thousands, total = 1000.0 * (total or 1.0), 0.0
        elif word == "hundred":
            total = 100.0 * (total or 1.0)
        elif word in _TENS:
            total = _TENS[word] + (100.0 * total if last else total)
        else:
            total += _SMALL.get(word, 0)
        last = _SMALL.get(word, 0)
    for place, word in enumerate(re.findall(r"[a-z]+", fraction), start=1):
        total += _SMALL.get(word, 0) / 10.0**place
    return thousands + total + half
