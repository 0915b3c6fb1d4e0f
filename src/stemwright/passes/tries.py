"""Tries: a stem's file is made apart and renamed into the pass, so that a worker may vanish in the middle and another begin anew.

A try is a folder beside the ``stems`` of the pass that is being built. It is never made where that pass is gone: a worker that
comes back late finds nothing to write to.
"""

from __future__ import annotations

import shutil
from contextlib import contextmanager
from pathlib import PurePosixPath
from typing import TYPE_CHECKING
from uuid import uuid4

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

PREFIX = "try-"


@contextmanager
def a_try(stems: Path) -> Iterator[Path]:
    """Give an empty folder beside a pass's ``stems``, which goes away with all that was not put.

    Raises
    ------
    OSError
        If the pass that is being built is gone.
    """
    folder = stems.parent / f"{PREFIX}{uuid4().hex}"
    folder.mkdir()
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def make_parents(folder: Path, path: str) -> None:
    """Make the folders in which a file below a folder lies, which itself must be there."""
    for parent in reversed(PurePosixPath(path).parents[:-1]):
        (folder / parent).mkdir(exist_ok=True)


def put(folder: Path, stems: Path, path: str) -> None:
    """Rename a file of a try into the pass; one that another try put there is the same to the bit, and is replaced."""
    make_parents(stems, path)
    (folder / path).replace(stems / path)


def forget_tries(building: Path) -> None:
    """Remove what workers that vanished have left in a pass that is being built."""
    for left in building.glob(f"{PREFIX}*"):
        shutil.rmtree(left, ignore_errors=True)
