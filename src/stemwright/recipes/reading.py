"""Reading: from a YAML node to a text, a number, a choice; what does not fit becomes a problem with its place."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.recipes.problems import MOST_PER_FILE, hint, shown
from stemwright.recipes.strict_yaml import Items, Scalar, Table
from stemwright.recipes.units import UnitError, parse

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.recipes.fields import Field
    from stemwright.recipes.problems import Place, Problems
    from stemwright.recipes.strict_yaml import Node

LONGEST_NAME = 80
RENAMED = {"depth": "take"}  # keys of earlier versions; recipes in manifests still have them
RECORDED = " (as recorded)"  # ends the name of a recipe read from a manifest
LONGEST_TEXT = 2000


@dataclass(frozen=True)
class Reading:
    """Reads one file's nodes. Every method returns None (or leaves an entry out) after noting a problem."""

    file: str
    problems: Problems

    def problem(self, place: Place | None, where: str, message: str) -> None:
        """Note a problem, unless the loader has refused this value already."""
        if isinstance(place, Scalar) and place.refused:
            return
        self.problems.add(self.file, place, where, message)

    def table(self, node: Node | None, where: str, keys: Iterable[str], example: str) -> Table | None:
        """Return a mapping, its unknown keys noted; ``example`` is what to write in place of something else."""
        if not isinstance(node, Table):
            self.problem(node, where, f"{_found(node)}; write {example}")
            return None
        allowed = list(keys)
        unknown = [(key, place) for key, place in node.keys.items() if key not in allowed]
        for key, place in unknown[: MOST_PER_FILE + 1]:  # no more are shown, and a hint takes its time
            new = RENAMED.get(key)
            if new not in allowed:
                self.problem(place, below(where, key), f"unknown key ({shown(key)}); {hint(key, allowed, most=20)}")
            elif self.file.endswith(RECORDED):
                node.keys[new] = node.keys.pop(key)
                if key in node.values:
                    node.values[new] = node.values.pop(key)
            else:
                self.problem(place, below(where, key), f"{key} is called {new} now; write {new}")
        return node

    def items(self, node: Node, where: str, example: str) -> list[tuple[str, Node]]:
        """Return a list's entries with the way to each."""
        if not isinstance(node, Items):
            self.problem(node, where, f"{_found(node)}; write {example}")
            return []
        return [(f"{where}[{number}]", item) for number, item in enumerate(node.items, start=1)]

    def text(self, node: Node, where: str, what: str) -> str | None:
        """Return a sentence, its line breaks and runs of spaces made one space."""
        if not isinstance(node, Scalar) or not isinstance(node.value, str):
            quote = "; put text that looks like a number in quotes" if isinstance(node, Scalar) and node.text else ""
            self.problem(node, where, f"{_found(node)}; write {what}{quote}")
            return None
        text = " ".join(unicodedata.normalize("NFC", node.value).split())
        if not text:
            self.problem(node, where, f"empty; write {what}")
        elif len(text) > LONGEST_TEXT:
            self.problem(node, where, f"{len(text)} characters; allowed: {LONGEST_TEXT}")
        else:
            return text
        return None

    def name(self, node: Node, where: str, what: str) -> str | None:
        """Return a short printable name; a plain whole number is taken as written (808)."""
        if isinstance(node, Scalar) and node.plain and type(node.value) is int:
            return node.text
        text = self.text(node, where, what)
        if text is not None and len(text) > LONGEST_NAME:
            self.problem(node, where, f"{len(text)} characters; a name has at most {LONGEST_NAME}")
            return None
        if text is not None and not text.isprintable():
            self.problem(node, where, f"a character that cannot be seen ({shown(text)}); take it out")
            return None
        return text

    def whole(self, node: Node, where: str, lowest: int, highest: int) -> int | None:
        """Return a whole number."""
        if isinstance(node, Scalar) and type(node.value) is int and lowest <= node.value <= highest:
            return node.value
        self.problem(node, where, f"{_found(node)}; allowed: whole numbers from {lowest} to {highest}")
        return None

    def flag(self, node: Node, where: str) -> bool | None:
        """Return true or false."""
        if isinstance(node, Scalar) and isinstance(node.value, bool):
            return node.value
        self.problem(node, where, f"{_found(node)}; allowed: true, false")
        return None

    def choice(self, node: Node, where: str, allowed: Iterable[str]) -> str | None:
        """Return one of the allowed words, as written."""
        words = list(allowed)
        if isinstance(node, Scalar) and node.text in words:
            return node.text
        word = node.text if isinstance(node, Scalar) else ""
        self.problem(node, where, f"{_found(node)}; {hint(word, words)}")
        return None

    def number(self, node: Node, where: str, field: Field) -> float | None:
        """Return a move's number in its base unit, within its range."""
        if not isinstance(node, Scalar):
            self.problem(node, where, f"{_found(node)}; write one value, such as {field.allowed.split(' to ')[0]}")
            return None
        try:
            value = parse(field.quantity, node.value if not isinstance(node.value, float) else node.text)
        except UnitError as error:
            self.problem(node, where, str(error))
            return None
        refusal = field.refusal(value)
        if refusal is not None:
            self.problem(node, where, f"out of range ({shown(node.text)}); {refusal}")
            return None
        return value


def below(where: str, key: str) -> str:
    """Return the way to a key of the mapping at ``where``."""
    return f"{where}.{shown(key)}" if where else shown(key)


def _found(node: Node | None) -> str:
    """Say what stands where something else should."""
    if node is None:
        return "empty"
    if isinstance(node, Scalar):
        return f"not allowed here ({shown(node.text)})" if node.text else "empty"
    return "a list is not allowed here" if isinstance(node, Items) else "a mapping is not allowed here"
