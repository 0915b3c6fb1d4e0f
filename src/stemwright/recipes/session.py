"""The session sheet: roles by hand, stems to leave or skip and why, who approves, how to deliver."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from stemwright.recipes.library import display, read_file
from stemwright.recipes.problems import Problems, hint, shown
from stemwright.recipes.reading import Reading, below
from stemwright.recipes.strict_yaml import Scalar, Table, load
from stemwright.stems.names import base_name

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

    from stemwright.recipes.library import Library
    from stemwright.recipes.strict_yaml import Node

FILE = "session.yaml"
KEYS = ("song", "approver", "stems", "deliver")
STEM_KEYS = ("role", "leave", "skip", "why")
STEM_EXAMPLE = "one of {role: piano}, {leave: the reason}, {skip: the reason}"
OVERS = ("float", "trim", "stop")
BITS: Mapping[str, int | Literal["float"] | None] = MappingProxyType(
    {"keep": None, "16": 16, "24": 24, "32": 32, "float": "float"}
)

Place = tuple[int, int]


@dataclass(frozen=True, kw_only=True)
class StemChoice:
    """A person's word on one stem. One of ``role`` (a recipe's name), ``leave`` and ``skip`` (each its reason) is set."""

    role: str | None = None
    leave: str | None = None
    skip: str | None = None
    why: str | None = None
    line: int = field(default=1, compare=False)
    column: int = field(default=1, compare=False)


@dataclass(frozen=True, kw_only=True)
class Deliver:
    """How files are written.

    ``overs``: what happens to a stem that would go over full scale: ``float``, ``trim`` or ``stop``. ``bits``: 16, 24, 32,
    ``"float"``, or None for the word length as received.
    """

    overs: str = "float"
    bits: int | Literal["float"] | None = None


@dataclass(frozen=True, kw_only=True)
class SessionSheet:
    """A song's session sheet; all defaults where there is none. ``stems`` has names as written, `settle` finds the stems."""

    song: str | None = None
    approver: str | None = None
    stems: Mapping[str, StemChoice] = field(default_factory=dict)
    deliver: Deliver = field(default_factory=Deliver)
    path: str = FILE


def load_session(song_dir: Path) -> SessionSheet:
    """Read a song's session sheet.

    Parameters
    ----------
    song_dir : Path
        The song.

    Returns
    -------
    SessionSheet

    Raises
    ------
    RecipeError
        With every problem in it.
    """
    path = song_dir / FILE
    label = display(path)
    problems = Problems()
    other = path.with_suffix(".yml")
    if not path.exists():
        if other.exists():
            problems.add(display(other), None, "", f"a session sheet is called {FILE}; rename it")
        problems.raise_any()
        return SessionSheet(path=label)
    text = read_file(path, label, problems)
    sheet = read_session(text, label, problems) if text is not None else SessionSheet(path=label)
    problems.raise_any()
    return sheet


def read_session(text: str, file: str, problems: Problems) -> SessionSheet:
    """Read a session sheet's text; what is wrong goes to ``problems``, and its default into the sheet."""
    node = load(text, file, problems)
    if node is None:
        return SessionSheet(path=file)
    reading = Reading(file, problems)
    table = reading.table(node, "", KEYS, "a mapping: song, approver, stems, deliver")
    values = table.values if table is not None else {}
    return SessionSheet(
        song=reading.name(values["song"], "song", "the song's title") if "song" in values else None,
        approver=reading.name(values["approver"], "approver", "who approves") if "approver" in values else None,
        stems=_stems(reading, values["stems"]) if "stems" in values else {},
        deliver=_deliver(reading, values["deliver"]) if "deliver" in values else Deliver(),
        path=file,
    )


def _deliver(reading: Reading, node: Node) -> Deliver:
    # A new key is a field of Deliver and a line here and in the schema.
    table = reading.table(node, "deliver", ("overs", "bits"), "a mapping, such as {overs: float, bits: 24}")
    values = table.values if table is not None else {}
    overs = reading.choice(values["overs"], "deliver.overs", OVERS) if "overs" in values else None
    bits = reading.choice(values["bits"], "deliver.bits", BITS) if "bits" in values else None
    return Deliver(overs=overs or "float", bits=BITS[bits or "keep"])


def _stems(reading: Reading, node: Node) -> dict[str, StemChoice]:
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
    if len(chosen) != 1:
        if chosen or not table.keys.keys() - STEM_KEYS:
            what = f"{' and '.join(chosen)} at once" if chosen else "neither role nor leave nor skip"
            reading.problem(key, where, f"{what}; write {STEM_EXAMPLE}")
        return None
    why = reading.text(table.values["why"], below(where, "why"), "the reason") if "why" in table.values else None
    if chosen[0] == "role":
        role = reading.name(table.values["role"], below(where, "role"), "a recipe's name, such as piano")
        return None if role is None else StemChoice(role=role, why=why, line=key.line, column=key.column)
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


def settle(sheet: SessionSheet, stems: Iterable[str], library: Library | None = None) -> dict[str, StemChoice]:
    """Find the stems that a sheet speaks of.

    Parameters
    ----------
    sheet : SessionSheet
        Its names are stems' names, with or without their endings.
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
    exact = {_plain(name): name for name in names}
    bare: dict[str, list[str]] = {}
    for name in names:
        bare.setdefault(_without_ending(name), []).append(name)
    settled: dict[str, StemChoice] = {}
    said: dict[str, str] = {}
    for written, choice in sheet.stems.items():
        where, plain = below("stems", written), _plain(written)
        fits = [exact[plain]] if plain in exact else bare.get(plain, [])
        if not fits:
            message = f"no stem has this name ({shown(written)}); {hint(written, names)}"
        elif len(fits) > 1:
            message = f"fits {len(fits)} stems ({', '.join(map(shown, fits))}); write the whole name"
        elif fits[0] in settled:
            message = f"the same stem as {shown(said[fits[0]])}; keep one of them"
        else:
            settled[fits[0]], said[fits[0]] = choice, written
            if library is None or choice.role is None or choice.role in library.recipes:
                continue
            where, message = below(where, "role"), library.unknown(choice.role)
        problems.add(sheet.path, choice, where, message)
    problems.raise_any()
    return settled


def _plain(name: str) -> str:
    return unicodedata.normalize("NFC", name)


def _without_ending(name: str) -> str:
    plain = _plain(name)
    folder, slash, last = plain.rpartition("/")
    return f"{folder}{slash}{base_name(last)}"
