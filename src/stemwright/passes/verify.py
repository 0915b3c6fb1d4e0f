"""Verify: every file of a pass held against its manifest, and the stems as received against what they were."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from stemwright.passes.manifest_file import read_manifest
from stemwright.plain import plain
from stemwright.stems.survey import file_sha256

if TYPE_CHECKING:
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain

FileState = Literal["identical", "changed", "missing", "not of this pass", "unwritten"]


@dataclass(frozen=True)
class Checked:
    """The verdict on one file; ``file`` is below the pass's folder, or below the song's for a stem as received."""

    file: str
    verdict: FileState
    detail: str = ""


@dataclass(frozen=True, kw_only=True)
class Verified:
    """What verifying a pass found."""

    name: str
    plan_intact: bool
    outputs: tuple[Checked, ...]
    received: tuple[Checked, ...]

    @property
    def good(self) -> bool:
        """Whether the plan and every file are what the manifest says."""
        return self.plan_intact and all(c.verdict in ("identical", "unwritten") for c in (*self.outputs, *self.received))

    def as_json(self) -> Plain:
        """Return the verdicts as plain JSON values."""
        return {**plain(self), "good": self.good}


def verify(song: SongFolder, name: str, executor: Executor) -> Verified:
    """Verify one pass.

    Parameters
    ----------
    song : SongFolder
    name : str
        A complete pass of it.
    executor : Executor
        Hashes the files.

    Returns
    -------
    Verified

    Raises
    ------
    ManifestError
        If the manifest cannot be read.
    """
    folder = song.passes_dir / name
    manifest = read_manifest(folder)
    written = {each.path: each.sha256 for entry in manifest.stems if (each := entry.output) is not None}
    received = {source.path: source.sha256 for item in manifest.items() if (source := item.input) is not None}
    outputs = list(executor.map(_check, *_columns(folder / "stems", written)))
    inputs = list(executor.map(_check, *_columns(song.folder, received)))
    extra = [
        Checked(path, "not of this pass", "no stem of the manifest is this file")
        for path in sorted(_files(folder / "stems") - set(written))
    ]
    unwritten = [
        Checked(entry.stem, "unwritten", f"{entry.item.status}: {entry.item.why}")
        for entry in manifest.stems
        if entry.output is None
    ]
    return Verified(
        name=name,
        plan_intact=manifest.plan_intact,
        outputs=(*outputs, *extra, *unwritten),
        received=tuple(inputs),
    )


def _columns(folder: Path, hashes: dict[str, str]) -> tuple[list[Path], list[str], list[str]]:
    return [folder / path for path in hashes], list(hashes), list(hashes.values())


def _check(path: Path, label: str, expected: str) -> Checked:
    try:
        found = file_sha256(path)
    except OSError as error:
        return Checked(label, "missing", error.strerror or "cannot be read")
    if found == expected:
        return Checked(label, "identical")
    return Checked(label, "changed", f"sha256 is {found[:12]}…, the manifest has {expected[:12]}…")


def _files(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
