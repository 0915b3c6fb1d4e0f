"""Meanwhile: what another run did to a song while a pass was being made, looked at under the lock before it settles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.passes.keep import load_kept
from stemwright.passes.manifest_file import made_because, read_manifest
from stemwright.passes.trim import same_plan

if TYPE_CHECKING:
    from stemwright.passes.entry import Entry
    from stemwright.passes.make import Request
    from stemwright.passes.manifest import Manifest


def made_meanwhile(request: Request, entries: list[Entry]) -> Manifest | None:
    """Return the newest pass where another run made it meanwhile and it has the very same plan and files."""
    newest = next(reversed(request.song.passes()), None)
    if newest is None or (request.last is not None and newest == request.last.name):
        return None
    other = read_manifest(request.song.passes_dir / newest)
    files = [{each.stem: each.output for each in one} for one in (entries, other.stems)]
    return other if files[0] == files[1] and same_plan([entry.item for entry in entries], other) else None


def check_meanwhile(request: Request, entries: list[Entry]) -> None:
    """Refuse a pass that would undo what another run did meanwhile, or that has not the very file of a stem signed off."""
    files = {entry.stem: entry.sha256 for entry in entries}
    for stem, kept in load_kept(request.song).items():
        if files.get(stem) != kept.sha256:
            raise SongError(
                f"{stem}: {kept.why}, but its file cannot be brought back to the bit from any pass or from its plan; "
                f'nothing was written. To let it change: stemwright keep SONG "{stem}" --release'
            )
    newest = next(reversed(request.song.passes()), None)
    if newest is None or (request.last is not None and newest == request.last.name):
        return
    if request.because.kind != "prep" or made_because(request.song.passes_dir / newest) != "prep":
        raise SongError(
            f"{request.song.folder.name}: {newest} appeared while this pass was being made, and what it changed would be "
            "undone; nothing was written, run it again"
        )
