"""Listing: which songs are asked for, each once; what is no song, or lies inside another, is named and passed over."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.passes.song import PASS_NAME, open_song
from stemwright.recipes.folders import display
from stemwright.recipes.session import FILE as SHEET
from stemwright.stems.opening import NotRegularError, TooLargeError, read_file_bytes

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

LARGEST_LIST_BYTES = 16 << 20


@dataclass(frozen=True, kw_only=True)
class Listed:
    """A song that is asked for: its folder, what to call it, how many stems it has and how many bytes they are."""

    folder: Path
    name: str
    stems: int
    size_bytes: int


@dataclass(frozen=True)
class PassedOver:
    """What was asked for and is not worked on, and why."""

    name: str
    reason: str


@dataclass(frozen=True)
class Listing:
    """The songs asked for, in the order asked, and what was passed over."""

    songs: tuple[Listed, ...]
    passed_over: tuple[PassedOver, ...]


@dataclass(frozen=True)
class _Asked:
    path: Path
    where: str  # names the line of a list, too


def list_songs(
    songs: Sequence[Path] = (), under: Sequence[Path] = (), lists: Sequence[tuple[str, str, Path]] = ()
) -> Listing:
    """Find the songs that are asked for.

    Parameters
    ----------
    songs : sequence of Path
        Folders, each a song.
    under : sequence of Path
        Folders of songs: every folder directly in them is one.
    lists : sequence of (str, str, Path)
        Lists of folders: what to call the list, its text, one folder a line, and the folder its lines are seen from. Empty
        lines and lines that begin with ``#`` are passed over.

    Returns
    -------
    Listing
        A folder that is missing, no song, given twice, or that holds another song is not in ``songs`` but named.

    Raises
    ------
    SongError
        If a folder of songs cannot be listed.
    """
    asked = [_Asked(path, display(path)) for path in songs]
    asked += [_Asked(path, display(path)) for folder in under for path in _folders_in(folder)]
    asked += [each for name, text, base in lists for each in _lines(name, text, base)]
    found: dict[Path, Listed] = {}
    passed: list[PassedOver] = []
    for each in asked:
        try:
            folder = each.path.resolve()
            if folder in found:
                passed.append(PassedOver(each.where, f"given twice, done once: the same folder as {found[folder].name}"))
                continue
            song = open_song(each.path)
            sizes = [song.source(stem).stat().st_size for stem in song.stems]
        except (SongError, OSError, ValueError) as error:
            passed.append(PassedOver(each.where, _reason(error, each.path)))
            continue
        found[folder] = Listed(folder=folder, name=display(each.path), stems=len(sizes), size_bytes=sum(sizes))
    for folder in list(found):
        inner = _inner_song(folder)
        if inner is not None:
            shown = inner.relative_to(folder).as_posix()
            reason = f"holds a song of its own ({shown}), whose files would be taken for its stems; give the songs in it"
            passed.append(PassedOver(found.pop(folder).name, reason))
    return Listing(tuple(found.values()), tuple(passed))


def read_list(path: Path) -> str:
    """Return the text of a list of songs.

    Raises
    ------
    SongError
        If it cannot be read or is no text in UTF-8.
    """
    try:
        return read_file_bytes(path, LARGEST_LIST_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SongError(f"{path}: not text in UTF-8 ({error.reason}); a list of songs has one folder a line") from error
    except (NotRegularError, TooLargeError, OSError) as error:
        raise SongError(f"{path}: cannot be read ({error.strerror}); give a file with one folder a line") from error


def _reason(error: SongError | OSError | ValueError, path: Path) -> str:
    if isinstance(error, OSError):
        return f"cannot be read ({error.strerror}); check its permissions"
    text = str(error)
    for name in (str(path), path.name):
        text = text.removeprefix(f"{name}: ")
    return text


def _folders_in(folder: Path) -> list[Path]:
    try:
        inside = sorted(path for path in folder.iterdir() if path.is_dir() and not path.name.startswith("."))
    except OSError as error:
        what = f"cannot be listed ({error.strerror})"
        raise SongError(f"{folder}: {what}; --under takes a folder whose folders are songs") from error
    if not inside:
        raise SongError(f"{folder}: no folder in it; --under takes a folder whose folders are songs")
    return inside


def _lines(name: str, text: str, base: Path) -> Iterator[_Asked]:
    for number, line in enumerate(text.splitlines(), start=1):
        path = line.strip()
        if path and not path.startswith("#"):
            yield _Asked(base / Path(path).expanduser(), f"{name}:{number}: {path}")


def _inner_song(folder: Path) -> Path | None:
    """Return a folder below a song that is one, too: a session sheet or a pass is in it."""
    for current, folders, files in os.walk(folder):
        here = Path(current)
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        if here == folder:
            folders[:] = [name for name in folders if name not in ("passes", "recipes", "words")]
        elif SHEET in files or _has_passes(here, folders):
            return here
    return None


def _has_passes(folder: Path, folders: Iterable[str]) -> bool:
    if "passes" not in folders:
        return False
    return any(PASS_NAME.fullmatch(path.name) for path in (folder / "passes").iterdir())
