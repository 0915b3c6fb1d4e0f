"""List ends: how much, said at a list's end for all of it, and a name at its end that gets what the one before it got."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from stemwright.notes.clauses import ARTICLES
from stemwright.notes.items import stems_of
from stemwright.notes.levels import OVER, UNDER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item

ALSO: Final = frozenset(("too", "as well", "also", "same", "the same", "ditto", "likewise", "similarly"))
BARS: Final = (
    "neg", "guard", "undo", "before", "pass", "past", "elsewhere", "lack", "leave", "touch", "praise", "like", "enough",
)  # fmt: skip
_WAYS: Final = ("direction", "turn", "take", "strong", "filter")
_EACH: Final = ("each", "by", "apiece", "all")


def without_the_amount_of_all(part: Sequence[Item], done: list[list[Item]]) -> list[Item]:
    """Move how much, behind the last name of a list, to the verb before them all: turn down the guitars and the pad a bit, by 1 dB.

    Nothing is returned, and none moved, where a part is no end of such a list.
    """
    amounts = [item for item in part if _says_how_much(item)]
    rest = [item for item in part if item not in amounts and not (item.text in _EACH and amounts)]
    apart = part[0].kind == "break" and any(item.has("and") for item in part[1:2])  # turn up the kick, and the snare a lot
    ends = bool(amounts) and not any(item.names for item in part[part.index(amounts[0]) :])
    if apart or len(amounts) != 1 or not ends or not is_names(rest) or not any(item.names for item in rest):
        return []
    at = next((at for at in reversed(range(len(done))) if not is_names(done[at])), None)
    verbs = [place for place, item in enumerate(done[at]) if item.has("turn") and not item.names] if at is not None else []
    if at is None or not verbs or not done[at][-1].names or any(map(_says_how_much, done[at])):
        return []
    verb = verbs[0]
    if any(item.names for item in done[at][:verb]):
        return []
    done[at] = [*done[at][: verb + 1], *there(amounts, done[at][verb]), *done[at][verb + 1 :]]
    return rest


def _says_how_much(item: Item) -> bool:
    in_db = item.figure is not None and not item.figure.signed and item.figure.unit == "db"
    return (item.has("amount") or in_db) and not item.names


def is_names(part: Sequence[Item]) -> bool:
    """Whether a part is names, and what only joins them."""
    return all(item.names or item.idle or item.text in ARTICLES or only_joins([item]) for item in part)


def only_joins(part: Sequence[Item]) -> bool:
    """Whether items only join what is beside them."""
    return all(item.kind == "break" or item.has("and") for item in part)


def likewise(part: list[Item], done: Sequence[Sequence[Item]]) -> list[Item]:
    """Return names and "too" with the level that the part before them asks of another stem: kick down 2, the snare likewise.

    Nothing is returned where a part is no such thing.
    """
    also = next((item for item in part if item.text in ALSO), None)
    own = [item for item in part if item.has("amount") and not item.names]  # the keys too, but a bit
    said = [item for item in part if not (item.idle or item.text in ARTICLES or only_joins([item]) or item in (also, *own))]
    before = done[-1] if done else ()
    named = [item for item in before if item.names]
    if also is None or not said or not named or not all(item.names and item.target is not None for item in said):
        return []
    asked = [item for item in without_whom(before) if item.text in (*OVER, *UNDER) or not _only_places(item)]
    asked = [item for item in asked if not (own and item.has("amount"))]
    level = any(has_a_sign(item) or item.has(*_WAYS) or item.quality is not None for item in asked)
    stays = any(item.has("is") for item in part)  # the keys are the same
    strange = stays or any(item.has(*BARS) or item.has("every", "other") or item.unknown for item in (*before, *said))
    if strange or not level or set(stems_of(said)) & set(stems_of(before)):
        return []
    at = part.index(also)
    if own and any(item.figure is not None for item in asked):  # up 2 dB, the pad too but less so
        return [
            *part[:at],
            replace(also, kind="name", problem=f"{also.text}: by how much? write the figure"),
            *part[at + 1 :],
        ]
    return [*part[:at], *part[at + 1 :], *there(asked, also)]


def _only_places(item: Item) -> bool:
    return only_joins([item]) or item.has("place", "talk") or item.kind == "colon"


def without_whom(items: Sequence[Item]) -> list[Item]:
    """Return a clause's items without the names it is about; what it holds them against stays: behind the vocal."""
    said = [item for item in items if item.text not in ARTICLES]
    held = [item for before, item in pairwise(said) if before.text in (*OVER, *UNDER)]
    return [item for item in items if not item.names or item in held]


def has_a_sign(item: Item) -> bool:
    """Whether an item is a figure with a sign."""
    return item.figure is not None and item.figure.signed


def there(items: Sequence[Item], place: Item) -> list[Item]:
    """Return items as if they stood where another stands."""
    return [replace(item, start=place.start, end=place.end) for item in items]


def with_breaks(items: Sequence[Item]) -> list[Item]:
    """Return a sentence's items, parted where names and their figures follow each other bare: bass -1 kick +1 snare down 2."""
    names = [at for at, item in enumerate(items) if item.names and not item.has("other")]
    first = next((at for at, item in enumerate(items) if not item.idle), 0)
    rest = next((at for at, item in enumerate(items) if item.has("other") and names and at > names[-1]), len(items))
    ends = [*names[1:], rest]
    listed = len(names) > 1 and names[0] == first
    if not listed or not all(_only_turned(items[at + 1 : end]) for at, end in zip(names, ends, strict=True)):
        return list(items)
    found: list[Item] = []
    for at, item in enumerate(items):
        if at in (*names[1:], rest):
            found.append(replace(item, kind="break", text=",", target=None, problem="", senses=(), tags=frozenset()))
        found.append(item)
    return found


def _only_turned(behind: Sequence[Item]) -> bool:
    """Whether what stands behind a name is nothing but a figure that says which way."""
    said = [item for item in behind if not item.idle]
    figures = [item for item in said if item.figure is not None]
    way = any(has_a_sign(item) or item.has("turn", "direction") for item in said)
    return way and len(figures) == 1 and all(item.figure is not None or item.has("turn", "direction") for item in said)
