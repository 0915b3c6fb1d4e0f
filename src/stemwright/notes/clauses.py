"""Clauses: a sentence's items parted where another thing begins, each part with the stems it says it is about."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item

PREDICATES = ("turn", "direction", "amount", "take", "want", "strong", "neg", "lack", "undo", "before", "pass", "leave", "stays", "touch",
              "praise", "past", "approve", "elsewhere", "ask", "cover", "under", "mutual", "room", "filter", "half", "enough",
              "less than last", "more than last", "move", "first", "image", "word", "more word", "guard")  # fmt: skip
MANY = ("all", "family", "group")


@dataclass(kw_only=True)
class Clause:
    """A part of a sentence: its items, the names at its head (before a colon, or a list before it), and those it leaves out."""

    items: list[Item] = field(default_factory=list)
    heads: list[Item] = field(default_factory=list)
    left_out: list[Item] = field(default_factory=list)
    joined_by: str = ""
    after_colon: bool = False

    @property
    def names(self) -> list[Item]:
        """The items that name stems, at its head or in it."""
        return [item for item in (*self.heads, *self.items) if item.target is not None]

    def light(self) -> bool:
        """Whether it is a verb that gives or wants, and names: give the kick."""
        said = [
            item for at, item in enumerate(self.items)
            if not item.idle and not item.names and not (item.unknown and at and self.items[at - 1].has("place"))
        ]  # fmt: skip
        return bool(said) and all((item.has("take") and item.value("take") == "more") or item.has("want") for item in said)

    def leads(self, following: Clause) -> bool:
        """Whether it is a verb and names whose figure stands behind the next name: low cut the doubles and ad libs at 150."""
        said = [item for item in self.items if not item.idle and not item.names]
        verbs = ("filter", "take", "turn")
        has_figure = any(item.figure is not None for item in following.items) and any(item.names for item in following.items)
        return (
            bool(said)
            and all(item.has(*verbs) for item in said)
            and has_figure
            and not any(item.has(*verbs, "pass") for item in following.items)
        )

    def says(self) -> bool:
        """Whether there is more in it than names and talk."""
        return any(item.kind in ("figure", "sign", "name") or item.unknown or _predicate(item) for item in self.items)


def _predicate(item: Item) -> bool:
    if item.names:
        return False
    return item.has(*PREDICATES) and not (item.has("place") and item.has("turn"))


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
    found: list[Clause] = []
    waiting: list[Item] = []
    out: list[Item] = []
    head: list[Item] = []
    parts = [part for part in _parts(items) if part.items or part.left_out or part.joined_by == ":"]
    for number, part in enumerate(parts):
        last = number == len(parts) - 1
        part.left_out, out = [*out, *part.left_out], []
        if not part.names and not part.items:
            out = part.left_out
            continue
        light = (
            bool(part.names)
            and not last
            and parts[number + 1].joined_by in ("and", ",", "&", "+")
            and (part.light() or part.leads(parts[number + 1]))
        )
        alone = light or (
            (bool(part.names) or any(item.has("every", "other") for item in part.items))
            and not part.says()
            and not any(item.has("is") and item.text != "s" for item in part.items)
        )
        many = [item for item in part.items if item.has("every", "other")]
        ends = parts[number + 1].joined_by if not last else ""
        if alone and ends == ":":
            head = [*waiting, *(part.names or many)]
            waiting, out = [], part.left_out
            continue
        if alone and found and not waiting and _ends_in_name(found[-1]) and part.joined_by in ("and", ",", "&", "/"):
            found[-1].items += part.items
            found[-1].left_out += part.left_out
            continue
        if (
            alone
            and last
            and found
            and not any(each.names or any(item.has("me") for item in each.items) for each in found)
            and not waiting
        ):
            for each in found:  # "make it darker, the whole thing": it is about all that stands before
                each.heads += part.names
                each.items += [item for item in part.items if item.has("every", "other")]
                each.left_out += part.left_out
            continue
        if alone and not last and part.names:
            if light:
                parts[number + 1].items = [*(item for item in part.items if not item.names), *parts[number + 1].items]
            waiting += part.names
            out = part.left_out
            continue
        part.heads = [*waiting, *([] if waiting or _own_names(part) else head)]
        part.after_colon = bool(head) and not waiting
        waiting = []
        found.append(part)
    if waiting:
        found.append(Clause(items=waiting, left_out=out))
    if head and not found:
        found.append(Clause(heads=head, left_out=out))
    return found


def _own_names(part: Clause) -> bool:
    """Whether a clause behind a head names somebody else; a name that is a sound too is the sound there."""
    return any(item.names and item.quality is None for item in part.items)


def _ends_in_name(clause: Clause) -> bool:
    tail = [
        item
        for item in clause.items
        if not (item.kind == "word" and item.has("talk") and not item.names and not item.quality)
    ]
    return bool(tail) and tail[-1].target is not None


def _parts(items: Sequence[Item]) -> list[Clause]:
    parts = [Clause()]
    leaving = False
    for number, item in enumerate(items):
        here = parts[-1]
        if item.kind in ("break", "colon", "dash") or (
            item.tags and item.has("and") and not item.names and not item.quality
        ):
            if item.text == "but" and _many(Clause(items=here.items[-2:])) and _names_next(items[number + 1 :]):
                leaving = True
                continue
            if leaving and _names_next(items[number + 1 :], within=3) and item.kind != "colon":
                continue
            leaving = False
            kind = (
                ":" if item.kind == "colon" or (item.kind == "dash" and bool(here.names) and not here.says()) else item.text
            )
            parts.append(Clause(joined_by="and" if item.has("and") and kind != "but" else kind))
        elif item.has("but not for") and not item.names:
            leaving = _many(here)
            if not leaving:
                parts.append(Clause(joined_by=";"))
        elif leaving and item.target is not None:
            here.left_out.append(item)
        else:
            if leaving and not item.idle:
                leaving = False
            if item.has("direction") and _asked_already(here, items[number + 1 :]):
                parts.append(Clause(joined_by=";"))
            if (item.names or (item.has("other") and not item.idle)) and _begins_anew(here, items[number + 1 :]):
                parts.append(Clause(joined_by=";"))
            parts[-1].items.append(item)
    return [replace(part) for part in parts]


def _many(part: Clause) -> bool:
    return any(item.has("every", "other") or (item.target is not None and item.target.kind in MANY) for item in part.items)


def _names_next(items: Sequence[Item], within: int = 2) -> bool:
    for item in items[:within]:
        if item.target is not None:
            return True
        if not item.idle:
            return False
    return False


def _asked_already(here: Clause, after: Sequence[Item]) -> bool:
    """Whether "more" or "less" of a name begins anew behind another: more drums less music."""
    said = [item for item in here.items if not item.idle]
    following = [item for item in after if not item.idle][:1]
    return (
        bool(said)
        and said[-1].names
        and any(item.has("direction") for item in said)
        and bool(following)
        and following[0].names
    )


def _begins_anew(here: Clause, after: Sequence[Item]) -> bool:
    """Whether a second name begins a clause of its own: hats darker kick brighter."""
    said = [item for item in here.items if not item.idle]
    named = [item for item in said if item.names]
    if any(item.has("reason", "like") or item.text in ("when", "where") for item in here.items):
        return False
    if (
        not named
        or not said
        or said[-1].names
        or said[-1].has("direction", "take", "want", "strong", "neg", "lack", "amount", "cover", "under", "pass")
    ):
        return False
    if here.items[-1].has("place", "like") or not any(_predicate(item) or item.kind == "figure" for item in said):
        return False
    following = [item for item in after if not item.idle][:1]
    is_next = bool(after) and after[0].has("is") and here.items[-1].kind == "word"
    return is_next or (
        bool(following)
        and following[0].has("word", "more word", "image", "turn", "direction")
        and following[0].kind == "word"
    )
