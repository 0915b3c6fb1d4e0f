"""Outside: whether an error of the system is the world's doing (a full disk, a missing right) or a bug of ours that looks like one."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import TYPE_CHECKING

from stemwright.stems.opening import NotRegularError, TooLargeError

if TYPE_CHECKING:
    from collections.abc import Iterable

# No program can keep these from happening. Where a system lacks one, its name is not in errno.
_THE_WORLDS = frozenset(
    getattr(errno, name)
    for name in (
        "ENOSPC", "EDQUOT", "EFBIG", "EIO", "EROFS", "EACCES", "EPERM", "EPIPE", "EMFILE", "ENFILE", "ENOMEM", "ENAMETOOLONG", "ELOOP",
        "ESTALE", "ENODEV", "ENXIO", "EBUSY", "ETXTBSY", "ENOLCK", "EREMOTEIO", "ENOTCONN", "EHOSTDOWN", "EHOSTUNREACH", "ENETDOWN",
        "ENETUNREACH", "EADDRINUSE", "EADDRNOTAVAIL", "EOPNOTSUPP", "EILSEQ", "EMLINK", "EAGAIN",
    )
    if hasattr(errno, name)
)  # fmt: skip
# These are the world's only where somebody else has a hand: among the files that a person named.
_OF_NAMES = frozenset((errno.ENOENT, errno.EEXIST, errno.ENOTDIR, errno.EISDIR, errno.ENOTEMPTY, errno.EXDEV))


def from_outside(error: OSError, asked: Iterable[str]) -> bool:
    """Whether an error is not our bug.

    Parameters
    ----------
    error : OSError
    asked : iterable of str
        The command's arguments: what was named in them, and what lies below, is not ours alone.
    """
    if isinstance(error, NotRegularError | TooLargeError | ConnectionError | TimeoutError):
        return True
    if error.errno in _OF_NAMES:
        return isinstance(error.filename, str | bytes) and _below(os.fsdecode(error.filename), asked)
    return error.errno in _THE_WORLDS


def _below(name: str, asked: Iterable[str]) -> bool:
    path = Path(os.path.realpath(name))
    named = (one.partition("=")[2] if one.startswith("--") else one for one in asked)
    return any(path.is_relative_to(os.path.realpath(one)) for one in named if one and "\0" not in one)
