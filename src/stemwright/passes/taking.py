"""Taking over: a file of an earlier pass brought into a new one, byte for byte, and hashed on the way.

Never by a hard link: a change to one of the two files must not reach the other. File systems that copy on write share the
blocks instead, until one of the files changes.
"""

from __future__ import annotations

import hashlib
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, BinaryIO

from stemwright.passes.tries import a_try, make_parents, put
from stemwright.stems.opening import open_raw
from stemwright.stems.survey import file_sha256

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.passes.entry import Entry
    from stemwright.plan.items import PlanItem

BLOCK_BYTES = 1 << 18
_SHARE_BLOCKS = 0x40049409  # FICLONE of Linux: the same extents for both files, copied when one of them is written to


def take_file(source: Path, target: Path) -> str:
    """Copy a file.

    It is not waited for until the bytes are on the disk: those it is a copy of are, so that after a loss of power a torn
    copy is found by its hash, and made again.

    Parameters
    ----------
    source : Path
        A file of an earlier pass.
    target : Path
        Must not exist.

    Returns
    -------
    str
        The SHA-256 of the bytes copied, in hex.

    Raises
    ------
    OSError
        If one of them cannot be read or written.
    """
    with open_raw(source) as reader, target.open("xb", buffering=0) as writer:
        if not _shared(reader, writer):
            return _copied(reader, writer)
    return file_sha256(target)


def _shared(reader: BinaryIO, writer: BinaryIO) -> bool:
    if sys.platform != "linux":
        return False
    import fcntl  # noqa: PLC0415 - not on every system

    try:
        fcntl.ioctl(writer.fileno(), _SHARE_BLOCKS, reader.fileno())
    except OSError:
        return False
    return True


def _copied(reader: BinaryIO, writer: BinaryIO) -> str:
    digest = hashlib.sha256()
    block = memoryview(bytearray(BLOCK_BYTES))
    while count := reader.readinto(block):  # type: ignore[attr-defined]
        part = block[:count]
        digest.update(part)
        while part:
            part = part[writer.write(part) :]
    return digest.hexdigest()


Older = tuple["Path", str, "Entry"]


def who_has(item: PlanItem, before: list[tuple[Path, str, dict[str, Entry]]]) -> list[Older]:
    """Return the earlier passes in which a stem was the same sound: where its files are, the pass, and its entry."""
    return [
        (folder, name, old)
        for folder, name, entries in before
        if (old := entries.get(item.stem)) is not None and old.output is not None and old.item.sound == item.sound
    ]


def take_over(item: PlanItem, older: list[Older], folder: Path) -> Entry | None:
    """Return the entry of a stem whose file an earlier pass has, brought over; None if no file is what its manifest says."""
    for old_folder, name, old in older:
        if old.output is None:
            continue
        path, source = old.output.path, old_folder / old.output.path
        if not source.is_file():
            continue
        with a_try(folder) as trying:
            make_parents(trying, path)
            if take_file(source, trying / path) == old.output.sha256:
                put(trying, folder, path)
                return replace(old, item=item, taken_from=name)
    return None
