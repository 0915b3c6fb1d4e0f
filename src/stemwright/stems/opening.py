"""Opening: every file of a song is opened here, and only if it is a regular file, no larger than its kind may be.

A pipe never ends a read, a device may never end, and both may stand under a stem's or a manifest's name.
"""

from __future__ import annotations

import errno
import os
import stat
from io import BufferedReader, FileIO
from pathlib import Path

# A pipe that took the file's place after it was looked at must not hold us up either.
_FLAGS = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


OUTWARD = "a link that leads out of the song's folder"
DANGLING = "a link that leads nowhere"


class NotRegularError(OSError):
    """What stands under the name is a pipe, a device, a socket or a folder."""


class TooLargeError(OSError):
    """The file is larger than one of its kind can be."""


def require_regular(path: Path) -> os.stat_result:
    """Return a file's state.

    Raises
    ------
    NotRegularError
        If it is no regular file.
    OSError
        If it is not there.
    """
    return _regular(path.stat(), path)


def _regular(state: os.stat_result, path: Path) -> os.stat_result:
    if not stat.S_ISREG(state.st_mode):
        raise NotRegularError(errno.EINVAL, "not a regular file", str(path))
    return state


def wrong_link(path: Path, folder: Path) -> str | None:
    """Say why what stands under a name below a folder must not be trusted as that folder's, or None.

    Parameters
    ----------
    path : Path
        Below ``folder``; links may be anywhere on the way.
    folder : Path
        What must not be left.
    """
    if path.is_symlink() and not path.exists():
        return DANGLING
    inside = Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))
    return None if inside else OUTWARD


def open_raw(path: Path) -> FileIO:
    """Open a regular file for reading, in binary and without a buffer.

    Parameters
    ----------
    path : Path
        Links are followed; what they lead to must be a regular file.

    Raises
    ------
    NotRegularError
        If it is no regular file.
    OSError
        If it cannot be opened.
    """
    require_regular(path)  # a device may act on being opened, so it is looked at first
    handle = os.open(path, _FLAGS)
    try:
        _regular(os.fstat(handle), path)
        return FileIO(handle, "rb")
    except BaseException:
        os.close(handle)
        raise


def open_file(path: Path) -> BufferedReader:
    """Open a regular file for reading, in binary; as `open_raw`, with a buffer."""
    return BufferedReader(open_raw(path))


def read_file_bytes(path: Path, most_bytes: int) -> bytes:
    """Return all of a small regular file.

    Raises
    ------
    TooLargeError
        If it holds more than ``most_bytes``.
    NotRegularError
        If it is no regular file.
    OSError
        If it cannot be read.
    """
    with open_file(path) as file:
        raw = file.read(most_bytes + 1)
    if len(raw) > most_bytes:
        size = f"{most_bytes >> 20} MiB" if most_bytes >= 1 << 20 else f"{most_bytes >> 10} KiB"
        raise TooLargeError(errno.EFBIG, f"larger than {size}, so it is none of ours", str(path))
    return raw
