"""Besides: what the words of a note plainly ask of a stem and its whole has not: bring the pad up and take some low end off it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.going_back import is_short
from stemwright.notes.restating import does

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stemwright.notes.frames import Ask
    from stemwright.notes.gist.effects import Effects
    from stemwright.notes.gist.reading import Gist
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead

_PLAINLY: Final = re.compile(
    r"\b(?:more|less|none of|add|boost|cut|take|bring|turn|push|pull|roll|lift|softer|quieter|louder|brighter|darker|"
    r"warmer|thinner|fatter|fuller|clearer|crisper|smoother|cleaner)\b(?! than)",
    re.IGNORECASE,
)
UNTOUCHED: Final = 0.3  # no stem is this likely to change or to go back
MAY_ASK: Final = 0.3  # that a note asks, for praise alone to be no approval
EVEN: Final = 0.5
_GOES_ON: Final = re.compile(
    r"\b(?:but|except|just not|i (?:just )?(?:want|need|wish)|don'?t need|should ?n[o']?t|can'?t|isn'?t|aren'?t)\b",
    re.IGNORECASE,
)
_TURNED: Final = {"more": "less", "less": "more", "louder": "quieter", "quieter": "louder"}
_RIDE: Final = "ride"


def is_plainly_asked(ask: Ask) -> bool:
    """Whether the words of an ask are no mere description: softer, take some off; not: sounds like the next room."""
    return _PLAINLY.search(ask.text) is not None


def refuse_doubtful_praise(reading: NoteRead, gist: Gist) -> None:
    """Refuse a note that only praises, but may ask: I love the pad, it just shouldn't be what I notice first."""
    asks = reading.asks or reading.backs or reading.relations or reading.not_ours or reading.problems or reading.kept_off
    doubted = gist.likely("asks") >= MAY_ASK or _GOES_ON.search(gist.text)
    if reading.approved and not asks and doubted and gist.likely("approval") < EVEN:
        reading.approved = False
        reading.problems.append(
            (gist.text, "it praises, and may ask for something; write what is to change, or only: approved")
        )


def would_lose(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> bool:
    """Whether the gist in the place of words that are all understood would be against them, and so is not to be.

    It is where it turns a stem the other way, is about most stems and they are about others, or passes over one of short sentences.
    """
    said = {(stem, way) for ask in reading.asks for stem in ask.stems for way in does(ask, stem, sight)}
    heard = {(each.stem, way) for each in gist.meant for way in each.ways}
    meant, asked = {each.stem for each in gist.meant}, asked_of(reading)
    turned = not said.isdisjoint((stem, _opposite(way)) for stem, way in heard - said)
    most = 2 * len(meant) > len(gist.stems) and not meant <= asked
    return turned or most or (all(map(is_short, gist.sentences)) and not asked <= meant)


def asked_besides(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> Iterator[Ask]:
    """Yield what a note's words plainly ask of stems of which the gist has only another part of what they ask.

    Parameters
    ----------
    reading : NoteRead
        All of it understood.
    gist : Gist
    sight : tuple of Targets and Effects
    """
    ways: dict[str, set[str]] = {}
    for meant in gist.meant:
        ways.setdefault(meant.stem, set()).update(meant.ways)
    agreed = {stem for ask in reading.asks for stem in ask.stems if ways.get(stem, set()) & does(ask, stem, sight)}
    agreed -= {meant.stem for meant in gist.meant if meant.word == _RIDE}
    for ask in reading.asks:
        if not is_plainly_asked(ask):
            continue
        stems = tuple(stem for stem in ask.stems if stem in agreed and not _touches(does(ask, stem, sight), ways[stem]))
        if stems:
            yield replace(ask, stems=stems)


def _touches(said: frozenset[str], heard: set[str]) -> bool:
    """Whether one does something of the other, or turns it back."""
    return not heard.isdisjoint(said | {_opposite(way) for way in said})


def _opposite(way: str) -> str:
    first, _, rest = way.partition(" ")
    return f"{_TURNED.get(first, first)} {rest}".strip()


def asked_of(reading: NoteRead) -> set[str]:
    """Return the stems that a note asks something of."""
    return {stem for ask in reading.asks for stem in ask.stems}


def is_borne_out(reading: NoteRead, gist: Gist) -> bool:
    """Whether most stems are asked, and the gist has half of them; not: otherwise it is perfect, some notes boom, others are gone."""
    asked = asked_of(reading)
    borne_out = sum(gist.likely_meant(stem) >= UNTOUCHED for stem in asked)
    return 2 * borne_out >= len(asked) > len(gist.stems) / 2
