"""Answered: a word that a note says in figures as well: the keys are muddy, cut 2 dB at 300; +2 at 3k, it isn't clicky enough."""

from __future__ import annotations

import itertools
import math
import re
from typing import TYPE_CHECKING, Final

from stemwright.notes.amending import without_vaguer
from stemwright.notes.exact import CUTS
from stemwright.recipes.grammar import LEVEL_WORDS
from stemwright.recipes.words import WordError

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from stemwright.notes.frames import Ask
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead
    from stemwright.recipes.words import Vocabulary

BURIED: Final = "buried"  # of what is over another it is not said: the bass is swallowing the kick, I can't hear it
RINGING: Final = "ringing"
NEAR_OCTAVES: Final = 1.5  # a move this far from what the word's own would turn still answers it
_WRONG: Final = re.compile(r"\btoo\b|\b(?:not|isn'?t|aren'?t)\b.*\benough\b", re.IGNORECASE)


def asks_left(reading: NoteRead, faults: Collection[str], sight: tuple[Targets, Vocabulary]) -> list[Ask]:
    """Return what a note asks, each once: without words that a move right beside them says in figures, and of what is to change.

    Parameters
    ----------
    reading : NoteRead
        Learns what was taken as a reason.
    faults : collection of str
        The words of sound that name a fault; only those are answered by a move that is said before them.
    sight : tuple of Targets and Vocabulary
    """
    left: list[Ask] = []
    for ask in without_vaguer(reading.asks):
        moves = [each for each in _beside(left, ask) if each.exact is not None] if _is_said(ask, faults) else []
        told = [each for each in _beside(left, ask) if each.exact is None and _answers(ask, each, sight)]
        answered = any(_answers(move, ask, sight) for move in moves)
        reading.taken += [f"taken as the reason, not asked: {each.text}" for each in ([ask] if answered else told)]
        left = left if answered else [*(each for each in left if each not in told), ask]
    over = {stem for held in reading.relations for stem in held.over}
    kept = (ask.without(reading.kept_off) for ask in left if not (ask.word == BURIED and set(ask.stems) <= over))
    asks = [ask for ask in kept if ask.stems]
    reading.problems += [(f"{ask.text}; {other.text}", _both_ways(ask)) for ask, other in _against_each_other(asks)]
    return asks


def _against_each_other(asks: Sequence[Ask]) -> list[tuple[Ask, Ask]]:
    """Return pairs of asks without figures that turn one thing of a stem both ways, and so come to nothing."""
    plain = [ask for ask in asks if ask.exact is None and ask.gain_db is None]
    return [
        (ask, other)
        for ask, other in itertools.combinations(plain, 2)
        if (ask.word, ask.amount, ask.when) == (other.word, -other.amount, other.when) and set(ask.stems) & set(other.stems)
    ]


def _both_ways(ask: Ask) -> str:
    called = ", ".join(f'"{stem}"' for stem in ask.stems)
    return f"it asks for more and for less {ask.word} of {called}; write the one that is meant"


def _beside(asks: Sequence[Ask], ask: Ask) -> list[Ask]:
    """Return the words without figures, and the moves, that stand right before an ask of the same stems in the same place."""
    here = itertools.takewhile(lambda each: (each.stems, each.when) == (ask.stems, ask.when), reversed(asks))
    return [each for each in here if each.exact is not None or (each.gain_db is None and each.word not in LEVEL_WORDS)]


def _is_said(ask: Ask, faults: Collection[str]) -> bool:
    """Whether an ask only says what is wrong: a fault, or what is too much or not enough."""
    plain = ask.exact is None and ask.gain_db is None and ask.word not in LEVEL_WORDS
    return plain and (ask.word in faults or _WRONG.search(ask.text) is not None)


def _answers(move: Ask, ask: Ask, sight: tuple[Targets, Vocabulary]) -> bool:
    """Whether a move does in figures what a word asks: near what the word's own moves turn, and the same way."""
    if move.exact is None:
        return False
    settings = dict(move.exact.settings)
    gain_db = -1.0 if move.exact.kind in CUTS else settings.get("gain_db", 0.0)
    if ask.word == RINGING:
        return gain_db < 0.0 and move.exact.kind not in CUTS  # wherever it rings
    return any(
        turned * gain_db > 0.0 and _reaches(move.exact.kind, settings["freq_hz"], hz) for hz, turned in _turned(ask, sight)
    )


def _reaches(kind: str, freq_hz: float, hz: float) -> bool:
    """Whether a move at a frequency does something at another: near it, or all below a high pass and above a low pass."""
    octaves = math.log2(hz / freq_hz)
    return abs(octaves) <= NEAR_OCTAVES or (kind == "high_pass" and octaves < 0.0) or (kind == "low_pass" and octaves > 0.0)


def _turned(ask: Ask, sight: tuple[Targets, Vocabulary]) -> Iterable[tuple[float, float]]:
    """Yield where the moves of a word are, for the first of its stems, and which way it is asked to turn them."""
    targets, vocabulary = sight
    try:
        known = vocabulary.understand(ask.word, *targets.role_of(ask.stems[0]))
    except WordError:  # that is said where the move is made
        return
    for move in known.meaning.moves:
        if "freq_hz" in move.settings:  # a pass filter, that has no dB, takes away
            yield move.settings["freq_hz"], known.sign * ask.amount * move.settings.get("gain_db", 1.0)
