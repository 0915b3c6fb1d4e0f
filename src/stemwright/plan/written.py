"""Written: a plan's items as the JSON a manifest holds, and back; the only place where a plan is dictionaries."""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields
from typing import TYPE_CHECKING

from stemwright.dsp.dither import COUNTED
from stemwright.plain import plain, typed
from stemwright.plan.items import PlanItem, PlannedMove

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.plain import Plain

MOVE_FIELDS = frozenset(field.name for field in fields(PlannedMove)) - {"settings"}
LATER = frozenset({"only", "points"})
NO_DITHER = "none"
# What an item is in JSON; messages are said about a plan and decide nothing in it.
PLAN_KEYS = (
    "stem", "input", "role", "family", "recipe", "matched_by", "status", "why", "moves", "dither", "deliver_as",
)  # fmt: skip


def item_as_json(item: PlanItem) -> Plain:
    """Return an item as JSON: a move's settings beside its name, the dither's kind and seed together."""
    data: Plain = plain(item)
    kind, seed = data.pop("dither"), data.pop("seed")
    data["dither"] = {"kind": NO_DITHER if seed is None else kind, "seed": seed}
    for move in data["moves"]:
        move.update(move.pop("settings"))
        for key in LATER:  # what is not there is not written, so that plans from before there were such moves stay equal
            if not move.get(key):
                move.pop(key, None)
    return data


def item_of(data: Plain) -> PlanItem:
    """Read back what `item_as_json` wrote; further keys are passed over.

    Raises
    ------
    ValueError, KeyError, TypeError
        If it is out of shape, which a manifest held against its schema is not.
    """
    dither = data["dither"]
    moves = [
        {
            **{key: move[key] for key in MOVE_FIELDS - LATER},
            **{key: move[key] for key in LATER if move.get(key)},
            "settings": {key: value for key, value in move.items() if key not in MOVE_FIELDS},
        }
        for move in data["moves"]
    ]
    kind = COUNTED if dither["kind"] == NO_DITHER else dither["kind"]
    return typed({**data, "moves": moves, "seed": dither["seed"], "dither": kind}, PlanItem)


def plan_sha256(items: Iterable[PlanItem]) -> str:
    """Return the hash of a plan."""
    return hash_of_plan([{key: data[key] for key in PLAN_KEYS} for data in map(item_as_json, items)])


def hash_of_plan(items: list[Plain]) -> str:
    """Return the hash of items as JSON: sorted by stem, keys sorted, no spaces."""
    ordered = sorted(items, key=lambda item: str(item["stem"]))
    return hashlib.sha256(json.dumps(ordered, sort_keys=True, separators=(",", ":")).encode()).hexdigest()
