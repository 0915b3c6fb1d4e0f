"""Changes: the places of a module that can be changed in a small way, and the change."""

from __future__ import annotations

import ast

SWAPS = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq}
SWAPS |= {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.And: ast.Or, ast.Or: ast.And}
SWAPS |= {ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is}


def places(tree: ast.AST) -> list[ast.AST]:
    """Return every node that `mutate` can change."""
    return [node for node in ast.walk(tree) if _can_change(node)]


def _can_change(node: ast.AST) -> bool:
    if isinstance(node, ast.Compare):
        return type(node.ops[0]) in SWAPS
    if isinstance(node, (ast.BinOp, ast.BoolOp)):
        return type(node.op) in SWAPS
    return isinstance(node, ast.Constant) and isinstance(node.value, (int, float))


def mutate(node: ast.AST) -> str:
    """Change one node and say what was done."""
    if isinstance(node, ast.Constant):
        was = node.value
        node.value = (not was) if isinstance(was, bool) else was * 2 if was else 1
        return f"{was!r} -> {node.value!r}"
    if isinstance(node, ast.Compare):
        was = node.ops[0]
        node.ops[0] = SWAPS[type(was)]()
        return f"{type(was).__name__} -> {type(node.ops[0]).__name__}"
    was = node.op
    node.op = SWAPS[type(was)]()
    return f"{type(was).__name__} -> {type(node.op).__name__}"
