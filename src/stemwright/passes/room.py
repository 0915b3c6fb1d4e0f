"""Room: whether the disk can hold a pass, asked before anything of it is written."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from stemwright.errors import SongError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.passes.song import SongFolder
    from stemwright.plan.items import PlanItem


def check_room(song: SongFolder, items: Iterable[PlanItem]) -> None:
    """Refuse before anything is written if the disk clearly cannot hold the pass."""
    widths = {"PCM_U8": 1, "PCM_S8": 1, "PCM_16": 2, "PCM_24": 3, "DOUBLE": 8}
    needed = 0
    for item in items:
        if item.input is not None and item.deliver_as is not None:
            size = item.deliver_as.frames * item.input.channels * widths.get(item.deliver_as.subtype, 4)
            needed += size // 3 if item.deliver_as.container == "FLAC" else size  # dense music takes more, silence less
    free = shutil.disk_usage(song.folder).free
    if needed > free:
        raise SongError(
            f"{song.folder.name}: the pass needs about {needed >> 20} MiB and {free >> 20} MiB are free; "
            "make room, then run it again"
        )
