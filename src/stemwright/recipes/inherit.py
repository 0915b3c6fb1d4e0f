"""Inheritance: a recipe that builds on another takes its moves, changes some, drops some, and adds its own after them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.recipes.kinds import KINDS
from stemwright.recipes.move_reading import WrittenNotes, conditional, named, read_fields, read_notes, rises, unknown_move
from stemwright.recipes.problems import hint, shown
from stemwright.recipes.reading import Reading, below
from stemwright.recipes.recipe import Draft, Recipe, Stems
from stemwright.stems.limits import HIGHEST_CHAIN_DB, MOST_MOVES

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stemwright.recipes.moves import Move
    from stemwright.recipes.problems import Problems
    from stemwright.recipes.strict_yaml import Table

Key = tuple[int, str]
LIFTING = ("gain_db", "makeup_db")


class Resolver:
    """Resolves the drafts of all directories.

    Parameters
    ----------
    layers : sequence of dict of str to Draft
        One a directory, in search order, by recipe name.
    problems : Problems
        Takes all that is wrong.
    complete : bool
        Whether every file's name could be read. If not, a parent that is missing may be in one of those, and is not noted.
    """

    def __init__(self, layers: Sequence[Mapping[str, Draft]], problems: Problems, *, complete: bool = True) -> None:
        self._layers = layers
        self._problems = problems
        self._complete = complete
        self._done: dict[Key, Recipe | None] = {}

    def resolve(self, key: Key) -> Recipe | None:
        """Return the recipe of a draft, given as number of its layer and name; None if it or a parent has a problem."""
        lineage = self._lineage(key)
        for each in reversed(lineage or []):
            if each not in self._done:
                self._done[each] = self._build(each)
        return self._done.get(key)

    def _lineage(self, key: Key) -> list[Key] | None:
        """Return a draft's ancestry, itself first, walked without recursion; None if it does not end well."""
        path = [key]
        while path[-1] not in self._done:
            draft = self._draft(path[-1])
            if draft.based_on is None:
                return path
            parent = self._find(path[-1])
            if parent is None:
                self._done[path[-1]] = None
                if self._complete:
                    self._unknown(draft)
            elif parent in path:
                self._cycle(path[path.index(parent) :])
            else:
                path.append(parent)
        return path

    def _draft(self, key: Key) -> Draft:
        return self._layers[key[0]][key[1]]

    def _find(self, key: Key) -> Key | None:
        """Find a draft's parent: along the search order; below its own layer where it builds on its own name."""
        name = self._draft(key).based_on or ""
        first = key[0] + 1 if name == key[1] else 0
        found = (number for number in range(first, len(self._layers)) if name in self._layers[number])
        number = next(found, None)
        return None if number is None else (number, name)

    def _unknown(self, draft: Draft) -> None:
        wanted = draft.based_on or ""
        reading = Reading(draft.file, self._problems)
        if wanted == draft.name:
            message = f"no other recipe of this name ({shown(wanted)}) further down the search order"
        else:
            names = sorted({name for layer in self._layers for name in layer if name != draft.name})
            message = f"no recipe has this name ({shown(wanted)}); {hint(wanted, names)}"
        reading.problem(draft.based_on_node, "based_on", message)

    def _cycle(self, keys: list[Key]) -> None:
        """Note a cycle once, in each of its recipes' stead."""
        names = [name for _, name in keys]
        first = min(range(len(keys)), key=lambda index: keys[index])
        chain = " -> ".join(shown(name) for name in [*names[first:], *names[: first + 1]])
        draft = self._draft(keys[first])
        message = f"a circle ({chain}); one of them must stand alone"
        Reading(draft.file, self._problems).problem(draft.based_on_node, "based_on", message)
        for key in keys:
            self._done[key] = None

    def _build(self, key: Key) -> Recipe | None:
        draft = self._draft(key)
        reading = Reading(draft.file, self._problems)
        if draft.based_on is None:
            moves = named(reading, draft.moves, ())
            return self._finished(draft, None, moves)
        parent_key = self._find(key)
        parent = self._done.get(parent_key) if parent_key is not None else None
        if parent is None:
            return None
        changed = _changed(reading, draft.change, parent)
        gone = _dropped(reading, draft, parent)
        moves = named(reading, draft.moves, [move for move in changed if move.name not in gone])
        return self._finished(draft, parent, moves)

    def _finished(self, draft: Draft, parent: Recipe | None, moves: tuple[Move, ...]) -> Recipe | None:
        if draft.name is None or self._problems.found_in(draft.file):
            return None
        stems = draft.stems or (_stems_of(parent) if parent else Stems())
        lift_db = sum(max(move.settings.get(key, 0.0), 0.0) for move in moves if not move.off for key in LIFTING)
        what = None
        if len(moves) > MOST_MOVES:
            what = f"{len(moves)} moves with its parents'; allowed: {MOST_MOVES}"
        elif lift_db > HIGHEST_CHAIN_DB:
            what = f"its moves lift by {lift_db:g} dB together; allowed: {HIGHEST_CHAIN_DB:g} dB"
        if what is not None:
            Reading(draft.file, self._problems).problem(draft.name_node, "moves", what)
            return None
        return Recipe(
            name=draft.name,
            version=draft.version,
            about=draft.about or (parent.about if parent else ""),
            role=draft.role or (parent.role if parent else draft.name),
            family=draft.family or (parent.family if parent else None),
            names=stems.names,
            general_names=stems.general,
            not_names=stems.refused,
            sounds=stems.sounds,
            deep=stems.deep,
            moves=moves,
            based_on=draft.based_on,
            path=draft.file,
            text=draft.text,
            sha256=draft.sha256,
            parents=parent.sources if parent else (),
            came_from=draft.came_from,
        )


def _stems_of(parent: Recipe) -> Stems:
    return Stems(
        names=parent.names,
        general=parent.general_names,
        refused=parent.not_names,
        sounds=parent.sounds,
        deep=parent.deep,
    )


def _changed(reading: Reading, change: Table | None, parent: Recipe) -> list[Move]:
    moves = {move.name: move for move in parent.moves}
    for name, node in (change.values if change else {}).items():
        where = below("change", name)
        if name not in moves:
            place = change.keys[name] if change else None
            reading.problem(place, where, unknown_move(name, parent.moves, parent.name))
            continue
        move, kind = moves[name], KINDS[moves[name].kind]
        keys = [*(field.key for field in kind.fields), "why", "off", "when", "if_there", "only"]
        table = reading.table(node, where, keys, "a mapping of what changes, such as {gain: +2 dB}")
        if table is None:
            continue
        settings = {**move.settings, **read_fields(reading, kind.fields, table, where)}
        notes = read_notes(reading, table, where) if "name" not in table.values else WrittenNotes()
        rises(reading, kind, settings, table, where)
        changed = replace(
            move,
            settings=settings,
            why=move.why if notes.why is None else notes.why,
            off=move.off if notes.off is None else notes.off,
        )
        moves[name] = conditional(changed, notes)
    return list(moves.values())


def _dropped(reading: Reading, draft: Draft, parent: Recipe) -> set[str]:
    names = {move.name for move in parent.moves}
    changed = draft.change.values if draft.change else {}
    for name, place, where in draft.drop:
        if name not in names:
            reading.problem(place, where, unknown_move(name, parent.moves, parent.name))
        elif name in changed:
            reading.problem(place, where, f"changed and dropped at once ({shown(name)}); keep one of the two")
    return {name for name, _, _ in draft.drop}
