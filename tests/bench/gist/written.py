"""Read the notes in ``written``: what people write to a mix engineer, and what is meant by it, one note a line.

``## title`` opens a song, ``stems: 1=Kick.wav(kick); 2=...`` has its stems with their roles, and a note is ``KIND> text => 1,2:
reading/reading; 3: ...``, with another complete reading behind ``||``; a line break in it is ``\\n``. KIND is A (asks), F (figures), B
(goes back, ``ids: back``), E (nothing of it is for EQ, level or rings), P (approval) or U (nobody could tell). All of it is invented:
people, songs, names.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from stemwright.notes.gist.effects import WAYS
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library

WRITTEN = Path(__file__).parent / "written"
KINDS = {"A": "asks", "F": "asks", "B": "back", "E": "elsewhere", "P": "approval", "U": "unclear"}
FAMILIES = {name: recipe.family for name, recipe in load_library([house_dir()]).recipes.items()}


@dataclass(frozen=True)
class Stem:
    """A stem as a plan has it."""

    stem: str
    role: str | None
    family: str | None
    status: str = "prepped"
    deliver_as: object = "a file"


@dataclass(frozen=True)
class Note:
    """A note: its text, what sort it is, and complete readings, each pairs of stems and the ways in which they may change."""

    text: str
    kind: str
    readings: tuple[tuple[tuple[tuple[str, ...], tuple[str, ...]], ...], ...]


@dataclass(frozen=True)
class Song:
    """A song: its stems and the notes on it."""

    stems: tuple[Stem, ...]
    notes: tuple[Note, ...]


def songs(path: Path) -> list[Song]:
    """Read one file.

    Raises
    ------
    ValueError
        If a line is none of these, names a stem that is not there, or a way that is none.
    """
    found: list[Song] = []
    for part in re.split(r"(?m)^## .*$", path.read_text(encoding="utf-8"))[1:]:
        first, *rest = [line.strip() for line in part.splitlines() if line.strip()]
        called = {}
        for number, name, role in re.findall(r"(\d+)=(.+?)\(([a-z0-9 -]+)\)(?:;|$)", first.removeprefix("stems:")):
            known = role.strip().replace("-", " ")
            known = known if known in FAMILIES else role.strip()
            called[number] = Stem(name.strip(), known if known in FAMILIES else None, FAMILIES.get(known))
        found.append(Song(tuple(called.values()), tuple(_note(line, called, path) for line in rest)))
    return found


def _note(line: str, called: dict[str, Stem], path: Path) -> Note:
    match = re.fullmatch(r"([AFBEPU])> (.*?)\s*=>\s*(.*)", line)
    if not match:
        raise ValueError(f"{path.name}: {line[:80]!r}")
    readings = tuple(_reading(each, called, path) for each in match[3].split("||"))
    return Note(match[2].replace("\\n", "\n"), KINDS[match[1]], tuple(each for each in readings if each) or ((),))


def _reading(text: str, called: dict[str, Stem], path: Path) -> tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]:
    wants = []
    for part in filter(None, map(str.strip, text.split(";"))):
        numbers, _, ways = part.partition(":")
        meant = called if numbers.strip() == "all" else re.findall(r"\d+", numbers)
        said = tuple(way for way in map(str.strip, ways.split("/")) if way != "back")
        if not set(said) <= set(WAYS) or not set(meant) <= set(called):
            raise ValueError(f"{path.name}: {part!r}")
        wants.append((tuple(called[number].stem for number in meant), said))
    return tuple(wants)
