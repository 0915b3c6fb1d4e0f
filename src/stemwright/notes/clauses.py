"""Clauses: the parts of a sentence, each with the stems it says it is about."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stemwright.notes.items import Item

PREDICATES = (
    "turn", "direction", "amount", "take", "want", "strong", "neg", "lack", "undo", "before", "pass", "leave", "stays", "touch",
    "praise", "past", "approve", "elsewhere", "ask", "cover", "under", "mutual", "room", "filter", "half", "enough",
    "less than last", "more than last", "move", "first", "image", "word", "more word", "guard",
)  # fmt: skip
ARTICLES = ("the", "my", "your", "our")
POLITE = ("please", "pls", "plz")
LISTING = ("and", ",", "&", "+", "/")


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
        said = [item for item in self.items if not item.idle or item.names or item.has("like")]
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
        """Whether there is more in it than names and talk (please asks for nothing where names stand before it)."""
        ends = len(self.items) - (len(self.items) > 1 and self.items[-1].text in POLITE)
        return any(item.kind in ("figure", "sign", "name") or item.unknown or predicates(item) for item in self.items[:ends])


def predicates(item: Item) -> bool:
    """Whether an item says something of a stem."""
    if item.names:
        return False
    return item.has(*PREDICATES) and not (item.has("place") and item.has("turn"))
