"""Restating: what a gist asks, as asks, and an ask as a note says it, which reads back as itself."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.asking import amount_in
from stemwright.notes.frames import Ask, ExactMove
from stemwright.notes.levels import LEVEL_WORD

if TYPE_CHECKING:
    from stemwright.notes.gist.effects import Effects
    from stemwright.notes.gist.reading import Gist, Wanted
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead

A_TOUCH: Final = 0.5  # amounts, as they are written
A_BIT: Final = 0.7
_WHAT: Final = (
    r"(?:(?:a touch |a bit )?(?:more|less) [\w -]+|ride it|[\w -]*[+-][\d.]+ dB(?: at [\d.]+ k?Hz(?: q [\d.]+)?)?)"
)
_ONE: Final = rf'"[^"]*"(?:, "[^"]*")*: {_WHAT}(?:, only [^;"]+)?'
_AS_OFFERED: Final = re.compile(f"{_ONE}(?:; {_ONE})*")


def does(ask: Ask, stem: str, sight: tuple[Targets, Effects]) -> frozenset[str]:
    """Return what an ask does to a stem."""
    targets, effects = sight
    return effects.of_ask(ask, *targets.role_of(stem))


def asks_of(reading: NoteRead, gist: Gist, sight: tuple[Targets, Effects]) -> list[Ask]:
    """Return what the gist asks, of all stems of one thing at once; an ask that was read so already stays itself."""
    asks: list[Ask] = []
    for meant in gist.meant:
        own = next(
            (ask for ask in reading.asks if meant.stem in ask.stems and does(ask, meant.stem, sight) & meant.ways), None
        )
        new = _ask(meant, gist) if own is None else replace(own, stems=(meant.stem,))
        before = next((ask for ask in asks if replace(ask, stems=()) == replace(new, stems=())), None)
        if before is None:
            asks.append(new)
        elif meant.stem not in before.stems:
            asks[asks.index(before)] = replace(before, stems=(*before.stems, meant.stem))
    return asks


def _ask(meant: Wanted, gist: Gist) -> Ask:
    sentence = gist.sentence(0 if meant.at is None else meant.at)
    exact = ExactMove("ride", ()) if meant.word == "ride" else None
    return Ask(
        stems=(meant.stem,),
        named=True,
        word=meant.word,
        amount=1.0 if exact is not None else meant.sign * amount_in(sentence),
        gain_db=None,
        text=gist.said(meant.at),
        exact=exact,
    )


def in_words(ask: Ask) -> str:
    """Return an ask as a note says it."""
    stems = ", ".join(f'"{stem}"' for stem in ask.stems)
    if ask.exact is not None and ask.exact.kind == "ride":
        return f"{stems}: ride it"
    if ask.exact is not None:
        return f"{stems}: {ask.text}"
    if ask.gain_db is not None:
        return f"{stems}: {ask.gain_db:+g} dB" if ask.word == LEVEL_WORD else f"{stems}: {ask.word} {ask.gain_db:+g} dB"
    how = "a touch " if abs(ask.amount) <= A_TOUCH else "a bit " if abs(ask.amount) <= A_BIT else ""
    return f"{stems}: {how}{'more' if ask.amount > 0 else 'less'} {ask.word}"


def is_as_offered(text: str) -> bool:
    """Whether a note is written as `in_words` writes asks, with names in quotes."""
    return _AS_OFFERED.fullmatch(text.strip()) is not None
