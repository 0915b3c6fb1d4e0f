"""Items: the words of a sentence with what each may mean: a stem, a word of sound, how much, which way, or only talk."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.notes.lexicon import Sense
    from stemwright.notes.numbers import Figure
    from stemwright.notes.targets import Target

CARRIED = (
    "talk",
    "is",
    "it",
    "i",
    "like",
    "and",
    "place",
    "part",
    "section",
    "ordinal",
    "event",
    "everywhere",
    "as is",
    "counted",
    "story",
    "thanks",
)


def stems_of(items: Iterable[Item]) -> tuple[str, ...]:
    """Return the stems that items name, each once."""
    return tuple(dict.fromkeys(stem for item in items if item.target is not None for stem in item.target.stems))


@dataclass(frozen=True, kw_only=True)
class Item:
    """One word or phrase of a sentence with all that it may mean."""

    text: str
    start: int
    end: int
    kind: str = "word"
    senses: tuple[Sense, ...] = ()
    target: Target | None = None
    figure: Figure | None = None
    problem: str = ""
    meant: str = ""
    tags: frozenset[str] = field(default=frozenset())

    def has(self, *tags: str) -> bool:
        """Whether it may mean one of these tags."""
        return not self.tags.isdisjoint(tags)

    def value(self, tag: str) -> str:
        """Return the value it has for a tag."""
        return next(sense.value for sense in self.senses if sense.tag == tag)

    @property
    def names(self) -> bool:
        """Whether it names stems that are there."""
        return self.target is not None and bool(self.target.stems)

    @property
    def quality(self) -> str | None:
        """The word of sound it is of."""
        return next(
            (sense.value for tag in ("more word", "word", "image") for sense in self.senses if sense.tag == tag), None
        )

    @property
    def says_more(self) -> bool:
        """Whether it is a word of sound in a form that says "more" by itself: brighter."""
        return self.has("more word") or any(
            sense.tag in ("word", "image") and sense.ending in ("er", "est") for sense in self.senses
        )

    @property
    def is_frequency(self) -> bool:
        """Whether it is a figure in Hz, as written or by its size."""
        return self.figure is not None and self.figure.is_frequency

    @property
    def unknown(self) -> bool:
        """Whether nobody knows what it means."""
        return self.kind in ("word", "name") and not self.senses and self.target is None

    @property
    def idle(self) -> bool:
        """Whether it only carries others."""
        return self.kind == "mark" or (
            self.kind == "word" and bool(self.tags) and self.tags <= set(CARRIED) and self.target is None
        )
