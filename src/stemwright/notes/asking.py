"""Asking: the asks of a clause, once it is known whom it is about and which words of sound it asks for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from stemwright.notes.exact import direction_in, exact_move, frequencies_in, gain_in, within
from stemwright.notes.frames import UNDIRECTED, Ask, ExactMove, PieceError
from stemwright.notes.levels import HALVED_DB, LEVEL_WORD, halved, level_sign
from stemwright.notes.qualities import Quality
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from stemwright.notes.frames import When
    from stemwright.notes.items import Item
    from stemwright.notes.subjects import Subjects
    from stemwright.notes.targets import Targets
    from stemwright.recipes.words import Vocabulary

COMPLAINED: Final = ("bites",)  # at a frequency, as whatever is done to "me": there it is too much
PAINFUL: Final = "killing"
LEAST_AMOUNT, MOST_AMOUNT = 0.5, 2.0
PERCENT_OF_A_STEP: Final = 20.0  # "20 % less": a plain step; common practice, no source
SOFT: Final = 0.7
HALF: Final = 0.5  # "half the harshness": half of a plain step
ANYWHERE: Final = ("build up", "buildup", "bump", "hump", "mess")  # they may be at any frequency
FAR, NEAR = 6.0, 3.0  # a frequency and a word that lie this many times apart are not one thing; within NEAR they are

# The keys should sit 3 dB under the lead: where a stem is to end, and not how far it is to move.
_APART: Final = re.compile(
    r"\b(?:is|are|should|must|needs? to|ha(?:s|ve) to|want|wants|like|be|sits?|sitting|keep)\b.*\d ?dbs? "
    r"(?:louder than|quieter than|softer than|lower than|higher than|hotter than|over|above|under|below|beneath|behind)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, kw_only=True)
class Told:
    """A clause made ready: its items without the names of stems, whom it is about, its text, and where in the song."""

    items: Sequence[Item]
    subjects: Subjects
    text: str
    when: When | None

    def ask(
        self, word: str, amount: float, gain_db: float | None = None, exact: ExactMove | None = None, wording: str = ""
    ) -> Ask:
        """Return an ask of these stems."""
        return Ask(
            stems=self.subjects.stems,
            named=self.subjects.named,
            word=word,
            amount=amount,
            gain_db=gain_db,
            text=self.text,
            exact=exact,
            wording=wording,
            when=self.when,
        )


class Asker:
    """Makes asks against a pass's stems and the words in reach."""

    def __init__(self, targets: Targets, vocabulary: Vocabulary, faults: Collection[str]) -> None:
        self._targets = targets
        self._vocabulary = vocabulary
        self._faults = faults

    def asks(self, told: Told, qualities: Sequence[Quality]) -> list[Ask]:
        """Return what a clause asks: an exact move, words of sound turned, or level.

        Raises
        ------
        PieceError
            If dB and words point two ways, or a figure is out of range.
        """
        exact = self._exact(told, qualities)
        if exact is not None:
            return [told.ask(exact.kind.replace("_", " "), 1.0, exact=exact)]
        gain, signed = gain_in(told.items)
        if gain is not None and told.subjects.against and _APART.search(told.text):
            raise PieceError(
                f"{gain:g} dB from {' and '.join(told.subjects.against)}? write how far it is to move, as in: -2 dB"
            )
        if not qualities:
            return self._level(told)
        if gain is not None:
            asks = [told.ask(each.name, each.sign, self._step(each, gain, told.items, signed=signed)) for each in qualities]
        elif halved(told.items) and all(each.name in LEVEL_WORDS for each in qualities):
            asks = [told.ask(LEVEL_WORD, 1.0, HALVED_DB)]
        elif halved(told.items):
            asks = [told.ask(each.name, each.sign * HALF) for each in qualities]
        else:
            asks = [
                told.ask(each.name, each.sign * amount_in(told.items), wording=_wording(each, told.text))
                for each in qualities
            ]
        return list({ask.word: ask for ask in reversed(asks)}.values())[::-1]

    def _exact(self, told: Told, qualities: Sequence[Quality]) -> ExactMove | None:
        freqs = frequencies_in(told.items)
        if not freqs:
            return None
        sign = self._bell_sign(qualities[0], told.subjects, freqs[0]) if qualities else None
        rings = any(item.quality == "ringing" for item in told.items)
        return exact_move(told.items, sign=sign, ringing=rings, amount=amount_in(told.items))

    def _level(self, told: Told) -> list[Ask]:
        items, subjects = told.items, told.subjects
        if frequencies_in(items):
            return []
        sign = level_sign(items, subjects)
        gain, signed = gain_in(items)
        if gain is not None:
            way = 1.0 if signed else sign if sign is not None else direction_in(items)
            if way is None and not subjects.explicit:
                return []
            if way is None:
                raise PieceError(f"{gain:g} dB up or down? write +{gain:g} dB or -{gain:g} dB")
            return [told.ask(LEVEL_WORD, 1.0, within(gain * way))]
        if halved(items) and subjects.stems:
            return [told.ask(LEVEL_WORD, 1.0, HALVED_DB)]
        if sign is None or any(item.unknown for item in items):
            return []
        if any(item.has("cover", "under") and not item.names for item in items):
            raise PieceError(f"{' '.join(item.text for item in items)}: who is in the way of whom? name both")
        return [told.ask(LEVEL_WORD, sign * amount_in(items))]

    def _step(self, quality: Quality, gain: float, items: Sequence[Item], *, signed: bool) -> float:
        within(gain)
        pointing = any(item.has("direction") for item in items) or quality.item.says_more
        plain = quality.name not in self._faults
        if signed and pointing and plain and gain * quality.sign < 0 and quality.name not in LEVEL_WORDS:
            way = "less" if quality.sign < 0 else "more"
            raise PieceError(f"{gain:+g} dB and {way} {quality.item.text} point two ways; leave one out")
        if signed and plain and not quality.item.says_more:
            return gain
        return abs(gain) * quality.sign

    def _bell_sign(self, quality: Quality, subjects: Subjects, freq_hz: float) -> float | None:
        """Return which way a bell at a frequency goes for a word: the way its own move nearest to it goes."""
        if quality.name in LEVEL_WORDS or not subjects.stems:
            return -1.0 if quality.name in self._faults else quality.sign
        known = self._vocabulary.understand(quality.name, *self._targets.role_of(subjects.stems[0]))
        moves = [move for move in known.meaning.moves if "freq_hz" in move.settings]
        near = min(moves, key=lambda move: abs(move.settings["freq_hz"] / freq_hz - 1.0), default=None)
        if near is None:
            return quality.sign
        apart = max(near.settings["freq_hz"] / freq_hz, freq_hz / near.settings["freq_hz"])
        if apart > FAR and quality.sign < 0 and quality.item.text not in ANYWHERE:
            raise PieceError(f"{freq_hz:g} Hz and {quality.item.text} lie far apart; write one of them")
        return quality.sign * (1.0 if apart > NEAR else known.sign * (1.0 if near.settings["gain_db"] > 0 else -1.0))


def by_gain(items: Sequence[Item]) -> list[Quality]:
    """Return the word of sound that dB say which way to turn: bite +2 dB.

    Raises
    ------
    PieceError
        If the dB have no sign and no verb.
    """
    word = next(item for item in items if item.quality is not None)
    gain, signed = gain_in(items)
    sign = 1.0 if signed and gain is not None else direction_in(items)
    if sign is None and (word.text in COMPLAINED or any(item.has("me") for item in items)):
        sign = -1.0
    if sign is None or word.quality is None:
        raise PieceError(f"{word.text} {UNDIRECTED}; write more {word.text}, less {word.text} or {word.text} +2 dB")
    return [Quality(name=word.quality, sign=sign, item=word)]


def amount_in(items: Sequence[Item]) -> float:
    """Return how much a clause asks for; 1 is a plain "more"."""
    amounts = [float(item.value("amount")) for item in items if item.has("amount") and not item.has("direction", "enough")]
    percent = [item.figure.value for item in items if item.figure is not None and item.figure.unit == "%"]
    soft = SOFT if any(item.has("soft") for item in items) else 1.0
    part = max(LEAST_AMOUNT, min(MOST_AMOUNT, percent[0] / PERCENT_OF_A_STEP)) if percent else 1.0
    return round((amounts[0] if amounts else part) * soft, 4)


def _wording(quality: Quality, text: str) -> str:
    return f"{text}: taken as harsh; if it is only too loud, say: quieter" if PAINFUL in quality.item.text else ""
