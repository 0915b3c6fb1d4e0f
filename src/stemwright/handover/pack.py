"""Pack: a pass to hand over, as a folder or a zip: audio, manifest, recall sheet, rides, checksums."""

from __future__ import annotations

import os
import shutil
import unicodedata
import zipfile
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.handover.recall_sheet import recall_sheet
from stemwright.handover.rides import rides_csv
from stemwright.passes.copying import copy_file
from stemwright.passes.manifest_file import MANIFEST_NAME, read_manifest
from stemwright.plan.delivery import clean
from stemwright.recipes.session import load_session
from stemwright.stems.leftovers import aside_name, sweep
from stemwright.stems.survey import file_sha256
from stemwright.stems.whole import settle_new

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain

PACKS = "packs"
SHEET = "recall-sheet.txt"
RIDES = "rides.csv"
SUMS = "SHA256SUMS"
DATE = (1980, 1, 1, 0, 0, 0)  # the earliest a zip knows: the same pass makes the same zip


@dataclass(frozen=True)
class Packed:
    """What was packed: where, and its files below that, with their SHA-256."""

    path: Path
    files: dict[str, str]

    def as_json(self) -> Plain:
        """Return it as plain JSON values."""
        return {"path": str(self.path), "files": dict(self.files)}


def pack(song: SongFolder, name: str, folder: Path | None, *, zipped: bool = False) -> Packed:
    """Pack a pass.

    Parameters
    ----------
    song : SongFolder
    name : str
        A complete pass of it.
    folder : Path or None
        Where the pack goes; None is ``passes/packs`` in the song.
    zipped : bool
        One zip instead of a folder; audio is stored in it as it is.

    Returns
    -------
    Packed

    Raises
    ------
    SongError
        If the pack is there already, a file is not what the manifest says, or it cannot be written. Nothing
        half-written is left.
    """
    source = song.passes_dir / name
    manifest = read_manifest(source)
    title = load_session(song.folder).song or song.folder.name
    folder = song.passes_dir / PACKS if folder is None else folder
    label = f"{clean(title) or 'SongFolder'}_{name}"
    target = folder / (f"{label}.zip" if zipped else label)
    if target.exists() or target.is_symlink():
        raise SongError(
            f"{target}: there already, and a pack is never written over; move it away, or give another folder with --to"
        )
    building = folder / aside_name("packing-")
    sweep([folder])
    try:
        folder.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(building, ignore_errors=True)
        building.mkdir()
        files = _gather(source, manifest, building / label)
        copy_file(source / MANIFEST_NAME, building / label / MANIFEST_NAME)
        (building / label / SHEET).write_text(recall_sheet(manifest, title), encoding="utf-8")
        extras = [MANIFEST_NAME, SHEET]
        rides = rides_csv(manifest)
        if rides:
            # As bytes: a name that is no text stays what it is, and line ends stay RFC 4180's.
            (building / label / RIDES).write_bytes(rides.encode("utf-8", "surrogateescape"))
            extras.append(RIDES)
        files |= {extra: file_sha256(building / label / extra) for extra in extras}
        (building / label / SUMS).write_bytes(checksums(files))
        if zipped:
            _zip(building / label, building / target.name, [*files, SUMS])
        settle_new(building / target.name, target)
    except OSError as error:
        raise SongError(
            f"{target}: could not be written ({error.strerror or error}); nothing of it was left behind"
        ) from error
    finally:
        shutil.rmtree(building, ignore_errors=True)
    return Packed(target, files)


def _gather(source: Path, manifest: Manifest, folder: Path) -> dict[str, str]:
    """Copy the pass's files, each held against the manifest, and return their hashes by name in the pack."""
    files = {}
    folder.mkdir()
    for entry in manifest.stems:
        output = entry.output
        if output is None:
            continue
        path = f"stems/{output.path}"
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        if (source / path).is_file():
            copy_file(source / path, target)
        if not target.is_file() or file_sha256(target) != output.sha256:
            raise SongError(f"{path}: missing or not what the manifest says; see: stemwright verify SONG {source.name}")
        files[path] = output.sha256
    return files


def checksums(files: dict[str, str]) -> bytes:
    """Return a checksums file as ``sha256sum -c`` reads it.

    A name with a backslash or a line break is escaped and its line starts with a backslash, as GNU coreutils does.
    """
    lines = []
    for name, sha256 in sorted(files.items()):
        escaped = name.replace("\\", "\\\\").replace("\n", "\\n").replace("\r", "\\r")
        mark = b"\\" if escaped != name else b""
        lines.append(mark + f"{sha256}  ".encode() + os.fsencode(escaped) + b"\n")
    return b"".join(lines)


def _zip(folder: Path, target: Path, files: list[str]) -> None:
    try:
        with zipfile.ZipFile(target, "x", allowZip64=True) as archive:
            for name in sorted(files):
                entry = zipfile.ZipInfo(f"{folder.name}/{name}", DATE)
                entry.external_attr = 0o100644 << 16
                entry.file_size = (folder / name).stat().st_size
                with (folder / name).open("rb") as reader, archive.open(entry, "w") as writer:
                    shutil.copyfileobj(reader, writer, 1 << 20)
    except UnicodeEncodeError as error:
        raise SongError(
            f"{shown(str(error.object))}: a zip cannot hold this name; pack a folder, or rename the stem"
        ) from error
    with target.open("rb") as file:
        os.fsync(file.fileno())


def shown(name: str) -> str:
    """Return a name with what cannot be read made visible."""
    return "".join(char if unicodedata.category(char) != "Cs" else f"\\x{ord(char) & 0xFF:02x}" for char in name)
