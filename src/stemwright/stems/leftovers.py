"""Leftovers: what a run builds aside carries its owner in its name, so that a later run can sweep what a killed one left.

An owner is told by host, process and when that process started: in a container every process may be number 1, and numbers
come again.
"""

from __future__ import annotations

import os
import re
import shutil
import socket
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

_ASIDE = re.compile(r"\..*~(?P<host>[^~]*)~(?P<pid>[0-9]{1,10})~(?P<start>[0-9]{1,20})")
_UNKNOWN = "0"


def aside_name(what: str) -> str:
    """Return a hidden name for something this process builds: ``.what~host~pid~start``."""
    return f".{what}~{_host()}~{os.getpid()}~{_started(os.getpid())}"


def sweep(folders: Iterable[Path]) -> None:
    """Remove what runs on this machine that are gone left in these folders; what cannot be removed stays for the next run."""
    for folder in folders:
        with suppress(OSError):
            for path in list(folder.iterdir()):
                if _orphaned(path.name):
                    _remove(path)


def _orphaned(name: str) -> bool:
    mark = _ASIDE.fullmatch(name)
    if mark is None or mark["host"] != _host():
        return False
    pid = int(mark["pid"])
    return not _alive(pid) or _UNKNOWN != mark["start"] != _started(pid)


def _remove(path: Path) -> None:
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        with suppress(OSError):
            path.unlink()


@cache
def _host() -> str:
    return re.sub(r"[^\w.-]", "_", socket.gethostname())


def _started(pid: int) -> str:
    """Return when a process started, in ticks since the machine did; "0" where the system does not say."""
    try:
        # proc(5): field 22, counted behind the name in brackets, which may hold anything.
        return Path(f"/proc/{pid}/stat").read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()[19]
    except (OSError, IndexError):
        return _UNKNOWN


def _alive(pid: int) -> bool:
    if os.name == "nt":  # there os.kill would end the process instead of asking after it
        return True
    try:
        os.kill(pid, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True
