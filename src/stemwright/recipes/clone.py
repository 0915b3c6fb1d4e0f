"""Clone: which revision a folder under version control is at, read from its files: nothing is run, whatever the folder holds."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from stemwright.stems.opening import read_file_bytes

if TYPE_CHECKING:
    from pathlib import Path

REVISION = re.compile(r"[0-9a-f]{7,64}")
_WHOLE = re.compile(r"[0-9a-f]{40}|[0-9a-f]{64}")
_REF = re.compile(r"refs/(?!.*\.\.)[^\s\\:]+")
LARGEST_BYTES = 16 << 20


def revision_of(folder: Path) -> str | None:
    """Return the revision that the clone around a folder has checked out, in hex; None where there is none or it cannot be told.

    Parameters
    ----------
    folder : Path
        The clone's, or one in it.

    Notes
    -----
    The files are those of gitrepository-layout(5): ``HEAD``, loose references, ``packed-refs``, and ``commondir`` of a
    further worktree.
    """
    try:
        place = next(each for each in (folder.resolve(), *folder.resolve().parents) if (each / ".git").exists()) / ".git"
        if place.is_file():
            place = (place.parent / _text(place).removeprefix("gitdir:").strip()).resolve()
        head = _text(place / "HEAD")
        if not head.startswith("ref:"):
            return head if _WHOLE.fullmatch(head) else None
        return _reference(place, head.removeprefix("ref:").strip())
    except (StopIteration, OSError, UnicodeDecodeError):
        return None


def _reference(place: Path, name: str) -> str | None:
    if not _REF.fullmatch(name):
        return None
    shared = (place / _text(place / "commondir")).resolve() if (place / "commondir").is_file() else place
    for home in (place, shared):
        if (home / name).is_file():
            found = _text(home / name)
            return found if _WHOLE.fullmatch(found) else None
    for line in _text(shared / "packed-refs").splitlines():
        revision, _, reference = line.partition(" ")
        if reference == name and _WHOLE.fullmatch(revision):
            return revision
    return None


def _text(path: Path) -> str:
    return read_file_bytes(path, LARGEST_BYTES).decode("utf-8").strip()
