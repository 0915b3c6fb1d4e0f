"""Words files: strict YAML to words, with the place of everything that is wrong."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.recipes.fields import Field
from stemwright.recipes.grammar import RESERVED
from stemwright.recipes.move_reading import named, read_moves
from stemwright.recipes.problems import shown
from stemwright.recipes.reading import Reading, below
from stemwright.recipes.strict_yaml import Table, load
from stemwright.recipes.words import Meaning, Word
from stemwright.stems.limits import MOST_MEANINGS, MOST_WORDS
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from stemwright.recipes.moves import Move
    from stemwright.recipes.problems import Place, Problems
    from stemwright.recipes.strict_yaml import Node

FILE_KEYS = ("by", "words")
WORD_KEYS = ("why", "opposite", "also", "more", "fault", "means")
MEANING_KEYS = ("to", "moves", "rings")
SCALABLE = ("low_shelf", "high_shelf", "bell", "gain")
MOST_DB = 12.0
LONGEST_FORM = 4
RINGS = Field(
    key="rings",
    setting="rings_percent",
    quantity="percent",
    lowest=1.0,
    highest=100.0,
    about="How much of each ring's excess comes back into the sound; less of the word takes as much out.",
)


@dataclass(frozen=True)
class _Within(Reading):
    """Reads a part of a file; what it notes has the way to that part before it."""

    way: str

    def problem(self, place: Place | None, where: str, message: str) -> None:
        super().problem(place, f"{self.way}.{where}" if where else self.way, message)


def read_words(text: str, file: str, source: str, problems: Problems) -> list[Word]:
    """Read one words file.

    Parameters
    ----------
    text : str
        The whole file.
    file : str
        Its name for messages.
    source : str
        Where it lies, in short, for what is said on screen; a person's file is called by the person.
    problems : Problems
        Takes all that is wrong.

    Returns
    -------
    list of Word
        Those without a problem.
    """
    node = load(text, file, problems)
    if node is None and problems.found_in(file):
        return []
    reading = Reading(file, problems)
    table = reading.table(node, "", FILE_KEYS, "a mapping: words, and 'by: WHO' if they are one person's")
    if table is None:
        return []
    by = reading.name(table.values["by"], "by", "whose words these are") if "by" in table.values else None
    if "words" not in table.values:
        reading.problem(table, "", "words is missing; write words: {bright: {why: …, opposite: dark, means: […]}}")
        return []
    words = table.values["words"]
    if not isinstance(words, Table):
        reading.table(words, "words", (), "a mapping of words, each with why, opposite and means")
        return []
    entries = list(words.values.items())
    if len(entries) > MOST_WORDS:
        reading.problem(words.keys[entries[MOST_WORDS][0]], "words", f"{len(entries)} words; allowed: {MOST_WORDS}")
    found = [_word(reading, name, each, words.keys[name]) for name, each in entries[:MOST_WORDS]]
    return [replace(word, by=by, source=by or source) for word in found if word is not None]


def _word(reading: Reading, name: str, node: Node, key: Place) -> Word | None:
    where = below("words", name)
    table = reading.table(node, where, WORD_KEYS, "a mapping with why, opposite and means")
    if table is None:
        return None
    values = table.values
    forms = {kind: _forms(reading, values[kind], below(where, kind)) if kind in values else () for kind in ("also", "more")}
    _form(reading, name, key, where)
    if name != " ".join(split_words(name)):
        reading.problem(
            key, where, f"not a word in small letters ({shown(name)}); write {' '.join(split_words(name)) or 'a word'}"
        )
    if "why" not in values:
        reading.problem(table, where, "why is missing; say what the approver hears, and why these moves answer it")
    if "opposite" not in values and "means" not in values:
        reading.problem(table, where, "neither means nor opposite; write its moves, or the word it turns round")
    opposite = reading.name(values["opposite"], below(where, "opposite"), "another word") if "opposite" in values else None
    return Word(
        name=name,
        why=(reading.text(values["why"], below(where, "why"), "the reason") if "why" in values else None) or "",
        opposite=opposite,
        also=forms["also"],
        more=forms["more"],
        fault="fault" in values and reading.flag(values["fault"], below(where, "fault")) is True,
        means=_meanings(reading, values["means"], below(where, "means")) if "means" in values else (),
        file=reading.file,
        line=key.line,
        column=key.column,
    )


def _forms(reading: Reading, node: Node, where: str) -> tuple[str, ...]:
    found = []
    for way, item in reading.items(node, where, "a list of words, such as [brighter]"):
        text = reading.name(item, way, "a word or phrase")
        if text is not None:
            _form(reading, text, item, way)
            found.append(text)
    return tuple(found)


def _form(reading: Reading, text: str, place: Place, where: str) -> None:
    phrase = split_words(text)
    if not phrase or len(phrase) > LONGEST_FORM:
        reading.problem(place, where, f"not a word or short phrase ({shown(text)}); allowed: 1 to {LONGEST_FORM} words")
    elif phrase in RESERVED:
        reading.problem(place, where, f"a word of the note language itself ({shown(text)}); take another form")


def _meanings(reading: Reading, node: Node, where: str) -> tuple[Meaning, ...]:
    found = []
    said: dict[str, str] = {}
    entries = reading.items(node, where, "a list of meanings, such as [{to: [drums], moves: […]}]")
    if len(entries) > MOST_MEANINGS:
        reading.problem(entries[MOST_MEANINGS][1], where, f"{len(entries)} meanings; allowed: {MOST_MEANINGS}")
    for way, item in entries[:MOST_MEANINGS]:
        table = reading.table(item, way, MEANING_KEYS, "a meaning, such as {to: [drums], moves: […]}")
        if table is None:
            continue
        to = _to(reading, table, below(way, "to"))
        for each in to or ("every stem",):
            if each in said:
                reading.problem(table, way, f"a second meaning for {shown(each)}, beside {said[each]}; keep one")
            said.setdefault(each, way)
        if ("moves" in table.values) == ("rings" in table.values):
            reading.problem(table, way, "write either moves, or rings with a percentage")
            continue
        if "rings" in table.values:
            percent = reading.number(table.values["rings"], below(way, "rings"), RINGS)
            found.append(Meaning(to=to, rings_percent=percent))
        else:
            found.append(Meaning(to=to, moves=_moves(reading, table.values["moves"], way)))
    return tuple(found)


def _to(reading: Reading, table: Table, where: str) -> tuple[str, ...]:
    if "to" not in table.values:
        return ()
    example = "a list of roles and families, such as [hats, vocals]"
    names = [reading.name(item, way, "a role or family") for way, item in reading.items(table.values["to"], where, example)]
    return tuple(name for name in names if name is not None)


def _moves(reading: Reading, node: Node, way: str) -> tuple[Move, ...]:
    inner = _Within(reading.file, reading.problems, way)
    written = read_moves(inner, node)
    for move in written:
        if move.kind not in SCALABLE or move.notes.off or move.notes.when or move.notes.if_there:
            scalable = move.kind in SCALABLE
            what = (
                "a move that is off or waits for something" if scalable else f"{move.kind} cannot be scaled and turned round"
            )
            inner.problem(move.node, move.where, f"{what}; a word is made of {', '.join(SCALABLE)}")
        elif not 0.0 < abs(move.settings["gain_db"]) <= MOST_DB:
            gain = f"{move.settings['gain_db']:+g} dB"
            inner.problem(move.node, move.where, f"out of range ({gain}); allowed: up to {MOST_DB:g} dB each way, and not 0")
    if not written and not reading.problems.found_in(reading.file):
        inner.problem(node, "moves", "no moves; a word does something")
    return named(inner, [move for move in written if move.kind in SCALABLE], ())
