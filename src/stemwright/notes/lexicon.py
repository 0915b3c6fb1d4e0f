"""Lexicon: what people's words mean in a note, read from the files of ``recipes/speech``.

Conventions
-----------
A file holds tags; a tag has phrases, or values each with phrases. Phrases are written as `stemwright.stems.names.split_words`
splits text. A phrase stands for its inflections (`stemwright.notes.morphology`); as it stands it counts before them, and the
longest phrase counts before shorter ones.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING

from stemwright.notes.morphology import roots
from stemwright.recipes.folders import display, house_dir, read_file
from stemwright.recipes.problems import Problems, shown
from stemwright.recipes.reading import Reading, below
from stemwright.recipes.strict_yaml import Items, Table, load
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from stemwright.recipes.grammar import Phrase
    from stemwright.recipes.strict_yaml import Node

INNER = (
    "ing",
    "ed",
    "er",
    "est",
    "y",
)  # endings that only the first word of a phrase may have: "in the backing" is not "in the back"
FOLDER = "speech"
TAGS = (
    "amount", "soft", "direction", "enough", "guard", "turn", "take", "want", "strong", "lack", "neg", "all of", "is", "past", "praise",
    "like", "reason", "place", "it", "me", "i", "other", "every", "but not for", "and", "move", "undo", "before", "first", "half",
    "less than last", "more than last", "pass", "touch", "leave", "stays", "as is", "approve", "elsewhere", "weak", "section",
    "ordinal", "everywhere", "event", "role", "instrument", "group", "part", "image", "ask", "talk", "cover", "under", "mutual", "room",
    "filter", "band", "first place", "second place", "counted", "story", "thanks",
)  # fmt: skip
VALUED = ("amount", "direction", "turn", "take", "elsewhere", "role", "instrument", "group", "image", "filter")


@dataclass(frozen=True)
class Sense:
    """One thing a phrase may mean: a tag, its value where the tag has values, and by which ending it was found."""

    tag: str
    value: str = ""
    ending: str = ""


@dataclass
class Lexicon:
    """Phrases by their first word, each with what it may mean."""

    by_first: dict[str, dict[Phrase, list[Sense]]] = field(default_factory=dict)

    def add(self, phrase: Phrase, sense: Sense) -> None:
        """Take a phrase in."""
        senses = self.by_first.setdefault(phrase[0], {}).setdefault(phrase, [])
        if sense not in senses:
            senses.append(sense)

    def whole(self, phrase: Phrase, tag: str) -> list[str]:
        """Return the values that a tag gives to exactly this phrase or a plural of it, as it stands first."""
        found: list[str] = []
        for root, first in roots(phrase[0]) if phrase else ():
            for known, senses in self.by_first.get(root, {}).items():
                if len(known) != len(phrase):
                    continue
                endings = [first, *(_ending(word, part) for word, part in zip(phrase[1:], known[1:], strict=True))]
                if all(ending in ("", "s", "run") for ending in endings):
                    found += [sense.value for sense in senses if sense.tag == tag]
        return found

    def says_more_than(self, word: str, tags: Sequence[str]) -> bool:
        """Whether a word, as it stands, has a meaning with another tag."""
        senses = self.by_first.get(word, {}).get((word,), [])
        return any(sense.tag not in tags for sense in senses)

    def match(self, words: Sequence[str]) -> tuple[int, list[Sense]]:
        """Return how many of the words, from the first, make the longest known phrase, and what it may mean.

        As it stands a phrase counts before its inflections.
        """
        best: dict[bool, list[Sense]] = {}
        longest = 0
        for root, first_ending in roots(words[0]):
            for phrase, senses in self.by_first.get(root, {}).items():
                length = len(phrase)
                if length < longest or length > len(words):
                    continue
                endings = [
                    first_ending,
                    *(_ending(word, part) for word, part in zip(words[1:length], phrase[1:], strict=True)),
                ]
                if None in endings or any(each in INNER for each in endings[1:]):
                    continue
                if length > longest:
                    longest, best = length, {}
                exact = not any(endings)
                ending = next((each for each in endings if each == "er"), endings[-1]) or ""
                best.setdefault(exact, []).extend(Sense(sense.tag, sense.value, ending) for sense in senses)
        return longest, best.get(True) or best.get(False) or []


def _ending(word: str, part: str) -> str | None:
    if word == part:
        return ""
    return next((ending for root, ending in roots(word) if root == part), None)


@cache
def house_lexicon() -> Lexicon:
    """Read the house's lexicon; once in a process.

    Raises
    ------
    RecipeError
        With every problem of every file.
    """
    return read_lexicon(sorted((house_dir() / FOLDER).glob("*.yaml")))


def read_lexicon(paths: Sequence[Path]) -> Lexicon:
    """Read files of speech, strictly.

    Raises
    ------
    RecipeError
        With every problem of every file.
    """
    problems = Problems()
    lexicon = Lexicon()
    for path in paths:
        label = display(path)
        text = read_file(path, label, problems)
        node = None if text is None else load(text, label, problems)
        table = Reading(label, problems).table(node, "", ("speech",), "a mapping: speech")
        tags = table.values.get("speech") if table else None
        inner = Reading(label, problems).table(tags, "speech", TAGS, "a mapping of tags, each with phrases")
        for tag, phrases in (inner.values if inner else {}).items():
            _tag(Reading(label, problems), lexicon, tag, phrases)
    problems.raise_any()
    return lexicon


def _tag(reading: Reading, lexicon: Lexicon, tag: str, node: Node) -> None:
    where = below("speech", tag)
    if (tag in VALUED) != isinstance(node, Table):
        reading.problem(node, where, "a mapping of values, each with phrases" if tag in VALUED else "a list of phrases")
        return
    lists: Mapping[str, Node] = node.values if isinstance(node, Table) else {"": node}
    for value, phrases in lists.items():
        place = below(where, value) if value else where
        if not isinstance(phrases, Items):
            reading.problem(phrases, place, "a list of phrases, such as [a touch]")
            continue
        listed: set[Phrase] = set()
        sense = Sense(tag, value)
        for way, item in reading.items(phrases, place, "phrases"):
            text = reading.name(item, way, "a word or phrase")
            phrase = split_words(text or "")
            if text is not None and not phrase:
                reading.problem(item, way, f"no word in it ({shown(text)})")
            elif phrase in listed:
                reading.problem(item, way, f"stands in this list already ({shown(text or '')})")
            elif text is not None:
                listed.add(phrase)
                lexicon.add(phrase, sense)
