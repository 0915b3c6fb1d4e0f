"""What runs on a cluster's workers: a task, after a look at whether this worker is like the machine that asks."""

from __future__ import annotations

import signal
import sys
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from stemwright.errors import StemwrightError
from stemwright.native.heap import keep_freed
from stemwright.passes.manifest import made_by

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

T = TypeVar("T")
MAY_DIFFER = ("platform", "kernels", "python")  # the samples are the same to the bit with or without kernels


class WorkerError(StemwrightError):
    """A worker of a cluster is not like the machine that asks, or was lost."""


def dask_setup(_worker: object) -> None:
    """Leave an interrupt at the terminal to the caller, who stops the workers in order; Dask calls this at a worker's start."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    keep_freed()


@cache
def versions() -> tuple[tuple[str, str], ...]:
    """Return what must be the same on every machine: the libraries that a manifest names, and Python's minor version."""
    found = {key: value for key, value in made_by().items() if key not in MAY_DIFFER}
    return (*sorted(found.items()), ("Python", f"{sys.version_info[0]}.{sys.version_info[1]}"))


def different(here: Sequence[tuple[str, str]]) -> str:
    """Say in what this machine differs from the one that asks; empty if in nothing."""
    there = dict(versions())
    wrong = [f"{name} {there.get(name, 'none')} where the others have {version}" for name, version in here]
    return "; ".join(line for line, (name, version) in zip(wrong, here, strict=True) if there.get(name) != version)


def seen_there(folders: Sequence[Path]) -> list[tuple[str, int] | str]:
    """Return of each song how many bytes its stems are and their names' hash, or why that cannot be told."""
    return [_seen(folder) for folder in folders]


def _seen(folder: Path) -> tuple[str, int] | str:
    from stemwright.passes.song import open_song  # noqa: PLC0415 - only where it is asked

    try:
        song = open_song(folder)
        return "\n".join(song.stems), sum(song.source(stem).stat().st_size for stem in song.stems)
    except (StemwrightError, OSError) as error:
        return str(error)


def like_here(here: Sequence[tuple[str, str]], folders: Sequence[Path]) -> tuple[str, list[tuple[str, int] | str]]:
    """Return what is different on this worker, and what it sees of songs."""
    return different(here), seen_there(folders)


def do(here: Sequence[tuple[str, str]], fn: Callable[..., T], args: Sequence[Any], kwargs: dict[str, Any]) -> T:
    """Do a task, unless this worker is not like the machine that asks; one may have joined since they were looked at.

    Raises
    ------
    WorkerError
        If it is not.
    """
    wrong = different(here)
    if wrong:
        raise WorkerError(f"a worker has {wrong}; install the same versions there, or take it away")
    return fn(*args, **kwargs)
