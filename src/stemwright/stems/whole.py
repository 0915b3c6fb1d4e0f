"""Whole: what is written aside appears whole or not at all, whatever happens to the run that writes it."""

from __future__ import annotations

import errno
import os
from contextlib import suppress
from typing import TYPE_CHECKING

from stemwright.stems.leftovers import aside_name, sweep

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path


def write_whole(path: Path, pieces: Iterable[bytes]) -> None:
    """Write a file aside, sync it, and rename it into place; what runs that are gone left there is swept away.

    Parameters
    ----------
    path : Path
        Replaced if it is there.
    pieces : iterable of bytes
        Its content, in order.

    Raises
    ------
    OSError
        If it cannot be written; what was there before still is.
    """
    aside = path.with_name(aside_name(path.name))
    sweep([path.parent])
    try:
        _write(aside, pieces)
        aside.replace(path)
    except BaseException:
        with suppress(OSError):
            aside.unlink(missing_ok=True)
        raise


def write_new(path: Path, pieces: Iterable[bytes]) -> None:
    """Write a file as `write_whole` does, and never over one that is there.

    Raises
    ------
    FileExistsError
        If there is one, even if it came meanwhile.
    OSError
        If it cannot be written; nothing of it is left.
    """
    aside = path.with_name(aside_name(path.name))
    sweep([path.parent])
    try:
        _write(aside, pieces)
        settle_new(aside, path)
    finally:
        with suppress(OSError):
            aside.unlink(missing_ok=True)


def settle_new(built: Path, target: Path) -> None:
    """Give what was built aside its name; what another run put there meanwhile is never replaced.

    Raises
    ------
    FileExistsError
        If something stands there; a folder with nothing in it may be replaced by a folder.
    OSError
        If it cannot be renamed.
    """
    if built.is_dir():
        built.rename(target)  # onto a folder with something in it this fails
        return
    try:
        os.link(built, target)
    except (AttributeError, OSError):
        # No links here: look once more, then rename, which on some systems would replace.
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, "is there already", str(target)) from None
        built.rename(target)
    else:
        built.unlink()


def _write(path: Path, pieces: Iterable[bytes]) -> None:
    with path.open("wb") as file:
        file.writelines(pieces)
        file.flush()
        os.fsync(file.fileno())
