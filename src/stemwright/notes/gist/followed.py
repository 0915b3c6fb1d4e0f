"""Followed: what the words of a note came to, taken one by one, as the network is shown it beside the whole.

Conventions
-----------
One row a stem: the ways in which it is to change, then how it is spoken of, then what became of the note. All are 0 or 1 but
the share of stems that are asked for. Where nothing was followed all are 0.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from stemwright.notes.gist.effects import WAYS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stemwright.notes.gist.effects import Effects
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead

_OF_A_STEM: Final = ("asked", "named", "exact", "timed", "back", "kept off", "in front", "over")
_OF_THE_NOTE: Final = (
    "share asked", "asks", "back", "all back", "kept off", "relation", "timed", "not ours", "approved", "problems", "firm",
    "passed over",
)  # fmt: skip
FOLLOWED: Final = len(WAYS) + len(_OF_A_STEM) + len(_OF_THE_NOTE)


def followed(reading: NoteRead, targets: Targets, effects: Effects) -> NDArray[np.float32]:
    """Return how a note's words were followed, shape ``(stems, FOLLOWED)``."""
    stems = targets.stems
    rows = np.zeros((len(stems), FOLLOWED), np.float32)
    number = {stem: at for at, stem in enumerate(stems)}
    for ask in reading.asks:
        for stem in ask.stems:
            row = rows[number[stem]]
            row[[WAYS.index(way) for way in effects.of_ask(ask, *targets.role_of(stem))]] = 1.0
            _mark(
                row, "asked", ask.named and "named", (ask.exact or ask.gain_db is not None) and "exact", ask.when and "timed"
            )
    spoken = [(back.stems or stems, "back") for back in reading.backs] + [(reading.kept_off, "kept off")]
    spoken += [(each.front, "in front") for each in reading.relations] + [(each.over, "over") for each in reading.relations]
    for some, how in spoken:
        for stem in some:
            _mark(rows[number[stem]], how)
    rows[:, len(WAYS) + len(_OF_A_STEM) :] = [
        rows[:, len(WAYS)].mean(), *map(bool, (
            reading.asks, reading.backs, not all(back.stems for back in reading.backs), reading.kept_off, reading.relations,
            reading.somewhere, reading.not_ours, reading.approved, reading.problems, reading.firm, reading.passed_over,
        )),
    ]  # fmt: skip
    return rows


def _mark(row: NDArray[np.float32], *how: object) -> None:
    for each in filter(None, how):
        row[len(WAYS) + _OF_A_STEM.index(str(each))] = 1.0
