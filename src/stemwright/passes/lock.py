"""Lock: one run at a time settles a pass or changes what is kept. It ends with its process, however that ends."""

from __future__ import annotations

from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from filelock import FileLock, Timeout

from stemwright.errors import SongError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from stemwright.passes.song import SongFolder

LOCK_NAME = ".lock"
WAIT_S = 60.0  # nothing long is done under it


@contextmanager
def locked(song: SongFolder) -> Iterator[None]:
    """Hold a song's lock.

    Raises
    ------
    SongError
        If another run holds it for a minute, or it cannot be made.
    """
    path = song.passes_dir / LOCK_NAME
    lock = FileLock(path, timeout=WAIT_S)
    try:
        lock.acquire()
    except Timeout as error:
        raise SongError(
            f"{song.folder.name}: another run has held passes/{LOCK_NAME} for a minute; wait for its end"
        ) from error
    except (OSError, NotImplementedError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise SongError(
            f"{song.folder.name}: passes/{LOCK_NAME} cannot be locked ({reason}), so nothing was changed; "
            "check the folder's permissions, or whether its file system has locks"
        ) from error
    try:
        yield
    finally:
        with suppress(OSError):
            # While it is held: who waits for this very file sees that it is gone, and begins again with a new one.
            path.unlink(missing_ok=True)
        lock.release()
