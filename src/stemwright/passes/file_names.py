"""File names: where each stem of a pass is written, unique also where an ending changes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.plan.delivery import float_name

if TYPE_CHECKING:
    from stemwright.plan.items import PlanItem


def unique_paths(items: tuple[PlanItem, ...]) -> list[PlanItem]:
    """Return the items with file names made unique where a changed ending would meet another stem's name."""
    taken = {item.stem.casefold() for item in items if item.deliver_as and item.deliver_as.path == item.stem}
    result = []
    for item in items:
        deliver = item.deliver_as
        if deliver is not None and deliver.path != item.stem:
            ending = PurePosixPath(deliver.path).suffix
            path = deliver.path if deliver.path.casefold() not in taken else f"{item.stem}{ending}"
            taken.add(path.casefold())
            result.append(replace(item, deliver_as=replace(deliver, path=path)))
        else:
            result.append(item)
    return result


def float_path(item: PlanItem, items: list[PlanItem]) -> str:
    """Return the name to write an item under if it goes over full scale, which is no other's; empty where it has no file."""
    if item.deliver_as is None:
        return ""
    path = float_name(item)
    if path == item.deliver_as.path:
        return path
    others = {other.deliver_as.path.casefold() for other in items if other.deliver_as}
    return path if path.casefold() not in others else f"{item.deliver_as.path}.wav"
