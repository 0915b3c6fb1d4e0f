"""Whole: a small file appears whole or not at all, whatever happens to the run that writes it."""

from __future__ import annotations

import os
from contextlib import suppress
from typing import TYPE_CHECKING

from stemwright.passes.leftovers import aside_name, sweep

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
        with aside.open("wb") as file:
            file.writelines(pieces)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(path)
    except BaseException:
        with suppress(OSError):
            aside.unlink(missing_ok=True)
        raise
