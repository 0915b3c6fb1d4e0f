"""In the beat: what will be heard of a note among the other stems, from what is known of each already; nothing is listened to anew."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.bands import FRAMES_A_SECOND
from stemwright.passes.matrices import as_prepped, kept_matrices
from stemwright.plan.audible import OFTEN, SELDOM, clash, heard_of, together
from stemwright.plan.wording import decibels, frequency

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from stemwright.notes.frames import Relation
    from stemwright.passes.song import SongFolder
    from stemwright.plan.audible import Audibility
    from stemwright.plan.items import PlanItem

NOT_HEARD_YET = "how it is heard in the beat is not known yet: stemwright balance SONG listens to all stems once"


class Beat:
    """The stems of a pass as they are known by their hashes.

    Parameters
    ----------
    song : SongFolder
    items : iterable of PlanItem
        The pass's plan.
    """

    def __init__(self, song: SongFolder, items: Iterable[PlanItem]) -> None:
        self._items = {item.stem: item for item in items if item.input is not None and item.deliver_as is not None}
        self._received = kept_matrices(song, {stem: item.received.sha256 for stem, item in self._items.items()})

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

    def offered(self, relation: Relation) -> Relation:
        """Return a relation whose two ways out are what the stems show; as it is where the beat is not known."""
        if self._received is None or not {*relation.front, *relation.over} <= self._items.keys():
            return relation
        front, over = (
            together([self._power(self._items[stem]) for stem in stems]) for stems in (relation.front, relation.over)
        )
        found = clash(front, over)
        if found is None:
            return replace(relation, text=f"{relation.text} (less than a tenth of it is covered)")
        names = [" and ".join(f'"{stem}"' for stem in stems) for stems in (relation.over, relation.front)]
        at = f"{frequency(float(f'{found.freq_hz:.2g}'))}"
        offers = (f"{names[0]}: cut {found.less_db:g} dB at {at}", f"{names[1]}: +{found.more_db:g} dB")
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
