"""Placing: where in the song a sentence of a note is meant, by the sections, bars and times of the session sheet.

Conventions
-----------
A place at a sentence's start, or behind a comma, "but" or "only" at its end, holds for the whole sentence; elsewhere for what stands
with it between two commas. A single moment is a second to either side of it: whoever reads a clock is late.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from stemwright.plan.sections import NoSuchSectionError, places
from stemwright.recipes.problems import shown
from stemwright.recipes.times import Times, is_stretch, moment

if TYPE_CHECKING:
    from collections.abc import Collection

    from stemwright.recipes.timeline import Timeline

AROUND_S: Final = 1.0
COMMON: Final = (
    "verse", "verses", "chorus", "choruses", "hook", "hooks", "bridge", "bridges", "intro", "outro", "breakdown", "breakdowns",
    "pre-chorus", "prechorus", "pre chorus", "refrain", "interlude", "coda", "middle eight", "drop", "drops",
    "break", "breaks", "build-up", "buildup",
)  # fmt: skip
ORDINALS: Final = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "last": -1, "final": -1}
CLOCK_TIME = r"\d{1,3}:\d{2}(?:\.\d{1,3})?(?!\w)"
_TIME = rf"{CLOCK_TIME}(?:\s*(?:-|\N{{EN DASH}}|\b(?:to|and|until|till)\b)\s*{CLOCK_TIME})?"
_BARS = r"bars?\s+\d{1,6}(?:\s*(?:-|\N{EN DASH}|\bto\b)\s*(?:bar\s+)?\d{1,6})?(?!\w|\s?(?:dbs?|k?hz)\b)"
_ORDINAL = rf"(?:{'|'.join(ORDINALS)}|\d+(?:st|nd|rd|th))"
_NUMBER = r"(?:\s+\d+(?![\w.:]|\s?(?:dbs?|k|k?hz|%)(?!\w)))?"
_AND = r"(?:\s*,\s*(?:and\s+)?|\s+and\s+|\s*&\s*)(?:(?:in|at|from|during)\s+)?(?:the\s+)?"
_HEDGE = r"(?:(?:but|and)\s+)?(?:(?:only|just)\s+)?"
_CUT = re.compile(r"\s*,\s*|\s+but\s+")


@dataclass(frozen=True)
class Piece:
    """A part of a sentence, and where it is meant; ``said`` empty where that is everywhere, ``problem`` where it is not known."""

    text: str
    phrase: str = ""
    said: tuple[str, ...] = ()
    problem: str = ""


class Placing:
    """Finds places in sentences.

    Parameters
    ----------
    timeline : Timeline
        What the session sheet says of time.
    instruments : collection of str
        Words that are no places here unless the sheet names them: the break, of drums.
    """

    def __init__(self, timeline: Timeline, instruments: Collection[str] = ()) -> None:
        self._timeline = timeline
        common = [each for each in COMMON if each not in instruments]
        self._names = {" ".join(name.split()).casefold(): name for name in timeline.sections}
        name = "|".join(
            re.escape(each).replace(r"\ ", r"\s+") for each in sorted({*self._names, *common}, key=len, reverse=True)
        )
        called = rf"(?:{_ORDINAL}\s+)?(?:{name}){_NUMBER}(?!\w)"
        one = rf"(?:{called}|{_TIME}|{_BARS})"
        self._one = re.compile(one, re.IGNORECASE)
        lead = r"(?:in|during|at|from|between|for|on|through|throughout|around)\s+(?:the\s+|each\s+|every\s+|all\s+(?:the\s+)?)?"
        start = rf"(?:{_HEDGE}{lead}|(?:but\s+)?(?:only|just)\s+(?:the\s+)?)"
        covers = "".join(rf"(?<!\b{verb} )" for verb in ("step", "steps", "stepping", "treading", "walking"))  # on the verse
        self._place = re.compile(
            rf"(?<![\w\"'.]){covers}(?:{start}{one}|{_HEDGE}(?:{_TIME}|{_BARS}))(?:{_AND}{one})*(?:\s+only\b)?",
            re.IGNORECASE,
        )

    def names_one(self, text: str) -> bool:
        """Whether a text names a place."""
        return self._one.search(text) is not None

    def pieces(self, sentence: str) -> list[Piece]:
        """Return a sentence cut where its places need it."""
        found = list(self._place.finditer(_unquoted(sentence)))
        if not found:
            return [Piece(sentence)]
        if len(found) == 1:
            (match,) = found
            before, after = sentence[: match.start()].rstrip(), sentence[match.end() :].strip(" ,.:;")
            stressed = before.endswith(",") or re.search(r"\b(?:but|only|just)\b", match[0], re.IGNORECASE) is not None
            if not before.strip(" ,-") or (not after and stressed):
                return [self._placed(f"{before.rstrip(' ,')} {after}".strip(), match[0])]
        return [self._piece(text) for text in _parts(sentence, found)]

    def _piece(self, text: str) -> Piece:
        found = list(self._place.finditer(_unquoted(text)))
        if len(found) > 1:
            return Piece(text, problem="more than one place; write what is meant in each as a sentence of its own")
        if not found:
            return Piece(text)
        (match,) = found
        return self._placed(f"{text[: match.start()]} {text[match.end() :]}", match[0])

    def _placed(self, text: str, phrase: str) -> Piece:
        plain, phrase = " ".join(text.split()), " ".join(phrase.split())
        try:
            said = tuple(dict.fromkeys(each for one in self._one.findall(phrase) for each in self._said(one)))
            places(self._timeline, said)
        except NoSuchSectionError as error:
            return Piece(f"{plain} {phrase}", problem=str(error))
        return Piece(plain, re.sub(r"^(?:but|and)\s+|\b(?:only|just)\b\s*", "", phrase, flags=re.IGNORECASE).strip(), said)

    def _said(self, text: str) -> list[str]:
        """Return one place as a sheet would write it; a section's name with a number or a first and last as what it names."""
        times = re.findall(CLOCK_TIME, text)
        if times:
            moments = [at for each in times if (at := moment(each)) is not None]
            if len(moments) < len(times):
                raise NoSuchSectionError(f"no time of a song ({shown(text)}); write a time such as 0:45-1:10")
            first, last = (moments[0], moments[-1]) if len(moments) > 1 else (moments[0] - AROUND_S, moments[0] + AROUND_S)
            if first >= last:
                raise NoSuchSectionError(f"ends before it begins ({shown(text)}); write a time such as 0:45-1:10")
            return [str(Times(max(first, 0.0), last))]
        plain = " ".join(text.replace("\N{EN DASH}", "-").split()).casefold()
        if is_stretch(plain) or plain in self._names:
            return [self._names.get(plain, plain)]
        ordinal, _, rest = plain.partition(" ")
        number = ORDINALS.get(ordinal) or (int(ordinal[:-2]) if re.fullmatch(r"\d+(?:st|nd|rd|th)", ordinal) else None)
        counted = re.fullmatch(r"(.+?)\s+(\d+)", plain)
        base = rest if number is not None else counted[1] if counted else plain
        number = int(counted[2]) if number is None and counted else number
        return self._numbered(base, number) or [plain]

    def _numbered(self, base: str, number: int | None) -> list[str]:
        """Return a section's places: all, or the one of that number, whether they are a list or have names of their own."""
        for name in (base, base.removesuffix("s"), base.removesuffix("es")):
            own = [key for key in self._names if re.fullmatch(rf"{re.escape(name)}\s+\d+", key)]
            stretches = [str(each) for each in self._timeline.sections[self._names[name]]] if name in self._names else []
            every = stretches or [self._names[key] for key in sorted(own, key=lambda key: int(key.split()[-1]))]
            if number is None and stretches:
                return [self._names[name]]
            if number is None and every:
                return every
            if number is not None and -1 <= number <= len(every) and every:
                return [every[number - 1 if number > 0 else -1]]
        return []


def _unquoted(text: str) -> str:
    """Return a text, as long, without what stands in quotes: a stem's name is no place, whatever is in it."""
    return re.sub(r'"[^"]*"', lambda quoted: "_" * len(quoted[0]), text)


def _parts(sentence: str, found: list[re.Match[str]]) -> list[str]:
    """Cut a sentence at commas and "but", never inside a place."""
    cuts = [
        match
        for match in _CUT.finditer(_unquoted(sentence))
        if not any(place.start() < match.start() and match.end() < place.end() for place in found)
    ]
    starts, ends = [0, *(cut.end() for cut in cuts)], [*(cut.start() for cut in cuts), len(sentence)]
    return [text for start, end in zip(starts, ends, strict=True) if (text := sentence[start:end].strip())]
