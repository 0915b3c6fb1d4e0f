"""In the beat: what will be heard of a note among the other stems, and two ways out where one covers another.

It goes by what is known of each stem already; only for ways out are stems listened to.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.bands import FRAMES_A_SECOND
from stemwright.errors import AudioError
from stemwright.notes.frames import Relation
from stemwright.passes.matrices import HeardFile, as_prepped, kept_matrices, matrices
from stemwright.plan.audible import OFTEN, SELDOM, clash, heard_of, hidden_by, together
from stemwright.plan.sections import places
from stemwright.plan.wording import decibels, frequency
from stemwright.stems.names import pairs

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from concurrent.futures import Executor

    from stemwright.notes.frames import Ask, When
    from stemwright.notes.understood import NoteRead
    from stemwright.passes.song import SongFolder
    from stemwright.plan.audible import Audibility
    from stemwright.plan.items import PlanItem
    from stemwright.recipes.timeline import Timeline

NOT_HEARD_YET = "how it is heard in the beat is not known yet: stemwright balance SONG listens to all stems once"


_WHAT_TO_DO = re.compile(
    r"\b(?:low|lower|quiet|quieter|soft|up|down|raise|lift|louder|boost|push|more|turn)\b", re.IGNORECASE
)  # "the vocal is too low" asks for level; "can't hear the kick, so turn it up" too


class PlannedBeat:
    """The stems of a pass as they are known by their hashes.

    Parameters
    ----------
    song : SongFolder
    items : iterable of PlanItem
        The pass's plan.
    """

    def __init__(self, song: SongFolder, items: Iterable[PlanItem]) -> None:
        self._song = song
        self._items = {item.stem: item for item in items if item.input is not None and item.deliver_as is not None}
        self._received = kept_matrices(song, {stem: item.received.sha256 for stem, item in self._items.items()})

    def be_heard(self, executor: Executor) -> None:
        """Listen to every stem that was not listened to before; one that cannot be read leaves the beat unknown."""
        if self._received is None:
            files = {
                stem: HeardFile(self._song.folder / item.received.path, item.received.sha256)
                for stem, item in self._items.items()
            }
            with suppress(AudioError, OSError):
                self._received = matrices(self._song, files, executor)

    @property
    def known(self) -> bool:
        """Whether every stem was listened to before."""
        return self._received is not None

    def judged(self, changed: Iterable[PlanItem]) -> dict[str, str]:
        """Say for each changed stem what is heard of the change; nothing where the beat is not known."""
        if self._received is None:
            return {}
        after = {item.stem: item for item in changed if item.stem in self._items}
        # Others that the same note changes are heard as it leaves them.
        now = {stem: self._power(after.get(stem, item)) for stem, item in self._items.items()}
        said: dict[str, str] = {}
        for stem, item in after.items():
            others = {name: power for name, power in now.items() if name != stem}
            # A ride is a level for each phrase, and none of them the change of a band.
            before, after_it = (self._power(_unridden(each)) for each in (self._items[stem], item))
            found = heard_of(before, after_it, others, self._place(item, len(before)))
            if found is not None:
                said[stem] = _words(found)
        return said

    def ways_out(self, reading: NoteRead, timeline: Timeline, executor: Executor) -> None:
        """Give every relation of a note two ways out that the stems show, and so every stem that it says is not heard."""
        turned_down = any(ask.word == "loud" and (ask.gain_db or ask.amount) < 0.0 for ask in reading.asks)
        unheard = [] if turned_down else [ask for ask in reading.asks if _is_unheard(ask)]  # "turn the strings down" chose
        if unheard or reading.relations:
            self.be_heard(executor)
        for ask in unheard:
            relation = self.covered(ask, timeline)
            if relation is not None:
                reading.hold(ask, relation)
        reading.relations = [self.offered(each, timeline) for each in reading.relations]

    def covered(self, ask: Ask, timeline: Timeline) -> Relation | None:
        """Return what covers a stem that is said not to be heard, most of all others; None where none covers a tenth of it."""
        if self._received is None or not set(ask.stems) <= self._items.keys():
            return None
        sides = pairs(tuple(self._items))
        groups = dict.fromkeys(
            tuple(sorted({stem, sides.get(stem, stem)}))
            for stem, item in self._items.items()
            if stem not in ask.stems and not self._goes_with(item, ask.stems)
        )
        front = self._there(ask.stems, ask.when, timeline)
        others = {group: self._there(group, ask.when, timeline) for group in groups}
        shares = {group: hidden_by(front, power) for group, power in others.items()}
        # Of two that cover all of it, the louder.
        over = max(shares, key=lambda group: (round(shares[group], 2), float(others[group].sum())), default=None)
        if over is None or shares[over] < SELDOM:
            return None
        return Relation(front=ask.stems, over=over, text=ask.text, when=ask.when)

    def _goes_with(self, item: PlanItem, front: Sequence[str]) -> bool:
        """Whether a stem is no other voice than the front's: a double of the lead."""
        return item.role == "doubles" and any(self._items[stem].role == "lead vocal" for stem in front)

    def _there(self, stems: Sequence[str], when: When | None, timeline: Timeline) -> np.ndarray:
        """Return the power of stems together, where in the song is meant."""
        power = together([self._power(self._items[stem]) for stem in stems])
        if when is None or not when.said:
            return power
        spans = [
            (round(each.start_s * FRAMES_A_SECOND), round(each.end_s * FRAMES_A_SECOND))
            for each in places(timeline, when.said)
        ]
        power = np.concatenate([power, np.zeros((max([end for _, end in spans] + [0]) + 1, power.shape[1]))])
        return np.concatenate([power[start:end] for start, end in spans])

    def offered(self, relation: Relation, timeline: Timeline) -> Relation:
        """Return a relation whose two ways out are what the stems show; as it is where the beat is not known."""
        if self._received is None or not {*relation.front, *relation.over} <= self._items.keys():
            return relation
        front, over = (self._there(stems, relation.when, timeline) for stems in (relation.front, relation.over))
        found = clash(front, over)
        if found is None:
            return replace(relation, text=f"{relation.text} (less than a tenth of it is covered)")
        names = [" and ".join(f'"{stem}"' for stem in stems) for stems in (relation.over, relation.front)]
        at = f"{frequency(float(f'{found.freq_hz:.2g}'))}"
        there = "" if relation.when is None else f", only {relation.when.text}"
        offers = (f"{names[0]}: cut {found.less_db:g} dB at {at}{there}", f"{names[1]}: +{found.more_db:g} dB{there}")
        return replace(relation, text=f"{relation.text} ({found.share:.0%} of it covered, most at {at})", offers=offers)

    def _power(self, item: PlanItem) -> np.ndarray:
        assert self._received is not None  # noqa: S101 - callers have looked
        return as_prepped(self._received[item.stem], item.moves, item.received.rate_hz)

    def _place(self, item: PlanItem, frames: int) -> np.ndarray | None:
        """Return where a note's moves that are new are made, where that is not everywhere."""
        old = {move.name: move for move in self._items[item.stem].moves}
        new = [move for move in item.moves if old.get(move.name) != move]
        if not new or any(move.only is None for move in new):
            return None
        inside = np.zeros(frames, dtype=bool)
        for move in new:
            for start, end in move.only.spans if move.only is not None else ():
                low, high = (round(at / item.received.rate_hz * FRAMES_A_SECOND) for at in (start, end))
                inside[low:high] = True
        return inside


def _is_unheard(ask: Ask) -> bool:
    """Whether an ask says that a stem is not heard, and not what is to be done about it."""
    plain = ask.word == "buried" and ask.amount < 0.0 and ask.gain_db is None and ask.exact is None
    return plain and _WHAT_TO_DO.search(ask.text) is None


def _unridden(item: PlanItem) -> PlanItem:
    return replace(item, moves=tuple(move for move in item.moves if move.kind != "ride"))


def _words(found: Audibility) -> str:
    """Say it: ``3 kHz +1.2 dB: heard``, or what it is covered by and what would help."""
    where = "all of it" if found.freq_hz is None else frequency(float(f"{found.freq_hz:.2g}"))
    what = f"{where} {decibels(round(found.change_db, 1))} in the beat"
    if round(found.share, 2) >= OFTEN or not found.covered_by:
        return f"{what}: heard"
    by = _listed(found.covered_by)
    how = (
        f"covered by {by} nearly always" if found.share < SELDOM else f"heard {found.share:.0%} of the time, else under {by}"
    )
    ways = [] if found.more_db is None else [f"{decibels(found.more_db)} more here"]
    ways += [] if found.less_db is None else [f"{found.less_db:g} dB off {found.covered_by[0]} there"]
    return f"{what}: {how}" + (f"; {', or '.join(ways)}, and it is heard half of the time" if ways else "")


def _listed(stems: Sequence[str]) -> str:
    return " and ".join(stems)
