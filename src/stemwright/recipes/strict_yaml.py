"""Strict YAML: every value with its line and column, read by the YAML 1.2 core schema, and no surprises.

Conventions
-----------
PyYAML resolves by YAML 1.1, so only its events are used here; `core_schema` says what a plain value is by YAML 1.2, and
refuses what the two versions read differently (``yes``, ``010``, ``12:30``): another reader would take another meaning.
Aliases, tags, directives, merge keys and second documents are refused; a recipe
needs none of them, and a file from another room could do harm with them.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import yaml

from stemwright.recipes.core_schema import core, surprise
from stemwright.recipes.problems import shown

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stemwright.recipes.problems import Problems

LARGEST_BYTES = 1 << 20
DEEPEST = 12

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # ten times the speed where libyaml is there


@dataclass(frozen=True)
class Scalar:
    """A single value: ``value`` as the core schema reads it, ``text`` as written, ``plain`` if it had no quotes.

    ``refused`` ones have their problem noted already; nothing more is to be said about them.
    """

    value: str | int | float | bool | None
    text: str
    plain: bool
    line: int
    column: int
    refused: bool = False


@dataclass(frozen=True)
class Items:
    """A list."""

    items: list[Node]
    line: int
    column: int


@dataclass(frozen=True)
class Table:
    """A mapping; ``keys`` holds where each key was written."""

    values: dict[str, Node]
    keys: dict[str, Scalar]
    line: int
    column: int


Node = Scalar | Items | Table


@dataclass(frozen=True)
class Mark:
    """A place in a file."""

    line: int
    column: int


class _StopError(Exception):
    """The rest of the file cannot be read; the problem is noted already."""


def decode(raw: bytes, file: str, problems: Problems) -> str | None:
    """Return a file's bytes as text, without a byte order mark; None if they are too many or not UTF-8.

    Parameters
    ----------
    raw : bytes
        The file.
    file : str
        Its name for messages.
    problems : Problems
        Takes what is wrong.
    """
    if len(raw) > LARGEST_BYTES:
        problems.add(file, None, "", "larger than 1 MiB; that is no recipe or session sheet")
        return None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8-sig", "replace")
        problems.add(file, _mark_at(before, len(before)), "", f"not UTF-8 (byte 0x{raw[error.start]:02x}); save it as UTF-8")
        return None
    return text


def load(text: str, file: str, problems: Problems) -> Node | None:
    """Read one YAML document.

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
    Scalar, Items, Table or None
        None if the file is empty or cannot be read to its end. Values that were refused one by one are in it
        nevertheless, as text.
    """
    problems.begin(file)
    try:
        return _Builder(file, problems).document(iter(yaml.parse(text, Loader=_LOADER)))
    except _StopError:
        return None
    except yaml.reader.ReaderError as error:
        mark = _mark_at(text, _refused_at(text))
        problems.add(file, mark, "", f"a character YAML does not allow (U+{int(error.character):04X}); take it out")
    except yaml.MarkedYAMLError as error:
        mark = Mark(error.problem_mark.line + 1, error.problem_mark.column + 1) if error.problem_mark else Mark(1, 1)
        problems.add(file, mark, "", _syntax(error, text))
    except UnicodeEncodeError as error:
        problems.add(file, _mark_at(text, error.start), "", "half of a surrogate pair; save it as UTF-8")
    return None


@dataclass
class _Builder:
    file: str
    problems: Problems
    where: list[str] = field(default_factory=list)

    def document(self, events: Iterator[Any]) -> Node | None:
        found: Node | None = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._stop(event, "a second document begins here; one file holds one")
                if event.version or event.tags:
                    self._stop(event, "directives (%) are not used here; take them out")
            elif isinstance(event, yaml.NodeEvent):
                found = self._node(event, events)
        return found

    def _note(self, event: Any, message: str) -> None:  # noqa: ANN401 - PyYAML's events have no types
        self.problems.add(self.file, _start(event), "".join(self.where).removeprefix("."), message)

    def _stop(self, event: Any, message: str) -> None:  # noqa: ANN401
        self._note(event, message)
        raise _StopError

    def _node(self, event: Any, events: Iterator[Any]) -> Node:  # noqa: ANN401
        if isinstance(event, yaml.AliasEvent):
            self._stop(event, f"aliases (*{shown(event.anchor or '')}) are not used here; write the value out")
        if event.anchor is not None:
            self._note(event, f"anchors (&{shown(event.anchor)}) are not used here; take it out")
        if event.tag is not None:
            self._note(event, f"tags ({shown(event.tag)}) are not used here; take it out")
        if len(self.where) >= DEEPEST:
            self._stop(event, f"nested deeper than {DEEPEST} levels; nothing here goes so deep")
        if isinstance(event, yaml.SequenceStartEvent):
            return self._items(event, events)
        if isinstance(event, yaml.MappingStartEvent):
            return self._table(event, events)
        return self._scalar(event)

    def _items(self, start: Any, events: Iterator[Any]) -> Items:  # noqa: ANN401
        found = Items([], *_position(start))
        for event in events:
            if isinstance(event, yaml.SequenceEndEvent):
                break
            self.where.append(f"[{len(found.items) + 1}]")
            found.items.append(self._node(event, events))
            self.where.pop()
        return found

    def _table(self, start: Any, events: Iterator[Any]) -> Table:  # noqa: ANN401
        found = Table({}, {}, *_position(start))
        for event in events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            key = self._key(event)
            self.where.append(f".{shown(key.text)}")
            if key.text in found.keys:
                first = found.keys[key.text]
                self._note(event, f"this key is here a second time, first in line {first.line}; keep one of them")
            value = self._node(next(events), events)
            self.where.pop()
            if key.text not in found.keys:
                found.keys[key.text] = key
                found.values[key.text] = value
        return found

    def _key(self, event: Any) -> Scalar:  # noqa: ANN401
        if not isinstance(event, yaml.ScalarEvent):
            self._stop(event, "a key must be a word, not a list, a mapping or an alias")
        if event.anchor is not None or event.tag is not None:
            self._note(event, "anchors and tags are not used here; take it out")
        if event.implicit[0] and event.value == "<<":
            self._stop(event, "merge keys (<<) are not used here; a recipe builds on another one by based_on")
        missing = bool(event.implicit[0]) and not event.value
        if missing:
            self._note(event, "a key is missing before this colon")
        text = unicodedata.normalize("NFC", event.value)
        return Scalar(text, text, event.implicit[0], *_position(event), refused=missing)

    def _scalar(self, event: Any) -> Scalar:  # noqa: ANN401
        text, plain = str(event.value), bool(event.implicit[0])
        value: str | float | bool | None = text
        if plain:
            message = surprise(text)
            if message:
                self._note(event, message)
                return Scalar(text, text, plain, *_position(event), refused=True)
            value = core(text)
        return Scalar(value, text, plain, *_position(event))


def _position(event: Any) -> tuple[int, int]:  # noqa: ANN401
    return event.start_mark.line + 1, event.start_mark.column + 1


def _start(event: Any) -> Mark:  # noqa: ANN401
    return Mark(*_position(event))


def _mark_at(text: str, index: int) -> Mark:
    before = text[:index].replace("\r\n", "\n").replace("\r", "\n")
    return Mark(before.count("\n") + 1, len(before) - before.rfind("\n"))


# YAML 1.2.2, production [1] c-printable, less what PyYAML refuses inside a text.
_REFUSED = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def _refused_at(text: str) -> int:
    found = _REFUSED.search(text)
    return found.start() if found else 0


_SYNTAX = (
    ("maximum nesting depth", "nested far too deep; nothing here goes so deep"),
    ("mapping values are not allowed", "a second colon in one line; put text that has a colon in quotes"),
    ("found unexpected end of stream", "a quote is opened here and not closed"),
    ("could not find expected ':'", "a key without its colon; write key: value"),
    ("did not find expected key", "this does not fit the lines above; check the indentation"),
    ("expected <block end>", "this does not fit the lines above; check the indentation"),
    ("did not find expected '-' indicator", "this does not fit the list above; begin with '- ' or check the indentation"),
    ("did not find expected ',' or ']'", "a comma or the list's closing ] is missing before this"),
    ("expected ',' or ']'", "a comma or the list's closing ] is missing before this"),
    ("did not find expected ',' or '}'", "a comma or the mapping's closing } is missing before this"),
    ("expected ',' or '}'", "a comma or the mapping's closing } is missing before this"),
    ("expected node content", "a value is missing before this, or a bracket is not closed"),
    ("expected the node content", "a value is missing before this, or a bracket is not closed"),
)


def _syntax(error: yaml.MarkedYAMLError, text: str) -> str:
    problem = error.problem or error.context or "not YAML"
    if "cannot start any token" in problem and error.problem_mark is not None:
        lines = text.splitlines()
        line = lines[error.problem_mark.line] if error.problem_mark.line < len(lines) else ""
        char = line[error.problem_mark.column : error.problem_mark.column + 1]
        if char == "\t":
            return "a tab; indent with spaces"
        return f"a value cannot begin with this character ({shown(char)}); put the value in quotes"
    for fragment, sentence in _SYNTAX:
        if fragment in problem:
            return sentence
    return f"not YAML ({shown(problem)})"
