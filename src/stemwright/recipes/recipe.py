"""A recipe: what to do to the stems of one role; and the draft of one, as its own file has it before inheritance."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stemwright.recipes.move_reading import WrittenMove, read_moves
from stemwright.recipes.problems import shown
from stemwright.recipes.reading import Reading, below
from stemwright.recipes.strict_yaml import Scalar, Table, load
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from stemwright.recipes.moves import Move
    from stemwright.recipes.problems import Problems
    from stemwright.recipes.strict_yaml import Node

Phrase = tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Stems:
    """Which stems a recipe takes, and where they sound: what a file name must contradict to be doubted."""

    names: tuple[Phrase, ...] = ()
    general: tuple[Phrase, ...] = ()
    refused: tuple[Phrase, ...] = ()
    sounds: str | None = None
    deep: bool = False


PHRASE_KEYS = ("names", "general", "not")
SOUNDS = ("low", "high", "open")
FAMILIES = ("drums", "music", "vocals")
KEYS = ("recipe", "version", "about", "role", "family", "stems", "based_on", "change", "drop", "moves")
HIGHEST_VERSION = 1_000_000


@dataclass(frozen=True)
class Source:
    """The text a recipe was read from, so that a manifest can hold it.

    ``came_from`` is ``house``, ``song``, or its folder as seen from the song's.
    """

    name: str
    version: int
    sha256: str
    text: str
    came_from: str | None = field(default=None, compare=False)


@dataclass(frozen=True, kw_only=True)
class Recipe:
    """A recipe with its inheritance resolved.

    Parameters
    ----------
    name, version, about : str, int, str
        As written; version 1 where none is written, about the parent's.
    role : str
        What the stems are; the parent's, else the recipe's own name.
    family : {None, "drums", "music", "vocals"}
        As written, else the parent's.
    names, general_names, not_names : tuple of tuple of str
        Phrases of words that take a stem, that take it where nothing more particular does, and that refuse it; the
        parent's where it has no ``stems``.
    sounds : {None, "low", "high", "open"}
        Where such stems sound: hardly ever mostly above 2 kHz, or mostly below 200 Hz.
    deep : bool
        Whether what is under 30 Hz is theirs, and no rumble.
    moves : tuple of Move
        In order, those that are off included.
    based_on : str or None
        The parent's name.
    path : str
        The file, as messages show it.
    text, sha256 : str, str
        The file's text, and the hash of its UTF-8 bytes.
    parents : tuple of Source
        Nearest first.
    came_from : str or None
        As in `Source`.
    """

    name: str
    version: int
    about: str
    role: str
    family: str | None
    names: tuple[Phrase, ...]
    general_names: tuple[Phrase, ...]
    not_names: tuple[Phrase, ...]
    moves: tuple[Move, ...]
    based_on: str | None
    path: str
    text: str
    sha256: str
    parents: tuple[Source, ...] = ()
    came_from: str | None = None
    sounds: str | None = None
    deep: bool = False

    @property
    def source(self) -> Source:
        """The recipe's own text."""
        return Source(self.name, self.version, self.sha256, self.text, self.came_from)

    @property
    def sources(self) -> tuple[Source, ...]:
        """Its own text, then its parents', nearest first."""
        return (self.source, *self.parents)


@dataclass(kw_only=True)
class Draft:
    """One file's own words. What is None was not written; ``whole`` is False if some of it could not be read."""

    file: str
    text: str
    name: str | None = None
    name_node: Node | None = None
    version: int = 1
    about: str | None = None
    role: str | None = None
    family: str | None = None
    stems: Stems | None = None
    moves: list[WrittenMove] = field(default_factory=list)
    based_on: str | None = None
    based_on_node: Node | None = None
    change: Table | None = None
    drop: list[tuple[str, Scalar, str]] = field(default_factory=list)
    whole: bool = True
    came_from: str | None = None

    @property
    def sha256(self) -> str:
        """The hash of the text's UTF-8 bytes."""
        return hashlib.sha256(self.text.encode()).hexdigest()

    @property
    def source(self) -> Source:
        """The text for a manifest; only for a draft with a name."""
        return Source(self.name or "", self.version, self.sha256, self.text, self.came_from)


def read_draft(text: str, file: str, problems: Problems) -> Draft:
    """Read a recipe's own words.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name for messages.
    problems : Problems
        Takes all that is wrong.

    Returns
    -------
    Draft
    """
    draft = Draft(file=file, text=text)
    node = load(text, file, problems)
    reading = Reading(file, problems)
    if node is None and problems.found_in(file):
        table = None
    else:
        table = reading.table(node, "", KEYS, "a recipe: 'recipe: NAME' first, then about, stems and moves")
    if table is not None:
        _head(draft, reading, table)
        _body(draft, reading, table)
    draft.whole = not problems.found_in(file)
    return draft


def _head(draft: Draft, reading: Reading, table: Table) -> None:
    values = table.values
    if "recipe" in values:
        draft.name_node = values["recipe"]
        draft.name = reading.name(values["recipe"], "recipe", "the recipe's name, such as hats")
    elif "recipe" not in table.keys:
        reading.problem(table, "", "recipe is missing; write its name, such as recipe: hats")
    if "version" in values:
        draft.version = reading.whole(values["version"], "version", 1, HIGHEST_VERSION) or 1
    if "about" in values:
        draft.about = reading.text(values["about"], "about", "in a sentence what the recipe is for")
    if "role" in values:
        draft.role = reading.name(values["role"], "role", "what the stems are, such as hats")
    if "family" in values:
        draft.family = reading.choice(values["family"], "family", FAMILIES)


def _body(draft: Draft, reading: Reading, table: Table) -> None:
    values = table.values
    if "stems" in values:
        draft.stems = _stems(reading, values["stems"])
    if "moves" in values:
        draft.moves = read_moves(reading, values["moves"])
    if "based_on" in values:
        draft.based_on_node = values["based_on"]
        draft.based_on = reading.name(values["based_on"], "based_on", "the name of the recipe this one builds on")
    else:
        _alone(reading, table)
    if "change" in values:
        draft.change = _change(reading, values["change"])
    if "drop" in values:
        draft.drop = _drop(reading, values["drop"])


def _alone(reading: Reading, table: Table) -> None:
    """Note what a recipe without a parent must have, and must not."""
    wanted = {
        "about": "in a sentence what the recipe is for",
        "stems": "which stems it takes, such as stems: {names: [hat, hats]}",
        "moves": "the moves in order; moves: [] leaves stems as received",
    }
    for key, what in wanted.items():
        if key not in table.values:
            reading.problem(table, "", f"{key} is missing; write {what}")
    for key in ("change", "drop"):
        if key in table.values:
            reading.problem(table.keys[key], key, "needs based_on, the name of the recipe whose moves it alters")


def _stems(reading: Reading, node: Node) -> Stems | None:
    table = reading.table(node, "stems", (*PHRASE_KEYS, "sounds", "deep"), "stems: {names: [hat, hats]}")
    if table is None:
        return None
    if "names" not in table.values and "general" not in table.values:
        reading.problem(table, "stems", "names is missing; write the words file names have, such as names: [hat, hats]")
    names, general, refused = (
        _phrases(reading, table.values[key], below("stems", key)) if key in table.values else {} for key in PHRASE_KEYS
    )
    for phrase in (names | general).keys() & refused.keys():
        reading.problem(refused[phrase], "stems.not", f"also in names ({shown(' '.join(phrase))}), so it could never match")
    sounds = reading.choice(table.values["sounds"], "stems.sounds", SOUNDS) if "sounds" in table.values else None
    deep = "deep" in table.values and bool(reading.flag(table.values["deep"], "stems.deep"))
    return Stems(names=tuple(names), general=tuple(general), refused=tuple(refused), sounds=sounds, deep=deep)


def _phrases(reading: Reading, node: Node, where: str) -> dict[Phrase, Node]:
    found: dict[Phrase, Node] = {}
    for way, item in reading.items(node, where, "a list of words and phrases, such as [hat, hi hat]"):
        text = reading.name(item, way, "a word or phrase, such as hi hat")
        words = split_words(text) if text is not None else ()
        if text is not None and not words:
            reading.problem(item, way, f"no letter or digit in it ({shown(text)}); write a word or phrase, such as hi hat")
        elif words:
            found.setdefault(words, item)
    return found


def _change(reading: Reading, node: Node) -> Table | None:
    if isinstance(node, Table):
        return node
    reading.table(node, "change", (), "change: {NAME OF A MOVE: {gain: +2 dB}}")
    return None


def _drop(reading: Reading, node: Node) -> list[tuple[str, Scalar, str]]:
    found = []
    for where, item in reading.items(node, "drop", "a list of names of moves, such as drop: [air]"):
        name = reading.name(item, where, "the name of a move")
        if name is not None and isinstance(item, Scalar):
            found.append((name, item, where))
    return found
