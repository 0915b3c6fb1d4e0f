"""Stem choices: a person's word on single stems in the session sheet, and which stems of the song it is about."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stemwright.recipes.by_hand import ByHand, read_by_hand
from stemwright.recipes.deciding import Match
from stemwright.recipes.matching import match_all
from stemwright.recipes.problems import Problems, hint, shown
from stemwright.recipes.reading import below
from stemwright.recipes.strict_yaml import Scalar, Table
from stemwright.stems.asked import fitting, is_one

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.recipes.library import Library
    from stemwright.recipes.reading import Reading
    from stemwright.recipes.session import SessionSheet
    from stemwright.recipes.strict_yaml import Node

STEM_KEYS = ("role", "leave", "skip", "why", "ride")
STEM_EXAMPLE = "one of {role: piano}, {leave: the reason}, {skip: the reason}"


@dataclass(frozen=True, kw_only=True)
class StemChoice:
    """A person's word on one stem. One of ``role`` (a recipe's name), ``leave`` and ``skip`` (each its reason) is set, or ``ride``.

    ``ride`` are gains by hand, beside a role or alone.
    """

    role: str | None = None
    leave: str | None = None
    skip: str | None = None
    why: str | None = None
    ride: tuple[ByHand, ...] = ()
    line: int = field(default=1, compare=False)
    column: int = field(default=1, compare=False)


def read_choices(reading: Reading, node: Node) -> dict[str, StemChoice]:
    """Read ``stems``, by name as written; what is wrong goes to the reading's problems."""
    if not isinstance(node, Table):
        reading.table(node, "stems", (), f"a mapping of stems' names, each with {STEM_EXAMPLE}")
        return {}
    found = {}
    for name, value in node.values.items():
        choice = _choice(reading, name, value, node.keys[name])
        if choice is not None:
            found[name] = choice
    return found


def _choice(reading: Reading, name: str, node: Node, key: Scalar) -> StemChoice | None:
    where = below("stems", name)
    table = reading.table(node, where, STEM_KEYS, STEM_EXAMPLE)
    if table is None:
        return None
    chosen = [each for each in ("role", "leave", "skip") if each in table.values]
    ride = read_by_hand(reading, table.values["ride"], below(where, "ride")) if "ride" in table.values else ()
    if not chosen and "ride" in table.values:
        if "why" in table.values:
            reading.problem(table.keys["why"], below(where, "why"), "a reason beside a ride alone; take it out")
        return StemChoice(ride=ride, line=key.line, column=key.column)
    if len(chosen) != 1:
        if chosen or not table.keys.keys() - STEM_KEYS:
            what = f"{' and '.join(chosen)} at once" if chosen else "neither role nor leave nor skip"
            reading.problem(key, where, f"{what}; write {STEM_EXAMPLE}")
        return None
    why = reading.text(table.values["why"], below(where, "why"), "the reason") if "why" in table.values else None
    if chosen[0] == "role":
        role = reading.name(table.values["role"], below(where, "role"), "a recipe's name, such as piano")
        return None if role is None else StemChoice(role=role, why=why, ride=ride, line=key.line, column=key.column)
    if "ride" in table.values:
        place = table.keys["ride"]
        reading.problem(place, below(where, "ride"), f"a ride beside {chosen[0]}, where nothing is done; keep one of them")
    reason = _reason(reading, table, chosen[0], where, why)
    if reason is None:
        return None
    leave, skip = (reason, None) if chosen[0] == "leave" else (None, reason)
    return StemChoice(leave=leave, skip=skip, why=reason, line=key.line, column=key.column)


def _reason(reading: Reading, table: Table, key: str, where: str, why: str | None) -> str | None:
    """Return why a stem is left or skipped: the text itself, or the ``why`` beside ``true``."""
    node, way = table.values[key], below(where, key)
    what = f"the reason, such as {{{key}: the artist likes it as it is}}"
    if isinstance(node, Scalar) and node.value is True:
        if "why" not in table.values:
            reading.problem(node, way, f"no reason is given; write {what}")
        return why
    if isinstance(node, Scalar) and node.value is False:
        reading.problem(node, way, f"not allowed here (false); take the line out, or write {what}")
        return None
    if "why" in table.values:
        place = table.keys["why"]
        reading.problem(place, below(where, "why"), f"a second reason beside {key}; keep one of them")
    return reading.text(node, way, what)


def choices_of(sheet: SessionSheet, stems: Iterable[str], library: Library | None = None) -> dict[str, StemChoice]:
    """Find the stems that a sheet speaks of.

    Parameters
    ----------
    sheet : SessionSheet
        Its names are stems' names, or any part of them or role that tells one from the others.
    stems : iterable of str
        The song's stems.
    library : Library, optional
        If given, roles are looked up in it too.

    Returns
    -------
    dict of str to StemChoice
        By stem.

    Raises
    ------
    RecipeError
        If a name is no stem's, fits two, two names are one stem's, or a role is no recipe's; all of them at once.
    """
    problems = Problems()
    names = list(stems)
    roles = _roles(names, library)
    settled: dict[str, StemChoice] = {}
    said: dict[str, str] = {}
    for written, choice in sheet.stems.items():
        where, fits = below("stems", written), fitting(written, roles)
        if not fits:
            message = f"no stem has this name ({shown(written)}); {hint(written, names)}"
        elif not is_one(fits):
            message = f"fits {len(fits)} stems ({', '.join(map(shown, fits))}); write the whole name"
        elif fits[0] in settled:
            message = f"the same stem as {shown(said[fits[0]])}; keep one of them"
        else:
            settled |= dict.fromkeys(fits, choice)
            said |= dict.fromkeys(fits, written)
            if library is None or choice.role is None or choice.role in library.recipes:
                continue
            where, message = below(where, "role"), library.unknown(choice.role)
        problems.add(sheet.path, choice, where, message)
    problems.raise_any()
    return settled


def _roles(stems: list[str], library: Library | None) -> dict[str, str | None]:
    """Return the stems with the roles that their names say, where recipes are at hand."""
    found = match_all(stems, library) if library is not None else {}
    matches = {stem: found.get(stem) for stem in stems}
    return {stem: match.recipe.role if isinstance(match, Match) else None for stem, match in matches.items()}
