"""Edges: figures for all that lies beyond a frequency: rolled off below 80, a shelf from 10k up, everything above 8k."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item

RUMBLE: Final = "rumble"  # whatever is done to it, what lies under it goes
LOWER: Final = ("under", "below")
ENDS: Final[dict[str | None, tuple[str, ...]]] = {  # what is rolled off beyond a frequency
    **dict.fromkeys(LOWER, ("lows", "low end", "bottom", "bottom end", RUMBLE)),
    **dict.fromkeys(("above", "over"), ("highs", "high end", "top", "top end", "treble")),
}
_PLAIN: Final = ("shelf", "shelve", "shelving")  # without high or low
# A plain shelf turns what is below or above its frequency: towards the nearer end. Common practice, no source.
MIDDLE_HZ: Final = 700.0


def edge_of(items: Sequence[Item]) -> str | None:
    """Return "under", "below", "above" or "over" in front of a figure; None where there is none of them."""
    found = (item.text for item, behind in pairwise(items) if item.text in ENDS and behind.figure)
    return next(found, None)


def rolled_off(items: Sequence[Item]) -> str | None:
    """Return the pass filter that a verb asks for: roll off the highs above 9k, roll the lows off at 80, less rumble below 40.

    Parameters
    ----------
    items : sequence of Item
        A clause's, with a frequency and without dB.
    """
    if not any(item.has("take") and item.value("take") == "less" for item in items):
        return None
    edge = edge_of(items)
    sounds = [item for item in items if item.quality and item.target is None and not item.has("take", "place")]
    rolls = any(item.text.startswith("roll") for item in items)
    if edge is None and rolls and sounds:
        edge = next((end for end, those in ENDS.items() if all(item.text in those for item in sounds)), None)
    beyond = all(item.text in ENDS.get(edge, ()) for item in sounds)
    if edge is None or not beyond or not (rolls or all(item.text == RUMBLE for item in sounds)):
        return None
    return "high_pass" if edge in LOWER else "low_pass"


def shelf_of(items: Sequence[Item], kind: str | None, freq_hz: float, *, in_db: bool) -> str | None:
    """Return the shelf that is asked for, or what kind was written.

    Parameters
    ----------
    items : sequence of Item
        A clause's.
    kind : str, optional
        The filter it names.
    freq_hz : float
    in_db : bool
        Whether it says how many dB: 2 dB above 8k is a shelf, "too much above 8k" need be none.
    """
    edge = edge_of(items)
    if kind == "high_shelf" and any(item.has("filter") and item.text in _PLAIN for item in items):
        lower = edge in LOWER if edge is not None else freq_hz < MIDDLE_HZ
        return "low_shelf" if lower else kind
    every = any(item.text.split(" ")[0] == "everything" for item in items)
    if kind is None and edge is not None and (every or in_db):
        return "low_shelf" if edge in LOWER else "high_shelf"
    return kind
