"""The session sheet: roles by hand, stems to leave or skip and why, who approves, how to deliver."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal

from stemwright.recipes.by_hand import ByHand, read_by_hand
from stemwright.recipes.clone import REVISION, revision_of
from stemwright.recipes.library import display, read_file
from stemwright.recipes.matching import Match, match_all
from stemwright.recipes.moves import Field
from stemwright.recipes.problems import Problems, hint, shown
from stemwright.recipes.reading import Reading, below
from stemwright.recipes.strict_yaml import Scalar, Table, load
from stemwright.recipes.timeline import KEYS as TIMELINE_KEYS
from stemwright.recipes.timeline import Timeline, read_timeline
from stemwright.stems.asked import fitting, is_one

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from stemwright.recipes.library import Library
    from stemwright.recipes.strict_yaml import Node

FILE = "session.yaml"
KEYS = ("song", "approver", "stems", "reference", "deliver", "kit", "recipes", *TIMELINE_KEYS)
DELIVER_KEYS = ("rate", "bits", "format", "same_length", "overs", "names", "loudness")
STEM_KEYS = ("role", "leave", "skip", "why", "ride")
STEM_EXAMPLE = "one of {role: piano}, {leave: the reason}, {skip: the reason}"
CLONE_KEYS = ("clone", "revision")
CLONE_EXAMPLE = "{clone: ../house, revision: 4f2a91c}"
LOUDNESS = ("free", "hold")
OVERS = ("float", "trim", "stop")
BITS: Mapping[str, int | Literal["float"] | None] = MappingProxyType(
    {"keep": None, "16": 16, "24": 24, "32": 32, "float": "float"}
)

CONTAINERS: Mapping[str, str | None] = MappingProxyType(
    {"keep": None, "wav": "WAV", "flac": "FLAC", "aiff": "AIFF", "caf": "CAF"}
)
RATE = Field(key="rate", setting="rate_hz", quantity="frequency", lowest=8_000.0, highest=384_000.0, about="sample rate")
NAME_FIELDS = ("song", "stem", "role", "rate", "bits")
READY_NAMES = "delivery"

Place = tuple[int, int]


@dataclass(frozen=True)
class RecipeFolder:
    """A folder of recipes as a sheet names it, seen from the song's; of a clone the revision it had."""

    path: str
    revision: str | None = None


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


@dataclass(frozen=True, kw_only=True)
class Deliver:
    """How files are written.

    ``overs``: what happens to a stem that would go over full scale: ``float``, ``trim`` or ``stop``. ``bits``: 16, 24, 32,
    ``"float"``, or None for the word length as received. ``rate_hz`` and ``container``: None keeps the stem's own.
    ``same_length``: whether every file is padded at its end to the longest. ``names``: a template with ``{stem}`` and others
    in it, or ``delivery`` for the ready one; None keeps the names received.
    ``hold``: whether each stem goes out as loud as it was received.
    """

    overs: str = "float"
    bits: int | Literal["float"] | None = None
    rate_hz: int | None = None
    container: str | None = None
    same_length: bool = False
    names: str | None = None
    hold: bool = False

    @property
    def changes_files(self) -> bool:
        """Whether anything but the overs and the loudness is asked for."""
        return self != Deliver(overs=self.overs, hold=self.hold)


@dataclass(frozen=True, kw_only=True)
class SessionSheet:
    """A song's session sheet; all defaults where there is none. ``stems`` has names as written, `settle` finds the stems.

    ``reference`` is a mix to hold the sum of the stems against: a path below the song's folder. ``kit``
    are stems, roles or folders (``drums/``) that hold one instrument together; ``recipes`` folders, from the song's own.
    ``timeline`` is what it says of tempo, bars and sections.
    """

    song: str | None = None
    approver: str | None = None
    stems: Mapping[str, StemChoice] = field(default_factory=dict)
    deliver: Deliver = field(default_factory=Deliver)
    reference: str | None = None
    kit: tuple[str, ...] = ()
    recipes: tuple[RecipeFolder, ...] = ()
    timeline: Timeline = field(default_factory=Timeline)
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


def sheet_dirs(sheet: SessionSheet, song_dir: Path, *, gone: bool = False) -> list[Path]:
    """Return the recipe folders that a sheet names.

    Parameters
    ----------
    sheet : SessionSheet
    song_dir : Path
        The song.
    gone : bool
        Whether folders that are not there, or not as the sheet has them, are passed over: recorded recipes do instead.

    Raises
    ------
    RecipeError
        If one is not there, or a clone has another revision checked out.
    """
    problems = Problems()
    found = []
    for number, each in enumerate(sheet.recipes, start=1):
        folder = song_dir / Path(each.path).expanduser()
        wrong = _not_as_named(each, folder)
        if wrong:
            problems.add(sheet.path, None, f"recipes[{number}]", wrong)
        else:
            found.append(folder)
    if not gone:
        problems.raise_any()
    return found


def with_sheet_dirs(song_dir: Path | None, asked: Sequence[Path]) -> list[Path]:
    """Return the folders asked for by ``--recipes``, then those that the song's sheet names, if there is a song.

    Raises
    ------
    RecipeError
        If the sheet is wrong, or one of its folders is not there.
    """
    return [*asked, *([] if song_dir is None else sheet_dirs(load_session(song_dir), song_dir))]


def _not_as_named(named: RecipeFolder, folder: Path) -> str:
    if not folder.is_dir():
        return f"no such folder ({shown(named.path)}), as seen from the song's; correct it, or prep --as-before"
    if named.revision is None:
        return ""
    at = revision_of(folder)
    if at is None:
        return f"which revision {shown(named.path)} is at cannot be told; give a clone, or take the revision out"
    if not at.startswith(named.revision):
        short = at[: max(len(named.revision), 7)]
        return (
            f"{shown(named.path)} is at {short}, the song was made with {named.revision}; check that revision out, "
            f"write revision: {short} to go on with the new one, or prep --as-before"
        )
    return ""


def read_session(text: str, file: str, problems: Problems) -> SessionSheet:
    """Read a session sheet's text; what is wrong goes to ``problems``, and its default into the sheet."""
    node = load(text, file, problems)
    if node is None:
        return SessionSheet(path=file)
    reading = Reading(file, problems)
    table = reading.table(node, "", KEYS, "a mapping: song, approver, stems, reference, deliver")
    values = table.values if table is not None else {}
    return SessionSheet(
        song=reading.name(values["song"], "song", "the song's title") if "song" in values else None,
        approver=reading.name(values["approver"], "approver", "who approves") if "approver" in values else None,
        stems=_stems(reading, values["stems"]) if "stems" in values else {},
        deliver=_deliver(reading, values["deliver"]) if "deliver" in values else Deliver(),
        reference=_reference(reading, values["reference"]) if "reference" in values else None,
        kit=_words(reading, values["kit"], "kit", "stems, roles or folders, such as [kick, snare, cymbals]")
        if "kit" in values
        else (),
        recipes=_recipes(reading, values["recipes"]) if "recipes" in values else (),
        timeline=read_timeline(reading, values),
        path=file,
    )


def _words(reading: Reading, node: Node, key: str, what: str) -> tuple[str, ...]:
    found = [reading.text(item, where, what) for where, item in reading.items(node, key, f"a list of {what}")]
    return tuple(text for text in found if text is not None)


def _recipes(reading: Reading, node: Node) -> tuple[RecipeFolder, ...]:
    found = []
    for where, item in reading.items(node, "recipes", "a list of folders of recipes, such as [../house]"):
        if isinstance(item, Table):
            found.append(_clone(reading, item, where))
        else:
            path = reading.text(item, where, f"a folder of recipes, or {CLONE_EXAMPLE}")
            found.append(None if path is None else RecipeFolder(path))
    return tuple(each for each in found if each is not None)


def _clone(reading: Reading, item: Table, where: str) -> RecipeFolder | None:
    table = reading.table(item, where, CLONE_KEYS, CLONE_EXAMPLE)
    missing = [key for key in CLONE_KEYS if table is None or key not in table.values]
    if table is None or missing:
        if missing and not set(item.keys) - set(CLONE_KEYS):
            reading.problem(None, where, f"{' and '.join(missing)} missing; write {CLONE_EXAMPLE}")
        return None
    path = reading.text(table.values["clone"], below(where, "clone"), "the clone's folder, such as ../house")
    revision = reading.text(table.values["revision"], below(where, "revision"), "the revision it had, such as 4f2a91c")
    if revision is not None and not REVISION.fullmatch(revision):
        reading.problem(
            table.values["revision"], below(where, "revision"),
            f"no revision ({shown(revision)}); allowed: 7 to 64 of 0123456789abcdef, as the clone's log has them",
        )  # fmt: skip
        return None
    return RecipeFolder(path, revision) if path is not None and revision is not None else None


def _reference(reading: Reading, node: Node) -> str | None:
    text = reading.text(node, "reference", "the file of a mix below the song's folder, such as rough mix.wav")
    if text is None:
        return None
    path = PurePosixPath(text)
    if path.is_absolute() or ".." in path.parts or "\\" in text:
        reading.problem(node, "reference", f"leads out of the song's folder ({shown(text)}); give a path below it")
        return None
    return text


def _deliver(reading: Reading, node: Node) -> Deliver:
    # A new key is a field of Deliver and a line here and in the schema.
    table = reading.table(node, "deliver", DELIVER_KEYS, "a mapping, such as {overs: float, bits: 24}")
    values = table.values if table is not None else {}
    overs = reading.choice(values["overs"], "deliver.overs", OVERS) if "overs" in values else None
    bits = reading.choice(values["bits"], "deliver.bits", BITS) if "bits" in values else None
    container = reading.choice(values["format"], "deliver.format", CONTAINERS) if "format" in values else None
    same_length = reading.flag(values["same_length"], "deliver.same_length") if "same_length" in values else None
    loudness = reading.choice(values["loudness"], "deliver.loudness", LOUDNESS) if "loudness" in values else None
    return Deliver(
        overs=overs or "float",
        hold=loudness == "hold",
        bits=BITS[bits or "keep"],
        rate_hz=_rate(reading, values["rate"]) if "rate" in values else None,
        container=CONTAINERS[container or "keep"],
        same_length=bool(same_length),
        names=_names(reading, values["names"]) if "names" in values else None,
    )


def _rate(reading: Reading, node: Node) -> int | None:
    if isinstance(node, Scalar) and node.value == "keep":
        return None
    rate_hz = reading.number(node, "deliver.rate", RATE)
    if rate_hz is not None and rate_hz != round(rate_hz):
        reading.problem(node, "deliver.rate", "a part of a hertz; write a whole sample rate, such as 48 kHz, or keep")
        return None
    return None if rate_hz is None else round(rate_hz)


def _names(reading: Reading, node: Node) -> str | None:
    """Read a template; an unknown word in braces is a problem here, not a file named after it."""
    example = f'a template such as "{{song}}_{{stem}}_{{rate}}_{{bits}}", or {READY_NAMES}, or keep'
    text = reading.text(node, "deliver.names", example)
    if text is None or text in ("keep", READY_NAMES):
        return None if text == "keep" else text
    unknown = [name for name in re.findall(r"\{(.*?)\}", text) if name not in NAME_FIELDS]
    rest = re.sub(r"\{.*?\}", "", text)
    if unknown:
        words = ", ".join(f"{{{name}}}" for name in NAME_FIELDS)
        reading.problem(node, "deliver.names", f"no such word in braces ({shown('{' + unknown[0] + '}')}); allowed: {words}")
    elif "{" in rest or "}" in rest:
        reading.problem(node, "deliver.names", f"a brace without its partner ({shown(text)}); write {example}")
    elif "/" in rest or "\\" in rest:
        reading.problem(node, "deliver.names", f"a name, not a path ({shown(text)}); take the slash out")
    elif "{stem}" not in text:
        reading.problem(node, "deliver.names", f"all stems would get one name ({shown(text)}); put {{stem}} in it")
    else:
        return text
    return None


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
