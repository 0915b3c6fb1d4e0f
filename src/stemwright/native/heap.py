"""Heap: the memory of a block that is done with is kept for the next one, where the C library would give it back each time.

glibc returns what is freed beyond a small amount to the system, which has to clear every page of it when it is asked again.
With blocks of a megabyte let go and asked for at every step, that was a tenth of a pass.
"""

from __future__ import annotations

import ctypes

# The names and numbers of glibc's malloc.h; other C libraries do not know them and are left as they are.
_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
LARGEST_BYTES = 32 << 20  # of a piece that is kept: the most that glibc allows
KEPT_BYTES = 64 << 20  # freed at the end of a thread's heap before it is given back


def keep_freed() -> bool:
    """Ask the C library to keep what is freed; for a process that is ours alone. Return whether it does."""
    try:
        library = ctypes.CDLL(None)
        library.gnu_get_libc_version  # noqa: B018 - what else calls something mallopt may mean other things by its numbers
        mallopt = library.mallopt
    except (OSError, TypeError, AttributeError):
        return False
    return bool(mallopt(_MMAP_THRESHOLD, LARGEST_BYTES)) and bool(mallopt(_TRIM_THRESHOLD, KEPT_BYTES))
