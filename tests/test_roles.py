"""Every role that the program names is a role of a house recipe: a name that is none would mean nothing, without a word."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from stemwright.recipes.folders import search_dirs
from stemwright.recipes.library import load_library

SOURCE = Path(__file__).parents[1] / "src" / "stemwright"
ROLES = {recipe.role for recipe in load_library(search_dirs(None, [])).recipes.values()}


def named_roles():
    """Yield each string in a constant whose name ends in _ROLES, and those `role` is compared with."""
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            where = f"{path.relative_to(SOURCE)}:{getattr(node, 'lineno', 0)}"
            if isinstance(node, ast.Assign) and any(_is_of_roles(target) for target in node.targets):
                yield from ((where, text) for text in _texts(node.value))
            if isinstance(node, ast.Compare) and ast.unparse(node.left).endswith("role"):
                yield from ((where, text) for part in node.comparators for text in _texts(part))


def _is_of_roles(target):
    return isinstance(target, ast.Name) and target.id.endswith("_ROLES")


def _texts(node):
    return [each.value for each in ast.walk(node) if isinstance(each, ast.Constant) and isinstance(each.value, str)]


FOUND = sorted(set(named_roles()))


def test_there_are_some():
    assert any("kit" in where for where, _ in FOUND)


@pytest.mark.parametrize(("where", "role"), FOUND)
def test_a_role_named_in_the_source_is_a_recipes(where, role):
    assert role in ROLES, where
