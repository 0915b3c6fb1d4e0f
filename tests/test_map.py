"""The map in DEVELOPERS.md: what it names is there, and what is in the rooms it lists whole is named."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[1]
ROWS = dict(
    re.findall(r"^\| `src/stemwright/(\w+)` \| (.*)$", (HOUSE / "DEVELOPERS.md").read_text(encoding="utf-8"), re.MULTILINE)
)
LISTED_WHOLE = ("passes", "plan", "handover", "catalogue")


def modules(room):
    return {path.stem for path in (HOUSE / "src/stemwright" / room).glob("*.py")} - {"__init__"}


@pytest.mark.parametrize("room", [room for room in ROWS if (HOUSE / "src/stemwright" / room).is_dir()])
def test_what_the_map_names_in_a_room_is_there(room):
    named = set(re.findall(r"`([a-z_]+)/?`", ROWS[room]))
    assert named <= {path.stem for path in (HOUSE / "src/stemwright" / room).rglob("*")}
    if room in LISTED_WHOLE:
        assert modules(room) <= named
