"""Folders of recipes: where they are looked for, what a manifest calls them, and the files in them."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from stemwright.errors import StemwrightError
from stemwright.recipes.strict_yaml import LARGEST_BYTES, decode
from stemwright.stems.limits import MOST_FILES
from stemwright.stems.opening import NotRegularError, open_file

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.recipes.problems import Problems

VARIABLE = "STEMWRIGHT_RECIPES"
ENDINGS = (".yaml", ".yml")


class RecipeFolderError(StemwrightError):
    """A folder of recipes that was asked for is not there."""


def house_dir() -> Path:
    """Return the folder of the house recipes: in the package where it is installed, else beside ``src`` in a checkout.

    Raises
    ------
    RecipeFolderError
        If it is in neither place.
    """
    package = Path(__file__).parent.parent  # importlib.resources takes 60 ms to import
    for folder in (package / "house", package.parent.parent / "recipes"):
        if folder.is_dir():
            return folder
    raise RecipeFolderError(f"{package / 'house'}: the house recipes are not there; install stemwright again")


def search_dirs(song_dir: Path | None, extra: Sequence[Path], files: Sequence[Path] = ()) -> tuple[Path, ...]:
    """Return the folders to search for recipes, first one first.

    Parameters
    ----------
    song_dir : Path or None
        The song, whose ``recipes`` folder comes first if there is one.
    extra : sequence of Path
        Folders asked for by ``--recipes``; those of ``STEMWRIGHT_RECIPES`` follow, then the house's.
    files : sequence of Path
        Single recipes, searched before all else.

    Returns
    -------
    tuple of Path
        Each once.

    Raises
    ------
    RecipeFolderError
        If a folder that was asked for is not there.
    """
    own = [song_dir / "recipes"] if song_dir is not None and (song_dir / "recipes").is_dir() else []
    listed = [Path(part).expanduser() for part in os.environ.get(VARIABLE, "").split(os.pathsep) if part.strip()]
    for asked_by, folders in (("--recipes", extra), (VARIABLE, listed)):
        for folder in folders:
            if not folder.is_dir():
                what = "this is no folder" if folder.exists() else "there is no such folder"
                raise RecipeFolderError(f"{folder}: {what}; {asked_by} takes a folder with recipes (*.yaml) in it")
    found: dict[Path, Path] = {}
    for folder in (*files, *own, *extra, *listed, house_dir()):
        found.setdefault(folder.resolve(), folder)
    return tuple(found.values())


def origin(folder: Path, song_dir: Path | None) -> str:
    """Return what a manifest calls a folder of recipes: ``house``, ``song``, or its path as seen from the song's folder."""
    if folder.resolve() == house_dir().resolve():
        return "house"
    if song_dir is None:
        return str(folder.absolute())
    if folder.resolve() == (song_dir / "recipes").resolve():
        return "song"
    try:
        return Path(os.path.relpath(folder.resolve(), song_dir.resolve())).as_posix()
    except ValueError:  # another drive
        return str(folder.absolute())


def read_texts(folder: Path, problems: Problems) -> list[tuple[str, str | None]]:
    """Return every recipe file of a folder, in order: what messages call it, and its text; None after noting why it has none.

    Raises
    ------
    RecipeFolderError
        If it cannot be listed, or holds too many.
    """
    try:
        every = folder.iterdir() if folder.is_dir() else ()
        paths = sorted(path for path in every if path.suffix.lower() in ENDINGS and not path.name.startswith("."))
    except OSError as error:
        raise RecipeFolderError(f"{folder}: cannot be listed ({error.strerror}); check its permissions") from error
    paths = paths if folder.is_dir() else [folder]
    if len(paths) > MOST_FILES:
        raise RecipeFolderError(f"{folder}: {len(paths)} recipes; allowed: {MOST_FILES}")
    labels = [display(path) for path in paths]
    return [(label, read_file(path, label, problems)) for label, path in zip(labels, paths, strict=True)]


def read_file(path: Path, label: str, problems: Problems) -> str | None:
    """Return a file's text; None after noting why it cannot be read."""
    try:
        with open_file(path) as file:
            raw = file.read(LARGEST_BYTES + 1)
    except NotRegularError:
        problems.add(label, None, "", "not a regular file; move it away")
        return None
    except OSError as error:
        problems.add(label, None, "", f"cannot be read ({error.strerror}); check its permissions")
        return None
    return decode(raw, label, problems)


def display(path: Path) -> str:
    """Return a path as messages show it: from where the person stands, if it lies below."""
    try:
        return str(path.absolute().relative_to(Path.cwd()))
    except (ValueError, OSError):
        return str(path)
