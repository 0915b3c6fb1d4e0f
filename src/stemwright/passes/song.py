"""A song on disk: its folder, its stems, its passes, and how a new pass appears whole or not at all."""

from __future__ import annotations

import os
import re
import shutil
import stat
import time
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.passes.lock import LOCK_NAME
from stemwright.recipes.session import FILE as SHEET
from stemwright.recipes.words_library import FOLDER
from stemwright.stems.findings import Finding
from stemwright.stems.info import EXTENSIONS
from stemwright.stems.leftovers import aside_name
from stemwright.stems.opening import DANGLING, OUTWARD, wrong_link

if TYPE_CHECKING:
    from collections.abc import Iterator

PASS_NAME = re.compile(r"pass-(\d{2,})")
NOT_STEM_FOLDERS = frozenset({"passes", "recipes", "words"})
BESIDE = ("packs", "sums")  # folders beside the passes
MOST_STEMS = 10_000
LONGEST_ASKED = 40
STOPPING_S = 10.0


@dataclass(frozen=True)
class SongFolder:
    """A folder with stems.

    ``stems`` are the stems' names: paths below ``stems_dir`` with ``/`` between folders, sorted. ``findings`` are
    things in the folder that look like stems and cannot be.
    """

    folder: Path
    stems_dir: Path
    stems: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def passes_dir(self) -> Path:
        """Where the passes are; it may not exist yet."""
        return self.folder / "passes"

    def leftover_places(self) -> list[Path]:
        """Return the folders in which runs build something aside."""
        passes = [self.passes_dir / name for name in self.passes()]
        return [self.folder, self.folder / "words", self.passes_dir, *(self.passes_dir / name for name in BESIDE), *passes]

    def source(self, stem: str) -> Path:
        """Return the file of a stem as received."""
        return self.stems_dir / stem

    def source_label(self, stem: str) -> str:
        """Return the stem's path below the song's folder, with ``/``."""
        return self.source(stem).relative_to(self.folder).as_posix()

    def passes(self) -> list[str]:
        """Return the names of the complete passes, oldest first."""
        if not self.passes_dir.is_dir():
            return []
        found = [path.name for path in self.passes_dir.iterdir() if PASS_NAME.fullmatch(path.name) and path.is_dir()]
        return sorted((name for name in found if (self.passes_dir / name / "manifest.json").is_file()), key=pass_number)

    def find_pass(self, asked: str | None) -> str:
        """Return the name of a pass asked for as ``pass-02``, ``02`` or ``2``; the newest for None.

        Raises
        ------
        SongError
            If there is no such pass; the message lists those there are.
        """
        names = self.passes()
        if not names:
            raise SongError(f"{self.folder.name}: no passes yet; make the first one with: stemwright prep SONG")
        if asked is None:
            return names[-1]
        for name in names:
            if asked == name or (is_number(asked) and int(asked) == pass_number(name)):
                return name
        shown = asked if len(asked) <= LONGEST_ASKED else f"{asked[:LONGEST_ASKED]}…"
        raise SongError(f"{self.folder.name}: no pass {shown!r}; there are: {', '.join(names)}")


def is_number(asked: str) -> bool:
    """Whether a pass is asked for by a number; Python reads no number of thousands of digits, and no pass has one."""
    return asked.isdecimal() and len(asked) <= LONGEST_ASKED


def pass_number(name: str) -> int:
    """Return the number in a pass's name."""
    return int(name.removeprefix("pass-"))


def open_song(folder: Path) -> SongFolder:
    """Look at a song's folder and list its stems.

    Parameters
    ----------
    folder : Path
        A folder with audio in it, or in its ``stems`` folder.

    Returns
    -------
    SongFolder

    Raises
    ------
    SongError
        If it does not exist, is no folder, cannot be read, holds no audio, or lies among the passes of a song.
    """
    if not folder.exists():
        raise SongError(f"{folder}: there is no such folder; give the folder that holds the stems")
    if not folder.is_dir():
        raise SongError(f"{folder}: this is a file; a song is the folder that holds the stems, so give {folder.parent}")
    folder = folder.resolve()
    above = _song_around(folder)
    if above is not None:
        raise SongError(
            f"{folder.name}: this lies among the passes of {above.name}, and nothing is made there; give {above}"
        )
    try:
        _check_own(folder)
        for root in (folder / "stems", folder):
            names, findings = _list_stems(folder, root) if root.is_dir() else ([], [])
            if names or findings:
                return SongFolder(folder, root, tuple(names), tuple(findings))
    except OSError as error:
        raise SongError(f"{error.filename}: cannot be read ({error.strerror}); check its permissions") from error
    kinds = " ".join(sorted(EXTENSIONS))
    raise SongError(f"{folder.name}: no audio in this folder; stems are files that end in {kinds}")


def _song_around(folder: Path) -> Path | None:
    """Return the song among whose passes a folder lies, or None."""
    for each in (folder, *folder.parents):
        if each.name == "passes" and any(
            PASS_NAME.fullmatch(path.parent.name) for path in each.glob("pass-*/manifest.json")
        ):
            return each.parent
    return None


def _check_own(folder: Path) -> None:
    """Refuse a song of which a part would be read or written somewhere else, or cannot be there."""
    passes = folder / "passes"
    if passes.exists() and not passes.is_dir():
        raise SongError(f"{folder.name}/passes: a file, and the folder of the passes has this name; move it away")
    own = [folder / name for name in ("passes", SHEET, "recipes", FOLDER)]
    for path in own:
        _check_link(path, folder)
    for inside in (path for path in own if path.is_dir()):
        with os.scandir(inside) as entries:
            links = sorted(entry.name for entry in entries if entry.is_symlink())
        for name in links:
            _check_link(inside / name, folder)


def _check_link(path: Path, folder: Path) -> None:
    what = wrong_link(path, folder)
    if what is not None:
        label = (Path(folder.name) / path.relative_to(folder)).as_posix()
        way_out = ", or put there what it leads to" if what == OUTWARD else ""
        raise SongError(f"{label}: {what}; move it away{way_out}")


def _list_stems(folder: Path, root: Path) -> tuple[list[str], list[Finding]]:
    names: list[str] = []
    findings: list[Finding] = []
    for current, folders, files in os.walk(root, onerror=_raise):
        here = Path(current)
        top = here == folder
        folders[:] = sorted(name for name in folders if not name.startswith(".") and not (top and name in NOT_STEM_FOLDERS))
        looks_like_audio = [name for name in folders if Path(name).suffix.lower() in EXTENSIONS]
        findings.extend(_odd(root, here / name, "a folder, not a file") for name in looks_like_audio)
        for name in files:
            if name.startswith(".") or Path(name).suffix.lower() not in EXTENSIONS:
                continue
            path = here / name
            reason = _why_not_a_stem(folder, path)
            if reason is None:
                names.append(path.relative_to(root).as_posix())
            else:
                findings.append(_odd(root, path, reason))
        if len(names) > MOST_STEMS:
            raise SongError(f"{folder.name}: more than {MOST_STEMS} audio files; give the folder of one song")
    return sorted(names), findings


def _raise(error: OSError) -> None:
    raise error


def _why_not_a_stem(folder: Path, path: Path) -> str | None:
    """Say why a file with an audio ending is not taken, or None."""
    try:
        mode = path.stat().st_mode
    except OSError:
        return DANGLING
    if not stat.S_ISREG(mode):
        return "not a regular file"
    return wrong_link(path, folder) if path.is_symlink() else None


def _odd(root: Path, path: Path, reason: str) -> Finding:
    return Finding(
        id="not-a-stem",
        severity="warn",
        stem=path.relative_to(root).as_posix(),
        measured=f"its name ends like audio, but it is {reason}",
        why="it was passed over",
        do="put the audio file itself in the folder, or take this away",
    )


@contextmanager
def new_pass(song: SongFolder) -> Iterator[Path]:
    """Give a folder to build the next pass in; nothing of it is left unless `settle` renamed it into place.

    Yields
    ------
    Path
        An empty folder beside the passes.
    """
    song.passes_dir.mkdir(exist_ok=True)
    number = 0
    while True:
        building = song.passes_dir / aside_name(f"building-{number}")
        try:
            building.mkdir()
            break
        except FileExistsError:
            number += 1
    try:
        yield building
    finally:
        _remove(building)
        if not {path.name for path in song.passes_dir.iterdir()} - {LOCK_NAME}:
            with suppress(OSError):  # another run may have begun meanwhile
                (song.passes_dir / LOCK_NAME).unlink(missing_ok=True)
                song.passes_dir.rmdir()


def _remove(building: Path) -> None:
    """Remove a folder in which a worker that was told to stop may still be for a moment."""
    patience = time.monotonic() + STOPPING_S
    shutil.rmtree(building, ignore_errors=True)
    while building.exists() and time.monotonic() < patience:  # what is left after that, the next run sweeps
        time.sleep(STOPPING_S / 1000)
        shutil.rmtree(building, ignore_errors=True)


def settle(song: SongFolder, building: Path, name: str) -> bool:
    """Rename a finished pass into place; False if another run took the name first."""
    try:
        # A folder with something in it is never replaced by rename: the loser of a race gets an error, not the name.
        building.rename(song.passes_dir / name)
    except OSError:
        if (song.passes_dir / name).exists():
            return False
        raise
    return True


def next_name(song: SongFolder) -> str:
    """Return the name after the highest one in use, complete or not."""
    used = [path.name for path in song.passes_dir.iterdir()] if song.passes_dir.is_dir() else []
    numbers = [pass_number(name) for name in used if PASS_NAME.fullmatch(name)]
    return f"pass-{max(numbers, default=0) + 1:02d}"
