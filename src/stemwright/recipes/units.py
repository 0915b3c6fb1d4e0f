"""Units: numbers as the trade writes them ("30 kHz", "+4 dB", "4:1"), read and written back.

Conventions
-----------
A bare number is Hz, dB, ms, percent, dB/oct or a ratio. Reading is exact: ``2.3 kHz`` and ``2300 Hz`` are the same float,
and what `show` writes `parse` reads back to the bit.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from stemwright.recipes.problems import shown

Quantity = Literal[
    "frequency", "gain", "depth", "level", "time", "percent", "ratio", "slope", "q", "count", "phase", "verdict", "tempo"
]

_NUMBER = re.compile(r"(?P<sign>[-+]?)(?P<digits>[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE](?P<power>[-+]?[0-9]{1,3}))?")
_COMMA = re.compile(r"[-+]?[0-9]+,[0-9]+")
MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True)
class Units:
    """The units of one quantity.

    ``scales`` leads from a spelling to the power of ten that gives the base unit. ``show`` writes the first of them, and
    ``large`` from 1000 on. ``signed`` values show their plus. Where there are ``words``, a value is one of them, counted from 0.
    """

    what: str
    scales: dict[str, int]
    example: str
    large: str | None = None
    signed: bool = False
    words: tuple[str, ...] = ()

    @property
    def wanted(self) -> str:
        """What to write instead."""
        return f"write {self.what}, as in {self.example}"


UNITS: dict[Quantity, Units] = {
    "frequency": Units("a frequency", {"Hz": 0, "kHz": 3}, "250 Hz or 30 kHz", large="kHz"),
    "gain": Units("a gain in dB", {"dB": 0}, "+4 dB or -1.5 dB", signed=True),
    "depth": Units("an amount in dB", {"dB": 0}, "6 dB"),
    "level": Units("a level in dB", {"dB": 0, "dBFS": 0}, "-18 dB"),
    "time": Units("a time", {"ms": 0, "s": 3}, "30 ms or 1.5 s", large="s"),
    "percent": Units("a percentage", {"%": 0}, "50 %"),
    "ratio": Units("a ratio", {":1": 0}, "4:1"),
    "slope": Units("a slope", {"dB/oct": 0}, "12 dB/oct"),
    "q": Units("a plain number", {}, "0.7"),
    "count": Units("a whole number", {}, "2"),
    "phase": Units("minimum or linear", {}, "linear", words=("minimum", "linear")),
    "verdict": Units("taken or offered", {}, "offered", words=("taken", "offered")),
    "tempo": Units("a tempo in quarters a minute", {"bpm": 0}, "88 bpm"),
}


class UnitError(ValueError):
    """A value that is not of the quantity asked for; the message shows it and says what to write."""


def parse(quantity: Quantity, value: object) -> float:
    """Read a value with or without its unit.

    Parameters
    ----------
    quantity : str
        One of `UNITS`.
    value : object
        A number, or text such as ``"30 kHz"``. A real minus sign is as good as a hyphen.

    Returns
    -------
    float
        In Hz, dB, ms, percent, dB/oct, or without unit. Finite.

    Raises
    ------
    UnitError
        If it is not a number of that quantity.
    """
    units = UNITS[quantity]
    if units.words:
        if value not in units.words:
            raise UnitError(f"not allowed here ({shown(_plainly(value))}); write {units.what}")
        return float(units.words.index(str(value)))
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise UnitError(f"not a number ({shown(_plainly(value))}); {units.wanted}")
    try:
        number = _from_text(quantity, value) if isinstance(value, str) else float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise UnitError(f"not a finite number ({shown(_plainly(value))}); {units.wanted}")
    if quantity == "count" and number != int(number):
        raise UnitError(f"not a whole number ({shown(str(value))}); {units.wanted}")
    return number + 0.0  # -0.0 becomes 0.0, which prints without a sign


def _plainly(value: object) -> str:
    if isinstance(value, int) and not isinstance(value, bool):
        return f"{value:#x}"  # of any size; str() refuses thousands of digits
    return {"True": "true", "False": "false", "None": "nothing"}.get(str(value), str(value))


def _from_text(quantity: Quantity, text: str) -> float:
    units = UNITS[quantity]
    clean = text.strip().replace(MINUS, "-")
    found = _NUMBER.match(clean)
    if found is None:
        raise UnitError(f"not a number ({shown(text)}); {units.wanted}")
    if _COMMA.match(clean):
        raise UnitError(f"a comma in a number ({shown(text)}); write a decimal point, as in {units.example}")
    power = int(found["power"] or 0)
    unit = "".join(clean[found.end() :].split()).casefold()
    if unit:
        scales = {spelling.casefold(): scale for spelling, scale in units.scales.items()}
        if unit not in scales:
            raise UnitError(f"wrong unit ({shown(text)}); {units.wanted}")
        power += scales[unit]
    return float(f"{found['sign']}{found['digits']}e{power}")


def show(quantity: Quantity, value: float) -> str:
    """Write a value as the trade does.

    Parameters
    ----------
    quantity : str
        One of `UNITS`.
    value : float
        In the base unit of `parse`.

    Returns
    -------
    str
        ``30 kHz``, ``+4 dB``, ``-18 dB``, ``1.5 s``, ``50 %``, ``4:1``, ``12 dB/oct``, ``0.7071``.
    """
    units = UNITS[quantity]
    if units.words:
        return units.words[int(value)]
    number = Decimal(repr(float(value))) + 0  # + 0 takes the sign off a zero
    unit = next(iter(units.scales), "")
    if units.large is not None and abs(number) >= 1000:
        unit = units.large
        number = number.scaleb(-units.scales[unit])
    text = format(number, "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    sign = "+" if units.signed and number > 0 else ""
    space = "" if unit.startswith(":") or not unit else " "
    return f"{sign}{text}{space}{unit}"
