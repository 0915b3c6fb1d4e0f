"""Effects: what an ask can be said to do to a stem, in the few plain ways that anybody would hear it.

Conventions
-----------
A way is "more" or "less" of a band, of ringing or of esses, a level, or evenness: `WAYS`, in a fixed order. What an ask does
is every way that it could be meant by; an engineer takes either.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from stemwright.dsp.prototypes import magnitude_db
from stemwright.recipes.words import WordError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stemwright.notes.frames import Ask, ExactMove
    from stemwright.recipes.words import Understood, Vocabulary

# Edges of what people call lows, low mids, mids, presence and highs, Hz: common practice, no source.
BANDS_HZ: Final = {
    "lows": (20.0, 150.0),
    "low mids": (150.0, 600.0),
    "mids": (600.0, 2000.0),
    "presence": (2000.0, 6000.0),
    "highs": (6000.0, 20_000.0),
}
_ESSES_HZ: Final = (5000.0, 10_000.0)
LEVELS: Final = ("louder", "quieter")
EVEN: Final = "more even"
WAYS: Final = (*LEVELS, *(f"{way} {what}" for what in (*BANDS_HZ, "ringing", "esses") for way in ("more", "less")), EVEN)
_SAME: Final = 0.6  # of the greatest change of any band: such a band is changed too
_FREQ_HZ: Final = np.geomspace(20.0, 20_000.0, 400)


def opposite(way: str) -> str | None:
    """Return the way back; None for evenness."""
    if way in LEVELS:
        return LEVELS[1 - LEVELS.index(way)]
    direction, _, what = way.partition(" ")
    return None if way == EVEN else f"{'less' if direction == 'more' else 'more'} {what}"


class Effects:
    """What words do to stems, each worked out once.

    Parameters
    ----------
    vocabulary : Vocabulary
        The words in reach.
    """

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._vocabulary = vocabulary
        self._known: dict[tuple[str, str | None, str | None, bool], frozenset[str]] = {}

    def of(self, word: str, role: str | None, family: str | None, *, more: bool = True) -> frozenset[str]:
        """Return what more, or less, of a word does to a stem; nothing where it says nothing of such a stem."""
        key = (word, role, family, more)
        if key not in self._known:
            try:
                understood = self._vocabulary.understand(word, role, family)
            except WordError:
                self._known[key] = frozenset()
            else:
                self._known[key] = _of_word(understood, 1.0 if more else -1.0)
        return self._known[key]

    def of_ask(self, ask: Ask, role: str | None, family: str | None) -> frozenset[str]:
        """Return what an ask does to a stem."""
        if ask.exact is not None:
            return of_move(ask.exact)
        return self.of(ask.word, role, family, more=(ask.amount if ask.gain_db is None else ask.gain_db) > 0.0)


def _of_word(understood: Understood, amount: float) -> frozenset[str]:
    sign = amount * understood.sign
    if understood.meaning.rings_percent is not None:
        return frozenset(("more ringing" if sign > 0 else "less ringing",))
    return _of_moves([(move.kind, move.settings) for move in understood.meaning.moves], sign)


def of_move(move: ExactMove) -> frozenset[str]:
    """Return what an exact move does; a notch takes out what rings, too."""
    if move.kind == "ride":
        return frozenset((EVEN,))
    done = _of_moves([(move.kind, dict(move.settings))], 1.0)
    return done | {"less ringing"} if move.kind == "notch" else done


def _of_moves(moves: Iterable[tuple[str, Mapping[str, float]]], sign: float) -> frozenset[str]:
    every = list(moves)
    if all(kind == "gain" for kind, _ in every):
        gain_db = sum(settings["gain_db"] for _, settings in every) * sign
        return frozenset((LEVELS[0] if gain_db > 0.0 else LEVELS[1],))
    curve_db = sign * np.sum([magnitude_db(kind, settings, _FREQ_HZ) for kind, settings in every], axis=0)
    each_db = {what: _mean_db(curve_db, *edges_hz) for what, edges_hz in BANDS_HZ.items()}
    most_db = max(map(abs, each_db.values()))
    each_db["esses"] = _mean_db(curve_db, *_ESSES_HZ)
    return frozenset(
        f"{'more' if db > 0.0 else 'less'} {what}" for what, db in each_db.items() if abs(db) >= _SAME * most_db
    )


def _mean_db(curve_db: np.ndarray, low_hz: float, high_hz: float) -> float:
    return float(curve_db[(low_hz <= _FREQ_HZ) & (high_hz > _FREQ_HZ)].mean())
