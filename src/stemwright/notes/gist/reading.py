"""The gist of a note: which stems are meant and in which ways, as a whole and by likelihood, whatever its sentences look like.

Conventions
-----------
The rules of `stemwright.notes` follow a sentence word by word; the gist is what a listener would take from the whole. It says how
sure it is: the least sure thing in it counts, whether that is a stem that is meant, one that is not, or a way.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from stemwright.notes.gist.effects import LEVELS, WAYS, Effects
from stemwright.notes.gist.looks import LONGEST, looks
from stemwright.notes.gist.network import KINDS, answer
from stemwright.notes.left_out import with_what_is_left_out
from stemwright.notes.levels import as_said_of_level
from stemwright.notes.tagging import Tagger
from stemwright.notes.tokens import sentences_of, tokens_of

if TYPE_CHECKING:
    from collections.abc import Collection

    from stemwright.notes.gist.looks import Looks
    from stemwright.notes.gist.network import Answer
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead
    from stemwright.recipes.words import Vocabulary

    Said = tuple[list[str], list[Item | None]]  # a note's sentences, and its words, None where a sentence ends

MEANT: Final = 0.5
TURNED: Final = 0.5
_LEVEL: Final = 0.6
_PLAIN: Final = 0.75  # a way this likely is asked for, whatever the words of sound
_EXPLAINED: Final = 0.4
_AT_ALL: Final = 0.3
_BESIDE: Final = 0.8  # what is less sure beside something surer only tells
# The plainest word for each way, and more (1) or less (-1) of it; none for evenness, which is a ride.
PLAINLY: Final = {
    "louder": ("loud", 1), "quieter": ("loud", -1), "more lows": ("weight", 1), "less lows": ("boomy", -1),
    "more low mids": ("body", 1), "less low mids": ("muddy", -1), "more mids": ("mids", 1), "less mids": ("mids", -1),
    "more presence": ("presence", 1), "less presence": ("harsh", -1), "more highs": ("bright", 1), "less highs": ("bright", -1),
    "more ringing": ("ringing", 1), "less ringing": ("ringing", -1), "more esses": ("sibilant", 1), "less esses": ("sibilant", -1),
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """One thing that is meant of a stem: a word of sound and its sign, what that does, and the item that says it, if one does."""

    stem: str
    word: str
    sign: int
    ways: frozenset[str]
    sure: float
    at: int | None = None


@dataclass(frozen=True, kw_only=True)
class Gist:
    """What a note is about.

    ``items`` are its words, None where a sentence ends; ``sure`` is how likely the least likely of all that it says is.
    """

    text: str
    items: tuple[Item | None, ...]
    sentences: tuple[str, ...]
    stems: tuple[str, ...]
    heard: Answer
    meant: tuple[Wanted, ...]
    sure: float

    @property
    def complete(self) -> bool:
        """Whether all of the note was looked at."""
        return len(self.items) < LONGEST

    def likely(self, kind: str) -> float:
        """Return how likely a kind of note is."""
        return float(self.heard.kinds[KINDS.index(kind)])

    @property
    def touched(self) -> frozenset[str]:
        """The stems that are to change."""
        return frozenset(stem for stem, likely in zip(self.stems, self.heard.meant, strict=True) if likely >= MEANT)

    def likely_meant(self, stem: str) -> float:
        """Return how likely it is that a stem is to change."""
        return float(self.heard.meant[self.stems.index(stem)])

    def likely_way(self, stem: str, ways: Collection[str]) -> float:
        """Return how likely it is that a stem is to change in one of some ways."""
        row = self.heard.ways[self.stems.index(stem)]
        return max((float(row[WAYS.index(way)]) for way in ways), default=0.0)

    def certain(self, stem: str, least: float) -> frozenset[str]:
        """Return the ways in which a stem is to change at least this likely."""
        row = self.heard.ways[self.stems.index(stem)]
        return frozenset(way for way, likely in zip(WAYS, row, strict=True) if likely >= least)

    def said(self, at: int | None) -> str:
        """Return the sentence an item stands in as it was written; the whole note where no item is meant."""
        ends = sum(item is None for item in self.items[: at or 0])
        return " ".join(self.text.split()) if at is None or len(self.sentences) == 1 else self.sentences[ends]

    def sentence(self, at: int) -> list[Item]:
        """Return the words of the sentence an item stands in."""
        ends = [-1, *(number for number, item in enumerate(self.items) if item is None), len(self.items)]
        start = max(end for end in ends if end < at)
        stop = min(end for end in ends if end >= at and end > start)
        return [item for item in self.items[start + 1 : stop] if item is not None]


def gist_of(text: str, said: Said, reading: NoteRead, targets: Targets, effects: Effects) -> Gist:
    """Take the gist of a note.

    Parameters
    ----------
    text : str
    said : tuple
        What `items_of` makes of it.
    reading : NoteRead
        How its words were followed.
    targets : Targets
        Of at least one stem.
    effects : Effects
        Of the words in reach.
    """
    sentences, items = said
    shown = looks(items, reading, targets, effects)
    heard = answer(shown)
    meant: list[Wanted] = []
    sure = 1.0
    for number in range(len(shown.stems)):
        likely = float(heard.meant[number])
        sure = min(sure, max(likely, 1.0 - likely))
        if likely >= MEANT:
            meant += _of_stem(number, shown, heard, targets, effects)
    return Gist(
        text=text,
        items=tuple(items),
        sentences=tuple(sentences),
        stems=shown.stems,
        heard=heard,
        meant=tuple(meant),
        sure=min([sure, *(each.sure for each in meant)]),
    )


def items_of(text: str, targets: Targets, vocabulary: Vocabulary) -> Said:
    """Return a note's sentences, and its words with all that they may mean, None at the end of each sentence."""
    tagger = Tagger(targets, vocabulary)
    sentences = sentences_of(text)
    found: list[Item | None] = []
    said: list[Item] = []
    for sentence in sentences:
        said = as_said_of_level(with_what_is_left_out(tagger.items(tokens_of(sentence)[1]), said))
        found += [*said, None]
    return sentences, found


def _of_stem(number: int, shown: Looks, heard: Answer, targets: Targets, effects: Effects) -> list[Wanted]:
    """Return what is meant of one stem: the words of sound that are turned, and a way that none of them explains."""
    stem, ways, turned = shown.stems[number], heard.ways[number], heard.turned[number]

    def explained(done: Collection[str]) -> float:
        return max((float(ways[WAYS.index(way)]) for way in done), default=0.0)

    found: dict[tuple[str, int], Wanted] = {}
    for at, word in enumerate(shown.qualities):
        more, less = (float(each) for each in turned[at, 1:])
        likely, sign = max((more, 1), (less, -1))
        if word is None or likely <= TURNED or found.get((word, sign), _NOTHING).sure >= likely:
            continue
        done = effects.of(word, *targets.role_of(stem), more=sign > 0)
        if explained(done) >= _AT_ALL:  # else the whole speaks against it
            found[word, sign] = Wanted(
                stem=stem, word=word, sign=sign, ways=done, sure=min(likely, explained(done)), at=at - 1
            )
    said = list(found.values())
    level = next((way for way in LEVELS if ways[WAYS.index(way)] > _LEVEL), None)
    if level and not any(level in each.ways or explained(each.ways) > _EXPLAINED for each in said):
        said.append(_plainly(stem, level, float(ways[WAYS.index(level)])))
    top = WAYS[int(np.argmax(ways))]
    if not said or (not any(top in each.ways for each in said) and ways.max() > _PLAIN):
        said.append(_plainly(stem, top, float(ways.max())))
    surest = max(each.sure for each in said)
    return [each for each in said if each.sure >= min(_BESIDE, surest)]


def _plainly(stem: str, way: str, likely: float) -> Wanted:
    word, sign = PLAINLY.get(way, ("ride", 1))
    return Wanted(stem=stem, word=word, sign=sign, ways=frozenset((way,)), sure=likely)


_NOTHING: Final = Wanted(stem="", word="", sign=0, ways=frozenset(), sure=-1.0)
