"""Exact: a request in Hz and dB, as engineers write it, to one move. Numbers only, no names."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from stemwright.notes.lexicon import BOOST, CUT

MOST_DB = 12.0
WORD_STEP_DB = 2.0  # "too much around 300", without dB: common practice, no source
NARROW_Q, BELL_Q, SHELF_Q = 10.0, 1.0, 0.7071

_FILTERS: Final = (
    ("high_pass", r"\b(?:high|hi)[ -]?pass(?:ed)?\b|\bhpf?\b|\blow[ -]?cut\b|\broll(?:ed)?[ -]?off (?:\w+ )?below\b|\bcut (?:everything )?below\b"),
    ("low_pass", r"\blow?[ -]?pass(?:ed)?\b|\blpf?\b|\bhigh[ -]?cut\b|\broll(?:ed)?[ -]?off (?:\w+ )?above\b|\bcut (?:everything )?above\b"),
    ("low_shelf", r"\blow[ -]?shelf\b|\bls\b|\bshelf\b.*\bbelow\b"),
    ("high_shelf", r"\b(?:high|hi)[ -]?shelf\b|\bhs\b|\bshelf\b"),
    ("notch", r"\bnotch\b"),
    ("bell", r"\bbell\b|\bpeak(?:ing)?\b"),
)  # fmt: skip
_WORDS: Final = {"one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6"}
_UNIT_DB = r"(?:dbs?|decibels?)"
_SPELLED: Final = (
    ("[\u2212\u2013]", "-"),
    (rf"\bone and a half (?={_UNIT_DB})", "1.5 "),
    (rf"\bhalf (?:a |of a )?(?={_UNIT_DB}\b)", "0.5 "),
    (rf"\b(?:a couple of|couple of|a couple) (?={_UNIT_DB}\b)", "2 "),
    (rf"\b(?:an?) (?={_UNIT_DB}\b)", "1 "),
    (r"\bminus (?=\d)", "-"),
    (r"\bplus (?=\d)", "+"),
    (r"\b(\d+)k(\d)\b", r"\1.\2k"),
    *((rf"\b{word}(?= {_UNIT_DB}\b)", digit) for word, digit in _WORDS.items()),
)
_NUMBER = re.compile(
    r"(?P<sign>(?<![\w.])[-+]\s?)?(?<![\w.])(?P<a>\d+(?:[.,]\d+)?)(?:\s?(?:-|to)\s?(?P<b>\d+(?:[.,]\d+)?))?(?P<k2>k\d)?\s?"
    r"(?P<unit>dbs?\b|decibels?\b|khz\b|k\b|hz\b|hertz\b|cycles?\b|%)?(?![\w])",
)
_Q = re.compile(r"\bq\s*(?:of|about|=|:|at)?\s*(\d+(?:[.,]\d+)?)|\bq (\d+)")
_AT = re.compile(r"(?:@|\bat|\baround|\babout|\bnear|\bfrom|\bin)\s*$")


@dataclass(frozen=True)
class Numbers:
    """The numbers of a piece: frequencies in Hz (one or two for a range), dB with sign where it is known, Q, and a filter."""

    freq_hz: tuple[float, ...]
    gain_db: float | None
    signed: bool
    q: float | None
    filter: str | None


@dataclass(frozen=True)
class ExactMove:
    """One move as it stands in a note; ``settings`` as a plan has them."""

    kind: str
    settings: tuple[tuple[str, float], ...]


def spelled(text: str) -> str:
    """Return text with amounts in words as digits: half a dB, one and a half decibels."""
    for pattern, digits in _SPELLED:
        text = re.sub(pattern, digits, text, flags=re.IGNORECASE)
    return text


def numbers_in(text: str) -> Numbers:
    """Return what a piece of a note says in numbers; the names of stems are taken out of it before."""
    q_match = _Q.search(text)
    q = _number(q_match.group(1) or q_match.group(2)) if q_match else None
    if q_match:
        text = text[: q_match.start()] + " " + text[q_match.end() :]
    kind = next((kind for kind, pattern in _FILTERS if re.search(pattern, text)), None)
    freq: list[float] = []
    gain, signed = None, False
    for match in _NUMBER.finditer(text):
        unit, sign = match.group("unit") or "", (match.group("sign") or "").strip()
        values = [_number(match.group("a")), *([_number(match.group("b"))] if match.group("b") else [])]
        at = _AT.search(text[: match.start()].rstrip() + " ") is not None
        if unit == "%":
            continue
        if unit.startswith(("db", "dec")):
            gain, signed = _signed(values, sign), bool(sign)
        elif unit:
            scale = 1000.0 if unit.startswith("k") else 1.0
            freq += [value * scale if value < 200 else value for value in values]
        elif sign and values[0] <= MOST_DB * 2:
            gain, signed = _signed(values, sign), True
        elif values[0] >= 20.0:
            freq += values
        elif gain is None and not at:
            gain = _signed(values, sign)
    return Numbers(tuple(freq), gain, signed, q, kind)


def exact_move(text: str, numbers: Numbers) -> ExactMove | str | None:
    """Return the move that numbers and verbs say, None where they say none, or what is missing."""
    if not numbers.freq_hz:
        return None
    low, high = min(numbers.freq_hz), max(numbers.freq_hz)
    if not 10.0 <= low <= high <= 40_000.0:
        return f"{low:g} Hz is outside 10 Hz to 40 kHz"
    centre = (low * high) ** 0.5
    kind = numbers.filter
    if kind in ("high_pass", "low_pass"):
        return ExactMove(kind, (("freq_hz", round(centre, 2)), ("slope_db_oct", 12.0)))
    words = re.findall(r"[a-z]+", text)
    gain = numbers.gain_db
    if gain is None:
        if re.search(r"\btoo much\b|\bless\b|\bcut\b|\btake out\b|\bdip\b", text) or kind == "notch":
            gain = -6.0 if kind == "notch" else -WORD_STEP_DB
        elif re.search(r"\bmore\b|\bboost\b|\badd\b|not enough|\bback\b", text):
            gain = WORD_STEP_DB
        else:
            return None
    elif not numbers.signed:
        cut = any(word in CUT for word in words) or kind == "notch"
        boost = any(word in BOOST for word in words)
        if cut == boost and not cut:
            return f"{gain:g} dB up or down? write +{gain:g} dB or -{gain:g} dB"
        first = next(word for word in words if word in CUT or word in BOOST) if cut and boost else ""
        gain = -gain if (cut and not boost) or (first in CUT) else gain
    if not 0.0 < abs(gain) <= MOST_DB:
        return f"{gain:+g} dB in one go; a note may ask for up to {MOST_DB:g} dB"
    if kind is None:
        kind = "bell"
    narrow = "narrow" in words or kind == "notch"
    q = numbers.q or (NARROW_Q if narrow else SHELF_Q if "shelf" in kind else BELL_Q)
    if high > low and numbers.q is None and kind == "bell":
        q = centre / (high - low)
    if kind == "notch" and gain > 0:
        gain = -gain
    limits = {"notch": (0.5, 100.0), "bell": (0.1, 60.0)}.get(kind, (0.3, 2.0))
    return ExactMove(
        kind, (("freq_hz", round(centre, 2)), ("gain_db", gain), ("q", round(min(limits[1], max(limits[0], q)), 4)))
    )


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _signed(values: list[float], sign: str) -> float:
    value = sum(values) / len(values)
    return -value if sign == "-" else value
