"""Index: one page of all songs of a catalogue, from their newest manifests, with links to the pages beside them."""

from __future__ import annotations

import math
import os
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING
from urllib.parse import quote

from stemwright.catalogue.outcome import Outcome
from stemwright.errors import StemwrightError
from stemwright.passes.history import read_pass
from stemwright.passes.song import open_song
from stemwright.report.arrived import findings_of
from stemwright.report.page import PAGE_NAME, replace_whole
from stemwright.report.template import self_contained

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from concurrent.futures import Executor

    from stemwright.catalogue.listing import Listed
    from stemwright.passes.manifest import Manifest

NO_RECIPE = ("nothing", "two readings")


@dataclass(frozen=True, kw_only=True)
class Row:
    """One song on the index page. ``lufs`` is before and after; ``waits`` what a person has to see to."""

    title: str
    folder: str
    stems: int
    pass_name: str = ""
    because: str = ""
    made_at: str = ""
    page: str = ""
    lufs: tuple[str, str] | None = None
    findings: int | None = None
    waits: tuple[str, ...] = ()


@dataclass(kw_only=True)
class Gather:
    """Work on a song: read its newest manifest, and keep its row for the page.

    Parameters
    ----------
    executor : Executor
    to : Path
        Where the page will be; links lead from there.
    listen : bool
        Whether the stems are listened to again, for what intake finds.
    """

    executor: Executor
    to: Path
    listen: bool = False
    rows: dict[Path, Row] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def __call__(self, song: Listed, on_stem: Callable[[str], None]) -> Outcome:  # noqa: ARG002 - counts songs
        """Do it; a song without a pass that can be read is on the page too, with the reason."""
        try:
            opened = open_song(song.folder)
            findings = None
            if self.listen:
                found = findings_of(opened, read_pass(opened, None), self.executor)
                findings = sum(each.severity != "info" for each in found)
            row, failed = self.executor.submit(read_row, song, self.to.parent.resolve(), findings).result()
        except StemwrightError as error:
            text = str(error).removeprefix(f"{song.folder.name}: ").split("\n")[0]
            with self._lock:
                self.rows[song.folder] = Row(
                    title=song.folder.name, folder=_from(song.folder, self.to.parent), stems=song.stems, waits=(text,)
                )
            raise
        with self._lock:
            self.rows[song.folder] = row
        return Outcome(
            song=song.name,
            state="done",
            pass_name=row.pass_name,
            stems=row.stems,
            failed=failed,
            to_settle=len(row.waits) - bool(failed),
            said="; ".join(row.waits),
        )


def read_row(song: Listed, seen_from: Path, findings: int | None) -> tuple[Row, int]:
    """Read a song's newest manifest; return its row, and how many of its stems failed.

    Any worker can do it: reading a manifest with suspicion is most of what an index costs.
    """
    opened = open_song(song.folder)
    manifest = read_pass(opened, None)
    failed = sum(entry.item.status == "failed" for entry in manifest.stems)
    return row_of(song, manifest, opened.passes_dir / manifest.name, seen_from, findings), failed


def row_of(song: Listed, manifest: Manifest, folder: Path, seen_from: Path, findings: int | None) -> Row:
    """Return what the page says of a song."""
    because = manifest.because
    return Row(
        title=manifest.song,
        folder=_from(song.folder, seen_from),
        stems=len(manifest.stems),
        pass_name=manifest.name,
        because=" ".join(word for word in (because.kind, f"by {because.by}" if because.by else "", because.text) if word),
        made_at=manifest.made_at.time.replace("T", " ").replace("+00:00", ""),
        page=_link(folder / PAGE_NAME, seen_from) if (folder / PAGE_NAME).is_file() else "",
        lufs=_lufs(manifest),
        findings=findings,
        waits=waits(manifest, findings),
    )


def waits(manifest: Manifest, findings: int | None) -> tuple[str, ...]:
    """Say what of a pass waits for a person."""
    failed = [entry.stem for entry in manifest.stems if entry.item.status == "failed"]
    unknown = [entry.stem for entry in manifest.stems if entry.item.status == "left" and entry.item.matched_by in NO_RECIPE]
    over = [entry.stem for entry in manifest.stems if entry.went_over]
    said = [(failed, "failed"), (unknown, "no recipe takes"), (over, "over full scale, written as float")]
    lines = [
        f"{what}: {', '.join(stems[:3])}{f' and {len(stems) - 3} more' if len(stems) > 3 else ''}"
        for stems, what in said
        if stems
    ]
    if not manifest.plan_intact:
        lines.append("its plan was edited")
    return (*lines, *([f"{findings} found at intake"] if findings else []))


def _lufs(manifest: Manifest) -> tuple[str, str] | None:
    sums = []
    for side in ("before", "after"):
        levels = [getattr(entry.levels, side) for entry in manifest.stems]
        powers = [10.0 ** (level.lufs / 10.0) for level in levels if level is not None and level.lufs is not None]
        if not powers:
            return None
        sums.append(f"{10.0 * math.log10(math.fsum(powers)):.1f}")
    return sums[0], sums[1]


def _from(path: Path, place: Path) -> str:
    """Return a path as seen from the page: it may be opened elsewhere, and need not tell where it was made."""
    try:
        return Path(os.path.relpath(path.resolve(), place.resolve())).as_posix()
    except ValueError:  # another drive
        return path.resolve().as_posix()


def _link(page: Path, place: Path) -> str:
    seen = _from(page, place)
    return page.resolve().as_uri() if Path(seen).is_absolute() else quote(seen)


def write_index(rows: Iterable[Row], to: Path) -> int:
    """Write the index page whole; return its size in bytes.

    Raises
    ------
    SongError
        If it cannot be written.
    """
    ordered: Sequence[Row] = sorted(rows, key=lambda row: (row.title.casefold(), row.folder))
    page = self_contained(
        "index.html.j2",
        ("table.js",),
        rows=ordered,
        stems=sum(row.stems for row in ordered),
        waiting=sum(bool(row.waits) for row in ordered),
        made_at=datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC"),
    )
    replace_whole(to, [page])
    return len(page)
