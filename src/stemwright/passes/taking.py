"""Taking over: a file of an earlier pass brought into a new one, byte for byte, and hashed on the way.

Never by a hard link: a change to one of the two files must not reach the other. File systems that copy on write share the
blocks instead, until one of the files changes.
"""

from __future__ import annotations

import sys
from contextlib import ExitStack
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.passes.tries import a_try, make_parents, put
from stemwright.stems.hashing import HashPair
from stemwright.stems.opening import open_raw
from stemwright.stems.survey import file_sha256

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from io import FileIO
    from pathlib import Path

    from stemwright.passes.entry import Entry, Output
    from stemwright.plan.items import PlanItem

BLOCK_BYTES = 1 << 18
_SHARE_BLOCKS = 0x40049409  # FICLONE of Linux: the same extents for both files, copied when one of them is written to


@dataclass(frozen=True, kw_only=True)
class Older:
    """A stem in an earlier pass: the folder its file is in, the pass's name, the stem's entry there, and its file."""

    folder: Path
    name: str
    entry: Entry
    output: Output


def who_has(item: PlanItem, before: Sequence[tuple[Path, str, Mapping[str, Entry]]]) -> list[Older]:
    """Return a stem in those earlier passes, given by folder, name and entries, in which it was the same sound."""
    return [
        Older(folder=folder, name=name, entry=old, output=old.output)
        for folder, name, entries in before
        if (old := entries.get(item.stem)) is not None and old.output is not None and old.item.sound == item.sound
    ]


def take_over(items: Sequence[PlanItem], older: Sequence[Sequence[Older]], folder: Path) -> list[Entry | None]:
    """Bring the files of one or two stems into a folder, from wherever they are what the manifest there says.

    Parameters
    ----------
    items : sequence of PlanItem
    older : sequence of sequences of Older
        Of each item, the first choice first.
    folder : Path
        The ``stems`` of the pass that is being built.

    Returns
    -------
    list of Entry or None
        None for an item of which no such file is left.
    """
    found: dict[str, Entry] = {}
    left = {item.stem: [each for each in has if _file(each).is_file()] for item, has in zip(items, older, strict=True)}
    while asked := [item for item in items if item.stem not in found and left[item.stem]]:
        chosen = [left[item.stem].pop(0) for item in asked]
        with ExitStack() as stack:
            tries = [stack.enter_context(a_try(folder)) for _ in asked]
            for trying, each in zip(tries, chosen, strict=True):
                make_parents(trying, each.output.path)
            sums = take_files([(_file(each), trying / each.output.path) for each, trying in zip(chosen, tries, strict=True)])
            for item, each, trying, sha256 in zip(asked, chosen, tries, sums, strict=True):
                if sha256 == each.output.sha256:
                    put(trying, folder, each.output.path)
                    found[item.stem] = replace(each.entry, item=item, taken_from=each.name)
    return [found.get(item.stem) for item in items]


def _file(older: Older) -> Path:
    return older.folder / older.output.path


def take_files(copies: Sequence[tuple[Path, Path]]) -> list[str]:
    """Copy a file, or two of them side by side, which takes hardly longer to hash than one.

    It is not waited for until the bytes are on the disk: those they are copies of are, so that after a loss of power a torn
    copy is found by its hash, and made again.

    Parameters
    ----------
    copies : sequence of (Path, Path)
        One or two: a file of an earlier pass, and its target, which must not exist.

    Returns
    -------
    list of str
        The SHA-256 of the bytes copied, in hex.

    Raises
    ------
    OSError
        If one of them cannot be read or written.
    """
    with ExitStack() as stack:
        files = [
            (stack.enter_context(open_raw(source)), stack.enter_context(target.open("xb", buffering=0)))
            for source, target in copies
        ]
        if not all(_shared(reader, writer) for reader, writer in files):
            return _copied(files)
    return [file_sha256(target) for _, target in copies]


def _shared(reader: FileIO, writer: FileIO) -> bool:
    if sys.platform != "linux":
        return False
    import fcntl  # noqa: PLC0415 - not on every system

    try:
        fcntl.ioctl(writer.fileno(), _SHARE_BLOCKS, reader.fileno())
    except OSError:
        return False
    return True


def _copied(files: Sequence[tuple[FileIO, FileIO]]) -> list[str]:
    hashes = HashPair()
    blocks = [memoryview(bytearray(BLOCK_BYTES)) for _ in files]
    while any(parts := [block[: reader.readinto(block)] for (reader, _), block in zip(files, blocks, strict=True)]):
        hashes.update(*parts)
        for (_, writer), part in zip(files, parts, strict=True):
            left = part
            while left:
                left = left[writer.write(left) :]
    return list(hashes.hexdigests()[: len(files)])
