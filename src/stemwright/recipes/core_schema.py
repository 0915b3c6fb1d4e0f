"""Core schema: what a plain YAML value is by YAML 1.2, and which ones YAML 1.1 would have read otherwise.

Conventions
-----------
Sources: YAML 1.2.2, section 10.3.2 (core schema), https://yaml.org/spec/1.2.2/#1032-tag-resolution; for YAML 1.1 its type
repository, https://yaml.org/type/ (bool, int, float).
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from stemwright.recipes.problems import shown

if TYPE_CHECKING:
    from collections.abc import Callable

_CORE: tuple[tuple[re.Pattern[str], Callable[[str], str | float | bool | None]], ...] = (
    (re.compile(r"null|Null|NULL|~|"), lambda _: None),
    (re.compile(r"true|True|TRUE"), lambda _: True),
    (re.compile(r"false|False|FALSE"), lambda _: False),
    (re.compile(r"[-+]?[0-9]{1,18}"), int),
    (re.compile(r"[-+]?[0-9]+"), float),  # int() refuses thousands of digits; nothing here is that large
    (re.compile(r"0o[0-7]{1,18}"), lambda text: int(text, 0)),
    (re.compile(r"0x[0-9a-fA-F]{1,16}"), lambda text: int(text, 0)),
    (re.compile(r"0o[0-7]+|0x[0-9a-fA-F]+"), lambda _: float("inf")),
    (re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?"), float),
    (re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)"), lambda text: float(text.replace(".", ""))),
)

# YAML 1.1 (https://yaml.org/type/bool.html, int.html, float.html) reads these otherwise than 1.2 does.
_YES_NO = re.compile(r"yes|no|on|off", re.IGNORECASE)
_LEADING_ZERO = re.compile(r"[-+]?0[0-9]+")
_SIXTIES = re.compile(r"[-+]?[0-9][0-9_]*(:[0-5]?[0-9])+(\.[0-9_]*)?")
_UNDERSCORES = re.compile(r"[-+]?(0b[01_]+|0x[0-9a-fA-F_]+|[0-9][0-9_]*(\.[0-9_]*)?([eE][-+]?[0-9]+)?)")
_RATIO = re.compile(r"[0-9]+:1")  # 4:1 is 241 to YAML 1.1 and a compressor's ratio to everybody else


_WORDS = frozenset({"null", "Null", "NULL", "true", "True", "TRUE", "false", "False", "FALSE"})
_LONGEST_YES_NO = 3


def core(text: str) -> str | float | bool | None:
    """Return what the YAML 1.2 core schema makes of a plain scalar.

    Parameters
    ----------
    text : str
        As written, without quotes.

    Returns
    -------
    None, bool, int, float or str
    """
    if text[:1].isalpha() and text not in _WORDS:  # nearly every value is a word, and numbers begin otherwise
        return text
    return next((convert(text) for pattern, convert in _CORE if pattern.fullmatch(text)), text)


def surprise(text: str) -> str | None:
    """Say what is wrong with a plain scalar that YAML 1.1 and 1.2 read differently; None if they agree, or no harm is done.

    Parameters
    ----------
    text : str
        As written, without quotes.
    """
    if len(text) > _LONGEST_YES_NO and text[0].isalpha():
        return None
    if _YES_NO.fullmatch(text):
        return f'some readers take this for true or false ({text}); write true or false, or "{text}" in quotes for the word'
    if _LEADING_ZERO.fullmatch(text):
        return f"a leading zero means base 8 to some readers ({shown(text)}); leave it out, or put it in quotes"
    if _SIXTIES.fullmatch(text) and not _RATIO.fullmatch(text):
        return f"some readers take this for base 60 ({shown(text)}); put it in quotes"
    if _UNDERSCORES.fullmatch(text) and ("_" in text or text.lower().lstrip("+-").startswith("0b")):
        return f"some readers take this for a number ({shown(text)}); write plain digits, or put it in quotes"
    return None
