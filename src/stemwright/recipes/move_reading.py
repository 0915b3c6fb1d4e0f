"""Move reading: one entry of a recipe's ``moves``, or of its ``change``, to numbers within their ranges."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.recipes.kinds import KINDS, LINEAR_SLOPES
from stemwright.recipes.moves import NOTE_KEYS, WHEN, Move, Names
from stemwright.recipes.problems import hint, nearest, shown
from stemwright.recipes.reading import below
from stemwright.recipes.strict_yaml import Items, Scalar, Table
from stemwright.recipes.times import looks_like_stretch, stretch
from stemwright.recipes.units import show
from stemwright.stems.limits import MOST_MOVES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.recipes.fields import Field, Kind
    from stemwright.recipes.reading import Reading
    from stemwright.recipes.strict_yaml import Node

MOST_PLACES = 200
EXAMPLE = "a move, such as {bell: {freq: 3 kHz, gain: -2 dB}}"


@dataclass(frozen=True)
class WrittenNotes:
    """What stands beside a move's numbers; None for what was not written. ``if_there`` is a role or family, ``only`` places."""

    name: str | None = None
    why: str | None = None
    off: bool | None = None
    when: str | None = None
    if_there: str | None = None
    only: tuple[str, ...] | None = None


@dataclass(frozen=True)
class WrittenMove:
    """A move as written; ``where`` and ``node`` say where it stands."""

    kind: str
    notes: WrittenNotes
    settings: dict[str, float]
    where: str
    node: Table

    @property
    def name(self) -> str | None:
        """Its name; None where it has none yet."""
        return self.notes.name


def read_moves(reading: Reading, node: Node) -> list[WrittenMove]:
    """Read a list of moves.

    Parameters
    ----------
    reading : Reading
        Takes the problems.
    node : Node
        What stands under ``moves``.

    Returns
    -------
    list of WrittenMove
        Those without a problem.
    """
    example = "a list of moves; [] for none"
    entries = reading.items(node, "moves", example)
    if len(entries) > MOST_MOVES:
        reading.problem(entries[MOST_MOVES][1], "moves", f"{len(entries)} moves; allowed: {MOST_MOVES}")
    found = [_move(reading, item, where) for where, item in entries[:MOST_MOVES]]
    return [move for move in found if move is not None]


def _move(reading: Reading, node: Node, where: str) -> WrittenMove | None:
    if isinstance(node, Scalar) and node.text in KINDS:
        reading.problem(node, where, f"a move without its numbers ({node.text}); write {_example(KINDS[node.text])}")
        return None
    table = reading.table(node, where, [*KINDS, *NOTE_KEYS], EXAMPLE)
    if table is None:
        return None
    kinds = [key for key in table.keys if key in KINDS]
    if not kinds:
        if not [key for key in table.keys if key not in NOTE_KEYS]:
            reading.problem(table, where, f"no move here; write {EXAMPLE}")
        return None
    for extra in kinds[1:]:
        reading.problem(table.keys[extra], below(where, extra), f"a second move in one entry; begin it with '- {extra}:'")
    kind = KINDS[kinds[0]]
    settings = _settings(reading, kind, table.values[kind.name], below(where, kind.name))
    notes = read_notes(reading, table, where)
    if settings is None:
        return None
    return WrittenMove(kind.name, notes, settings, where, table)


def read_notes(reading: Reading, table: Table, where: str) -> WrittenNotes:
    """Return name, reason and conditions of a move."""
    name = why = off = when = if_there = None
    if "name" in table.values:
        name = reading.name(table.values["name"], below(where, "name"), "a name, such as air")
    if "why" in table.values:
        why = reading.text(table.values["why"], below(where, "why"), "the reason for this move")
    if "off" in table.values:
        off = reading.flag(table.values["off"], below(where, "off"))
    if "when" in table.values:
        when = reading.choice(table.values["when"], below(where, "when"), WHEN)
    if "if_there" in table.values:
        if_there = reading.name(table.values["if_there"], below(where, "if_there"), "a role, such as lead vocal")
    only = read_only(reading, table.values["only"], below(where, "only")) if "only" in table.values else None
    return WrittenNotes(name, why, off, when, if_there, only)


def read_only(reading: Reading, node: Node, where: str) -> tuple[str, ...] | None:
    """Return the places a move is to be made in: a section's name, bars, a time, or a list of these."""
    example = "a section such as hook, bars 5-8, a time such as 0:45-1:10, or a list of these"
    entries = reading.items(node, where, example) if isinstance(node, Items) else [(where, node)]
    if isinstance(node, Items) and not 1 <= len(entries) <= MOST_PLACES:
        reading.problem(node, where, f"{len(entries)} places; allowed: 1 to {MOST_PLACES}")
        return None
    found = []
    for way, item in entries:
        text = reading.name(item, way, example)
        wrong = stretch(text) if text is not None and looks_like_stretch(text) else None
        if isinstance(wrong, str):
            reading.problem(item, way, f"{wrong} ({shown(item.text if isinstance(item, Scalar) else '')})")
        elif text is not None:
            found.append(text)
    return tuple(found) or None


def _settings(reading: Reading, kind: Kind, node: Node, where: str) -> dict[str, float] | None:
    if kind.word is not None:
        return {} if reading.choice(node, where, [kind.word]) is not None else None
    if kind.scalar is not None and not isinstance(node, Table):
        field = kind.field(kind.scalar)
        value = reading.number(node, where, field)
        return None if value is None else {field.setting: value}
    table = reading.table(node, where, [field.key for field in kind.fields], _example(kind).removeprefix(f"{kind.name}: "))
    if table is None:
        return None
    given = read_fields(reading, kind.fields, table, where)
    # A word that is not written is not in the settings: plans from before it was there stay equal.
    start = {
        field.setting: field.default for field in kind.fields if field.default is not None and field.quantity != "phase"
    }
    complete = {**start, **given}
    keys = [field.key for field in kind.fields]
    misspelt = {nearest(key, keys) for key in table.keys if key not in keys}  # told already, as an unknown key
    for field in kind.fields:
        if field.default is None and field.key not in table.values and field.key not in misspelt:
            reading.problem(table, where, f"{field.key} is missing; {field.wanted}")
    if any(field.default is None and field.setting not in complete for field in kind.fields):
        return None
    return complete if rises(reading, kind, complete, table, where) else None


def read_fields(reading: Reading, fields: Sequence[Field], table: Table, where: str) -> dict[str, float]:
    """Return those numbers of a mapping that are there and right, by setting."""
    found: dict[str, float] = {}
    for field in fields:
        if field.key in table.values:
            value = reading.number(table.values[field.key], below(where, field.key), field)
            if value is not None:
                found[field.setting] = value
    return found


def rises(reading: Reading, kind: Kind, settings: dict[str, float], table: Table, where: str) -> bool:
    """Whether each pair that must rise does; notes it where one does not."""
    right = _slope_of_phase(reading, settings, table, where)
    for low, high in kind.rising:
        first, second = kind.field(low), kind.field(high)
        if settings[first.setting] >= settings[second.setting]:
            place = table.values.get(high) or table.values.get(low) or table
            lower, upper = (show(each.quantity, settings[each.setting]) for each in (first, second))
            reading.problem(place, where, f"{low} must lie under {high} ({low} {lower}, {high} {upper})")
            right = False
    return right


def _slope_of_phase(reading: Reading, settings: dict[str, float], table: Table, where: str) -> bool:
    """Whether a linear phase has a slope that can be run half forward and half backward."""
    if not settings.get("linear_phase") or settings["slope_db_oct"] in LINEAR_SLOPES:
        return True
    slope = show("slope", settings["slope_db_oct"])
    place = table.values.get("slope") or table.values.get("phase") or table
    reading.problem(
        place, below(where, "slope"), f"out of range ({slope}); with phase: linear allowed: 12, 24, 36, 48 dB/oct"
    )
    return False


def _example(kind: Kind) -> str:
    if kind.word is not None:
        return f"{kind.name}: {kind.word}"
    if kind.scalar is not None:
        return f"{kind.name}: {show(kind.field(kind.scalar).quantity, -3.0)}"
    needed = [field for field in kind.fields if field.default is None]
    parts = [f"{field.key}: {field.example}" for field in needed]
    return f"{kind.name}: {{{', '.join(parts)}}}"


def named(reading: Reading, written: Sequence[WrittenMove], before: Sequence[Move]) -> tuple[Move, ...]:
    """Give moves their names and put them after those that are there.

    Parameters
    ----------
    reading : Reading
        Takes a name that is there twice.
    written : sequence of WrittenMove
        In order.
    before : sequence of Move
        Inherited moves, which keep their names.

    Returns
    -------
    tuple of Move
    """
    names = Names({move.name for move in before})
    for move in written:
        if move.name is None:
            continue
        if move.name in names.taken:
            place = move.node.values["name"]
            message = f"two moves have this name ({shown(move.name)}); give this one another"
            reading.problem(place, below(move.where, "name"), message)
        names.taken.add(move.name)
    added = [conditional(_plain(move, names), move.notes) for move in written]
    return (*before, *added)


def _plain(written: WrittenMove, names: Names) -> Move:
    notes = written.notes
    return Move(
        written.kind, notes.name or names.free(written.kind), notes.why or "", off=bool(notes.off), settings=written.settings
    )


def conditional(move: Move, notes: WrittenNotes) -> Move:
    """Return a move with the conditions written; ``when: always`` takes inherited ones away."""
    if notes.when == "always":
        return replace(move, when=None, if_there=None, only=notes.only or ())
    return replace(
        move, when=notes.when or move.when, if_there=notes.if_there or move.if_there, only=notes.only or move.only
    )


def unknown_move(name: str, moves: Sequence[Move], parent: str) -> str:
    """Say that a parent has no move of this name."""
    if not moves:
        return f"{parent} has no move of this name ({shown(name)}); it has none at all"
    return f"{parent} has no move of this name ({shown(name)}); {hint(name, [move.name for move in moves])}"
