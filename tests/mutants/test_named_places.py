"""Every named mutant can still be made: its place is in the source once. Whether it lives is for `run.py` to try."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.mutants.equivalent import EQUIVALENT
from tests.mutants.named import NAMED

TOP = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(("file", "old"), [each[1:3] for each in NAMED], ids=[each[0] for each in NAMED])
def test_its_place_is_there_once(file, old):
    assert (TOP / file).read_text(encoding="utf-8").count(old) == 1


@pytest.mark.parametrize(("file", "line", "column"), [each[:3] for each in EQUIVALENT])
def test_what_is_listed_as_equivalent_is_there(file, line, column):
    lines = [each.strip() for each in (TOP / "src/stemwright" / file).read_text(encoding="utf-8").splitlines()]
    assert line in lines
    assert column < len(line)
