"""Answered: a fault that a note goes on to answer with a move of its own: the keys are muddy, cut 2 dB at 300."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Final

from stemwright.notes.amending import without_vaguer
from stemwright.notes.exact import CUTS

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from stemwright.notes.frames import Ask
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead
    from stemwright.recipes.words import Vocabulary

BURIED: Final = "buried"  # of what is over another it is not said: the bass is swallowing the kick, I can't hear it
RINGING: Final = "ringing"
NEAR_OCTAVES: Final = 1.5  # a move this far from what the fault's own would turn still answers it


def asks_left(reading: NoteRead, faults: Collection[str], sight: tuple[Targets, Vocabulary]) -> list[Ask]:
    """Return what a note asks, each once: without faults that cuts right behind them answer, and of what is to stay as it is.

    Parameters
    ----------
    reading : NoteRead
        Learns which faults were taken as reasons.
    faults : collection of str
        The words of sound that name one.
    sight : tuple of Targets and Vocabulary
    """
    left: list[Ask] = []
    for ask in without_vaguer(reading.asks):
        told = [each for each in _faults_before(left, ask, faults) if _answers(ask, each, sight)]
        reading.taken += [f"taken as the reason, not asked: {each.text}" for each in told]
        left = [*(each for each in left if each not in told), ask]
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


def _faults_before(asks: Sequence[Ask], ask: Ask, faults: Collection[str]) -> list[Ask]:
    """Return the faults before an ask, of the same stems in the same place, with nothing but their moves between."""
    here = itertools.takewhile(lambda each: (each.stems, each.when) == (ask.stems, ask.when), reversed(asks))
    said = itertools.takewhile(lambda each: each.exact is not None or _is_fault(each, faults), here)
    return [each for each in said if each.exact is None]


def _is_fault(ask: Ask, faults: Collection[str]) -> bool:
    return ask.exact is None and ask.gain_db is None and ask.amount < 0.0 and ask.word in faults


def _answers(behind: Ask, ask: Ask, sight: tuple[Targets, Vocabulary]) -> bool:
    """Whether an ask cuts what a fault finds too much."""
    if behind.exact is None:
        return False
    settings = dict(behind.exact.settings)
    if behind.exact.kind not in CUTS and settings.get("gain_db", 0.0) >= 0.0:
        return False
    if ask.word == RINGING:
        return behind.exact.kind not in CUTS  # wherever it rings
    return any(abs(math.log2(settings["freq_hz"] / hz)) <= NEAR_OCTAVES for hz in _turned_hz(ask, sight))


def _turned_hz(ask: Ask, sight: tuple[Targets, Vocabulary]) -> Iterable[float]:
    """Yield where the moves of a fault's word are, for the first of its stems."""
    targets, vocabulary = sight
    known = vocabulary.understand(ask.word, *targets.role_of(ask.stems[0]))
    return (move.settings["freq_hz"] for move in known.meaning.moves if "freq_hz" in move.settings)
