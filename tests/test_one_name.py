"""One name, one class: nobody who reads a name has to ask which of two it is."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

SOURCE = Path(__file__).parents[1] / "src" / "stemwright"


def test_no_two_modules_have_a_class_of_one_name():
    names = Counter(
        node.name
        for path in sorted(SOURCE.rglob("*.py"))
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert len(names) > 200
    assert [name for name, count in names.items() if count > 1] == []
