"""Words: what an approver's word means in moves, per role and family, and in whose mouth.

Conventions
-----------
A word's moves are what a plain "more" of it does (amount 1); gains scale with the amount, and a negative amount turns them
round. A word without moves is its opposite turned round. Definitions are searched person first (``by``), then in the order
of the folders: the first that speaks of a stem's role wins, else of its family, else of every stem.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import StemwrightError
from stemwright.recipes.problems import nearest, shown
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stemwright.recipes.grammar import Phrase
    from stemwright.recipes.moves import Move

FALLBACK_SOURCE = "house"


class WordError(StemwrightError):
    """A word is not known, or says nothing about a stem of this role."""


@dataclass(frozen=True, kw_only=True)
class Meaning:
    """What a word means for some stems.

    ``to`` are roles and families, empty for every stem. ``rings_percent`` is how much of each ring's excess comes back
    into the sound (a plain "more ringing"); such a meaning has no moves.
    """

    to: tuple[str, ...] = ()
    moves: tuple[Move, ...] = ()
    rings_percent: float | None = None

    @property
    def largest_db(self) -> float:
        """The largest gain of its moves, dB, without sign; 0 for rings."""
        return max((abs(move.settings["gain_db"]) for move in self.moves), default=0.0)


@dataclass(frozen=True, kw_only=True)
class Word:
    """One definition of a word.

    ``also`` are other forms of it, ``more`` forms that say "more" by themselves (brighter). ``fault``: who names it complains,
    and wants less. ``by`` is the person whose
    word it is, None for everybody. ``source`` says where it comes from, in short.
    """

    name: str
    why: str
    opposite: str | None = None
    also: tuple[str, ...] = ()
    more: tuple[str, ...] = ()
    fault: bool = False
    means: tuple[Meaning, ...] = ()
    by: str | None = None
    source: str = FALLBACK_SOURCE
    file: str = ""
    line: int = 1
    column: int = 1


@dataclass(frozen=True, kw_only=True)
class Understood:
    """A word worked out for one role: its moves at amount 1, whose meaning that is, and which word it turns.

    ``name`` is the word that has the moves and ``sign`` is -1 where the word asked for is that one turned round, so that
    "darker" and "less bright" are one thing.
    """

    name: str
    sign: float
    meaning: Meaning
    why: str
    source: str


class Vocabulary:
    """All definitions in reach for one person, in search order.

    Parameters
    ----------
    definitions : iterable of Word
        Person's own first.
    """

    def __init__(self, definitions: Iterable[Word]) -> None:
        self._by_name: dict[str, list[Word]] = {}
        for word in definitions:
            self._by_name.setdefault(word.name, []).append(word)
        self._forms: dict[Phrase, tuple[str, bool]] = {}
        for name, words in self._by_name.items():
            for word in words:
                for says_more, forms in ((True, word.more), (False, (name, *word.also))):
                    for form in forms:
                        self._forms.setdefault(split_words(form), (name, says_more))

    @property
    def words(self) -> Mapping[str, list[Word]]:
        """Every definition by word, the one that counts first."""
        return self._by_name

    @property
    def forms(self) -> Mapping[Phrase, tuple[str, bool]]:
        """Every form: the word it is of, and whether it says "more" by itself."""
        return self._forms

    def get(self, name: str) -> list[Word]:
        """Return a word's definitions, by any of its forms.

        Raises
        ------
        WordError
            If there is none; the message has the nearest one.
        """
        known = self._forms.get(split_words(name))
        if known is None:
            near = nearest(name, [" ".join(form) for form in self._forms])
            meant = f"did you mean {shown(near)}? " if near else ""
            raise WordError(f"no such word ({shown(name)}); {meant}all of them: stemwright words list")
        return self._by_name[known[0]]

    def understand(self, name: str, role: str | None, family: str | None) -> Understood:
        """Work out what a word means for a stem.

        Parameters
        ----------
        name : str
            The word itself, not another form of it.
        role, family : str or None
            Of the stem.

        Returns
        -------
        Understood

        Raises
        ------
        WordError
            If no definition speaks of such a stem.
        """
        sign, first = 1.0, name
        for _ in range(len(self._by_name) + 1):
            found = self._own(name, role, family)
            if found is not None:
                word, meaning = found
                why = self._by_name[first][0].why
                return Understood(name=name, sign=sign, meaning=meaning, why=why, source=word.source)
            opposite = next((word.opposite for word in self._by_name.get(name, []) if word.opposite), None)
            if opposite is None or any(word.means for word in self._by_name[name]):
                break
            name, sign = opposite, -sign
        said_of = sorted({to for word in self._by_name.get(name, []) for meaning in word.means for to in meaning.to})
        what = role or "a stem without a role"
        raise WordError(f"{first} is not said of {what}; it has a meaning for: {', '.join(said_of) or 'nothing'}")

    def _own(self, name: str, role: str | None, family: str | None) -> tuple[Word, Meaning] | None:
        for word in self._by_name.get(name, []):
            for wanted in (role, family, None):
                for meaning in word.means:
                    if (wanted is None and not meaning.to) or (wanted is not None and wanted in meaning.to):
                        return word, meaning
        return None
