"""The session sheet: roles by hand, stems to leave or skip and why, who approves, how to deliver."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from stemwright.recipes.clone import REVISION, revision_of
from stemwright.recipes.deliver import Deliver, read_deliver
from stemwright.recipes.folders import display, read_file
from stemwright.recipes.problems import Problems, shown
from stemwright.recipes.reading import Reading, below
from stemwright.recipes.stem_choices import StemChoice, read_choices
from stemwright.recipes.strict_yaml import Table, load
from stemwright.recipes.timeline import KEYS as TIMELINE_KEYS
from stemwright.recipes.timeline import Timeline, read_timeline

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stemwright.recipes.strict_yaml import Node

FILE = "session.yaml"
KEYS = ("song", "approver", "stems", "reference", "deliver", "kit", "recipes", *TIMELINE_KEYS)
CLONE_KEYS = ("clone", "revision")
CLONE_EXAMPLE = "{clone: ../house, revision: 4f2a91c}"


@dataclass(frozen=True)
class RecipeFolder:
    """A folder of recipes as a sheet names it, seen from the song's; of a clone the revision it had."""

    path: str
    revision: str | None = None


@dataclass(frozen=True, kw_only=True)
class SessionSheet:
    """A song's session sheet; all defaults where there is none. ``stems`` has names as written, `choices_of` finds the stems.

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
        stems=read_choices(reading, values["stems"]) if "stems" in values else {},
        deliver=read_deliver(reading, values["deliver"]) if "deliver" in values else Deliver(),
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
