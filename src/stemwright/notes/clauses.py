"""Clauses: a sentence's items parted where another thing begins, each part with the stems it says it is about."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item

PREDICATES = (
    "turn", "direction", "amount", "take", "want", "strong", "neg", "lack", "undo", "before", "pass", "leave", "stays", "touch",
    "praise", "past", "approve", "elsewhere", "ask", "cover", "under", "mutual", "room", "filter", "half", "enough",
    "less than last", "more than last", "move", "first", "image", "word", "more word", "guard",
)  # fmt: skip
LISTING = ("and", ",", "&", "+", "/")
ARTICLES = ("the", "my", "your", "our")
HELD_BY = ("through", "over", "past", "under", "behind", "than", "above", "below")  # cut through the break
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

    def opening(self) -> list[Item]:
        """Return the names that it opens with: "the double is tripping over the lead" is about the double."""
        said = [item for item in self.items if not item.idle or item.names]
        end = next((at for at, item in enumerate(said) if not item.names), len(said))
        return [*self.heads, *said[:end]]

    def about(self) -> bool:
        """Whether it says whom it is about."""
        return bool(self.names) or any(item.has("me") for item in self.items)

    def alone(self) -> bool:
        """Whether it has names and nothing else."""
        named = bool(self.names) or any(item.has("every", "other") for item in self.items)
        return named and not self.says() and not any(item.has("is") and item.text != "s" for item in self.items)

    def leads_on(self, following: Clause | None) -> bool:
        """Whether it is a verb and names that go on in the next part: give the kick and the bass more weight."""
        if following is None or not self.names or following.joined_by not in LISTING[:-1]:
            return False
        return self.light() or self.leads(following)

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
    parts = _with_figures([part for part in _parts(items) if part.items or part.left_out or part.joined_by == ":"])
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
        here, after = parts[-1], items[number + 1 :]
        if _separates(item):
            leaving = _leaves_out(item, here, after, leaving=leaving)
            if not leaving:
                parts.append(Clause(joined_by=_joined_by(item, here, after)))
        elif item.has("but not for") and not item.names:
            if len(parts) > 1 and not here.items and here.joined_by == "," and _many(parts[-2]) and _names_next(after):
                parts.pop()  # "drums louder, but not the kick"
                here = parts[-1]
            leaving = _many(here) and not any(each.has("praise") or each.text in ("like", "love") for each in here.items)
            # "but not the hat like pass 2", "but not dull": its reader needs it
            needed = item.text == "but not" and any(each.has("before", "pass") or each.quality for each in after)
            parts += [] if leaving else [Clause(joined_by=";", items=[item] if needed else [])]
        elif leaving and item.target is not None:
            here.left_out.append(item)
        elif leaving and item.text in ARTICLES and _names_next(after):
            continue
        else:
            leaving = leaving and item.idle
            parts += [Clause(joined_by=";")] if _begins(item, here, after) else []
            parts[-1].items.append(item)
    return parts


def _separates(item: Item) -> bool:
    return item.kind in ("break", "colon", "dash") or (item.has("and") and not item.names and not item.quality)


def _leaves_out(item: Item, here: Clause, after: Sequence[Item], *, leaving: bool) -> bool:
    """Whether names behind a separator are left out: everything but the kick and the bass."""
    if item.text == "but" and _many(Clause(items=here.items[-2:])) and _names_next(after):
        return True
    return leaving and item.kind != "colon" and _names_next(after, within=3)


def _joined_by(item: Item, here: Clause, after: Sequence[Item]) -> str:
    if item.text == "or" and after and after[0].figure is not None:
        return "or"  # a choice of figures
    if item.kind == "colon" or (item.kind == "dash" and bool(here.names) and not here.says()):
        return ":"
    return "and" if item.has("and") and item.text != "but" else item.text


def _begins(item: Item, here: Clause, after: Sequence[Item]) -> bool:
    """Whether an item begins a clause of its own without a separator before it."""
    if item.has("direction") and _asked_already(here, after):
        return True
    if item.has("amount") and after and after[0].has("direction") and _asked_already(here, after[1:]):
        return True
    if item.has("filter") and not item.names and _filtered_already(here):
        return True
    return (item.names or (item.has("other") and not item.idle)) and _begins_anew(here, after)


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


def _filtered_already(here: Clause) -> bool:
    """Whether a filter and its frequency stand before another filter: hpf 80 lpf 10k."""
    at = next((at for at, item in enumerate(here.items) if item.has("filter") and not item.names), None)
    return at is not None and any(
        item.figure is not None and item.figure.unit in ("hz", "") for item in here.items[at + 1 :]
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
    leading = next((item for item in reversed(here.items) if item.text not in ARTICLES), here.items[-1])
    if (
        leading.text.split(" ")[-1] in HELD_BY
        or here.items[-1].has("place", "like")
        or not any(_predicate(item) or item.kind == "figure" for item in said)
    ):
        return False
    following = [item for item in after if not item.idle][:1]
    is_next = bool(after) and after[0].has("is") and here.items[-1].kind == "word"
    return is_next or (
        bool(following)
        and following[0].has("word", "more word", "image", "turn", "direction")
        and following[0].kind == "word"
    )
