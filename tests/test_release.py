"""The changelog and the version: what is released has a dated heading, the newest first (Keep a Changelog 1.1.0)."""

from __future__ import annotations

import re
import tomllib
from datetime import date
from pathlib import Path

HOUSE = Path(__file__).parents[1]
HEADINGS = re.findall(r"^## \[(.+?)\](?: - (\S+))?$", (HOUSE / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)


def test_the_version_is_the_newest_release_and_what_is_to_come_stands_above_it():
    assert HEADINGS[0] == ("Unreleased", "")
    assert HEADINGS[1][0] == tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]


def test_every_release_has_a_date_and_the_newest_comes_first():
    dates = [date.fromisoformat(day) for _, day in HEADINGS[1:]]
    assert dates == sorted(dates, reverse=True)
