"""Joining: the parts of a sentence made clauses; a list of names goes to the clause it belongs to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.notes.clauses import ARTICLES, LISTING, POLITE, PREDICATES, Clause
from stemwright.notes.parting import parts_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item


def clauses_of(items: Sequence[Item]) -> list[Clause]:
    """Part a sentence.

    Parameters
    ----------
    items : sequence of Item
        A sentence's.

    Returns
    -------
    list of Clause
        A list of names goes to the clause it belongs to: the one before it that ends in a name, else the one behind it.
    """
    parts = _with_figures([part for part in parts_of(items) if part.items or part.left_out or part.joined_by == ":"])
    joiner = _Joiner()
    for part, following in zip(parts, [*parts[1:], None], strict=False):
        joiner.take(part, following)
    return joiner.done()


def _with_figures(parts: Sequence[Clause]) -> list[Clause]:
    """Join a frequency to the dB and Q listed behind it: bell at 98 Hz, minus 3 dB, Q 4."""
    joined: list[Clause] = []
    for part in parts:
        last = joined[-1] if joined else None
        figures = [item.figure for item in part.items if not item.idle]
        adds = bool(figures) and all(
            figure is not None and (figure.unit in ("db", "q") or figure.signed) for figure in figures
        )
        if last is not None and adds and part.joined_by in (",", "/") and _wants_gain(last):
            last.items += part.items
        else:
            joined.append(part)
    return joined


def _wants_gain(part: Clause) -> bool:
    """Whether a clause has a frequency, and neither dB nor a verb that says which way."""
    units = {item.figure.unit or "signed" * item.figure.signed for item in part.items if item.figure is not None}
    told = any(item.has("direction", "turn", "take", "lack") and not item.names for item in part.items) or any(
        item.quality for item in part.items
    )
    filters = [item.value("filter") for item in part.items if item.has("filter") and not item.names]
    return "hz" in units and not units & {"db", "signed"} and not told and not any(each.endswith("pass") for each in filters)


class _Joiner:
    """Joins parts to clauses: names wait for the clause they belong to, and a head for all behind it."""

    def __init__(self) -> None:
        self._found: list[Clause] = []
        self._waiting: list[Item] = []
        self._out: list[Item] = []
        self._head: list[Item] = []

    def take(self, part: Clause, following: Clause | None) -> None:
        part.left_out, self._out = [*self._out, *part.left_out], []
        light = part.leads_on(following)
        if not part.names and not part.items:
            self._out = part.left_out
        elif not light and not part.alone():
            self._clause(part)
        elif following is not None and following.joined_by == ":":
            many = [item for item in part.items if item.has("every", "other")]
            self._head = [*self._waiting, *(part.names or many)]
            self._waiting, self._out = [], part.left_out
        elif self._found and not self._waiting and _ends_in_name(self._found[-1]) and part.joined_by in LISTING:
            self._found[-1].items += part.items
            self._found[-1].left_out += part.left_out
        elif self._found and not self._waiting and _too(self._found[-1], part, following):
            self._found[-1].heads += part.names  # "keys louder and the pad"
        elif following is None and self._found and not self._waiting and not any(each.about() for each in self._found):
            for each in self._found:  # "make it darker, the whole thing": it is about all that stands before
                each.heads += part.names
                each.items += [item for item in part.items if item.has("every", "other")]
                each.left_out += part.left_out
        elif following is not None and part.names:
            if light:
                following.items = [*(item for item in part.items if not item.names), *following.items]
            self._waiting += part.names
            self._out = part.left_out
        else:
            self._clause(part)

    def _clause(self, part: Clause) -> None:
        part.heads = [*self._waiting, *([] if self._waiting or _own_names(part) else self._head)]
        part.after_colon = bool(self._head) and not self._waiting
        self._waiting = []
        self._found.append(part)

    def done(self) -> list[Clause]:
        if self._waiting:
            self._found.append(Clause(items=self._waiting, left_out=self._out))
        if self._head and not self._found:
            self._found.append(Clause(heads=self._head, left_out=self._out))
        return self._found


def _too(before: Clause, part: Clause, following: Clause | None) -> bool:
    """Whether names behind "and" are of the clause before them, which asks something of others."""
    goes_on = following is not None and (following.joined_by == "and" or not following.names)
    last = before.items[-1]
    asks = bool(before.names) and (last.has(*PREDICATES) or last.figure is not None) and not before.left_out
    alone = bool(part.names) and all(item.names or item.idle or item.text in POLITE for item in part.items)
    return part.joined_by == "and" and alone and asks and not goes_on


def _own_names(part: Clause) -> bool:
    """Whether a clause behind a head names somebody else; a name that is a sound too is the sound there."""
    return any(
        item.names
        and item.quality is None
        and not _with(part.items[: part.items.index(item)])
        and not (item.text == "bell" and any(each.figure is not None for each in part.items))  # the filter
        for item in part.items
    )


def _with(lead: Sequence[Item]) -> bool:
    """Whether a name stands behind "with": esses that add to those of the lead."""
    said = [item for item in lead if item.text not in ARTICLES]
    return bool(said) and said[-1].text == "with" and len(said) > 1


def _ends_in_name(clause: Clause) -> bool:
    tail = [
        item
        for item in clause.items
        if not (item.kind == "word" and item.has("talk") and not item.names and not item.quality)
    ]
    return bool(tail) and tail[-1].target is not None
