"""Numbers: figures of a note with their units: Hz, dB, Q, per cent, slopes and times. Strings only."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from stemwright.notes.number_words import with_digits

_WORDS: Final = {"zwei": "2", "dos": "2"}
_UNIT_DB = r"(?:dbs?|decibels?)"
_NO_LESS: Final = r"(?!.*\b(?:off|down|less|lower|out|quieter|softer|cut|reduction)\b)"
_SPELLED: Final = tuple(
    (re.compile(pattern, re.IGNORECASE), digits)
    for pattern, digits in (
        ("[\u2212\u2013](?=\\s?\\.?\\d)", "-"),
        (r"\bbetween (\d+(?:\.\d+)?)\s?(?:hz|(k)(?:hz)?)? and (?=\d)", r"around \1\2-"),
        (rf"\b(?:a|one) {_UNIT_DB} and a half\b", "1.5 dB"),
        (rf"\b(?:a|one) {_UNIT_DB} or two\b", "1-2 dB"),
        (r"\b(?:menos|moins|meno) (?=\d)", "-"),
        (r"\b(?:m[áa]s|plus|pi[ùu]|mais) (?=\d)", "+"),
        (r"\bbout (?=\d)", "about "),
        (rf"\b(\d+) and a half (?={_UNIT_DB})", r"\1.5 "),
        (rf"\b(?:three|3) quarters of an? (?={_UNIT_DB}\b)", "0.75 "),
        (rf"\b(?:a|one|1) quarter of an? (?={_UNIT_DB}\b)", "0.25 "),
        (rf"\bhalf (?:an? |of an? )?(?={_UNIT_DB}\b)", "0.5 "),
        (rf"\b(?:a )?(?:couple|few)(?: of)? (?={_UNIT_DB}\b)", "2 "),
        (rf"(?<!\bdown )(?<!\bdown by )(?<!\bless )\b(?:another|(?:1|one) more) (?={_UNIT_DB}\b{_NO_LESS})", "+1 "),
        (rf"\b(?:1|one) more (?={_UNIT_DB}\b{_NO_LESS})", "1 "),
        (rf"\b(\d+(?:\.\d+)?) more (?={_UNIT_DB}\b{_NO_LESS})", r"+\1 "),
        (rf"\b(?:a|an|another) (?={_UNIT_DB}\b)", "1 "),
        (rf"\b(\d+(?:\.\d+)?) or (?=\d+(?:\.\d+)?\s?(?:{_UNIT_DB}|k|k?hz)\b)", r"\1-"),
        (r"\bminus (?=\.?\d)", "-"),
        (r"\bplus (?=\.?\d)", "+"),
        (r"([-+])\s?(\d+(?:\.\d+)?)\s?(?:dbs?)?(?: to | till | until )\1\s?(?=\d)", r"\1\2 to "),
        (r"\b(\d+)k(\d)\b", r"\1.\2k"),
        (r"\b(\d+)[.,](\d{3})(?=\s?(?:hz|hertz))", r"\1\2"),
        (r"(?<![\w.])([-+]?)\.(\d)", r"\g<1>0.\2"),
        *((rf"\b{word}(?= {_UNIT_DB}\b)", digit) for word, digit in _WORDS.items()),
    )
)
NUMBER: Final = (
    r"(?P<sign>(?:(?<![\w.])|(?<=[a-zA-Z]))[-+]\s?)?(?<![\d.])(?P<a>\d+(?:[.,]\d+)?)(?:(?:\s?k?\u2013\s?|k?-|\sto\s|\s-\s)(?P<b>\d+(?:[.,]\d+)?))?\s?"
    r"(?P<unit>db\s?(?:/|per)\s?oct(?:ave)?|dbs?\b|decibels?\b|khz\b|kay\b|k\b|hz\b|hertz\b|cycles?\b|%|percent\b|per cent\b)?"
    r"(?![a-zA-Z\d])"
)
Q: Final = r"\bq\s*(?:of|about|around|=|:|at)?\s*(?P<q>\d+(?:[.,]\d+)?)"
_UNITS: Final = (("d", "db"), ("k", "hz"), ("h", "hz"), ("c", "hz"), ("%", "%"), ("p", "%"))
LEAST_NOT_KHZ = 200.0
LEAST_BARE_HZ: Final = 20.0  # a figure without a unit from here on is Hz, under it dB, or kHz behind "at"
CLOCK: Final = r"\b(?P<minutes>\d{1,2}):(?P<seconds>\d\d)\b"


@dataclass(frozen=True)
class Figure:
    """A figure: its value or the two ends of a range, its unit (hz, db, q, %, slope, s or none), and whether a sign was written."""

    values: tuple[float, ...]
    unit: str
    signed: bool

    @property
    def value(self) -> float:
        """The value; of a range the middle, for frequencies the geometric one."""
        if self.unit == "hz":
            return float((min(self.values) * max(self.values)) ** 0.5)
        return sum(self.values) / len(self.values)

    @property
    def is_frequency(self) -> bool:
        """Whether it is Hz, as written or by its size."""
        return self.unit == "hz" or (not self.unit and not self.signed and self.value >= LEAST_BARE_HZ)


def spelled(text: str) -> str:
    """Return text with amounts in words as digits: half a dB, one and a half decibels, minus two."""
    text = with_digits(text)
    for pattern, digits in _SPELLED:
        text = pattern.sub(digits, text)
    return text


def figure(match: re.Match[str]) -> Figure:
    """Return what a match of `NUMBER`, `Q` or `CLOCK` says."""
    groups = match.groupdict()
    if groups.get("q"):
        return Figure((_number(groups["q"]),), "q", signed=False)
    if groups.get("minutes"):
        return Figure((60.0 * int(groups["minutes"]) + int(groups["seconds"]),), "s", signed=False)
    written = (groups["unit"] or "").lower()
    unit = next((unit for start, unit in _UNITS if written.startswith(start)), "")
    unit = "slope" if "oct" in written else unit
    sign = -1.0 if (groups["sign"] or "").strip() == "-" else 1.0
    values = tuple(_number(each) for each in (groups["a"], groups["b"]) if each)
    if written.startswith("k"):
        return Figure(tuple(value * 1000.0 if value < LEAST_NOT_KHZ else value for value in values), unit, signed=False)
    if unit in ("db", ""):
        return Figure(tuple(sign * value for value in values), unit, signed=bool(groups["sign"]))
    return Figure(values, unit, signed=False)


def _number(text: str) -> float:
    return float(text.replace(",", "."))
