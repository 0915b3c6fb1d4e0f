"""Moves: a move resolved to numbers, its name, and its numbers as a recipe has them."""

from __future__ import annotations

from dataclasses import dataclass, field

from stemwright.recipes.kinds import KINDS
from stemwright.recipes.units import show

NOTE_KEYS = ("name", "why", "off", "when", "if_there", "only")
WHEN = ("rumble", "always")


@dataclass(frozen=True)
class Move:
    """One move in explicit numbers.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    name : str
        Unique within its recipe.
    why : str
        The reason in words, empty where none was given.
    off : bool
        Written down but not done.
    settings : dict of str to float
        Keys carry units: ``freq_hz``, ``gain_db``.
    when : {None, "rumble"}
        Only done where intake finds rumble under the move's frequency.
    if_there : str or None
        Only done where the song has a stem of this role or family.
    only : tuple of str
        Sections, bars or times in which it is made, as written; empty for everywhere.
    """

    kind: str
    name: str
    why: str
    off: bool
    settings: dict[str, float]
    when: str | None = None
    if_there: str | None = None
    only: tuple[str, ...] = ()


@dataclass
class Names:
    """Gives moves their names: the one written, else the kind, numbered when repeated."""

    taken: set[str] = field(default_factory=set)

    def free(self, kind: str) -> str:
        """Return ``bell``, or ``bell 2`` where that is taken."""
        name, number = kind, 1
        while name in self.taken:
            number += 1
            name = f"{kind} {number}"
        self.taken.add(name)
        return name


def describe(move: Move) -> dict[str, str]:
    """Return a move's numbers as a recipe has them: ``{"freq": "30 kHz", "gain": "+4 dB", "q": "0.7071"}``.

    Parameters
    ----------
    move : Move

    Returns
    -------
    dict of str to str
        In the table's order; for a kind without numbers, its word: ``{"polarity": "flip"}``.
    """
    kind = KINDS[move.kind]
    if kind.word:
        return {kind.name: kind.word}
    return {
        each.key: show(each.quantity, move.settings[each.setting]) for each in kind.fields if each.setting in move.settings
    }
