"""Mutants: small changes of the source, each of which some test must notice.

    .venv/bin/python tests/mutants/run.py                       # the named ones
    .venv/bin/python tests/mutants/run.py --random 60 --seed 1  # so many at random, in the modules that decide and measure

Works on a copy of the tree, so that an interrupted run leaves nothing behind. Of a room's tests those that import the changed
module run first, then those that import what imports it, and all only where none of these noticed. Prints the survivors and the
score; exit code 1 if a named one survives. What `equivalent.py` lists, with reasons, changes nothing that could be noticed and is
not counted. Native kernels are switched off: what is mutated is the Python that defines them.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from equivalent import EQUIVALENT
from named import NAMED

TOP = Path(__file__).resolve().parents[2]
ROOMS = {
    "dsp": "tests/dsp tests/published",
    "plan": "tests/plan tests/passes tests/recipes",
    "passes": "tests/passes tests/cli",
}
MOST_S = 3600
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


def survives(tree: Path, tests: str) -> bool:
    """Return whether the tests pass on a tree that was changed."""
    asked = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestWarning"]
    here = {**os.environ, "PYTHONPATH": str(tree / "src"), "STEMWRIGHT_PURE": "1"}
    try:
        done = subprocess.run([*asked, *tests.split()], cwd=tree, env=here, capture_output=True, timeout=MOST_S, check=False)
    except subprocess.TimeoutExpired:
        print(f"not done after {MOST_S} s, which counts as noticed:", end=" ", flush=True)
        return False
    return done.returncode == 0


def nearest(tree: Path, file: str, tests: str) -> list[str]:
    """Return those of the tests that bear a module's name or import it, and those that import what imports it."""
    own = Path(file).stem
    sources = sorted((tree / "src").rglob("*.py"))
    users = [path.stem for path in sources if _imports(own, path) and path.stem not in ("__init__", own)]
    left = [path for each in tests.split() for path in sorted((tree / each).rglob("test_*.py"))]
    stages = []
    for names in ([own], users):
        found = [path for path in left if any(name in path.stem or _imports(name, path) for name in names)]
        left = [path for path in left if path not in found]
        stages.append(" ".join(str(path.relative_to(tree)) for path in found))
    return [stage for stage in stages if stage]


def _imports(name: str, path: Path) -> bool:
    return re.search(rf"^ *(from|import) .*\b{name}\b", path.read_text(encoding="utf-8"), re.MULTILINE) is not None


def at_random(tree: Path, count: int, seed: int) -> list[tuple[str, str, str, str]]:
    """Return so many (file, text as it is, text changed, tests), drawn from all places there are."""
    everywhere = []
    for room in ROOMS:
        for path in sorted((tree / "src" / "stemwright" / room).rglob("*.py")):
            everywhere += [(room, path, at) for at in range(len(places(ast.parse(path.read_text(encoding="utf-8")))))]
    drawn = []
    for room, path, at in random.Random(seed).sample(everywhere, min(count, len(everywhere))):
        text = path.read_text(encoding="utf-8")
        module = ast.parse(text)
        node = places(module)[at]
        line = text.splitlines()[node.lineno - 1]
        column = node.col_offset - (len(line) - len(line.lstrip()))
        what = mutate(node)
        if (path.relative_to(tree / "src" / "stemwright").as_posix(), line.strip(), column, what) in EQUIVALENT:
            continue
        label = f"{path.relative_to(tree)}:{node.lineno}: {what}"
        drawn.append((label, str(path.relative_to(tree)), ast.unparse(module), ROOMS[room]))
    return drawn


def main() -> int:
    """Run what was asked for and print the score."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--random", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(TOP, tree, ignore=shutil.ignore_patterns(".venv", ".git", "__pycache__", "demo-beat"))
        if asked.random:
            changes = at_random(tree, asked.random, asked.seed)
        else:
            changes = []
            for label, file, old, new, tests in NAMED:
                text = (tree / file).read_text(encoding="utf-8")
                if text.count(old) != 1:
                    raise SystemExit(f"{label}: its place in {file} is gone or not one; mend tests/mutants/named.py")
                changes.append((label, file, text.replace(old, new), tests))
        living = 0
        for label, file, text, tests in changes:
            kept = (tree / file).read_text(encoding="utf-8")
            (tree / file).write_text(text, encoding="utf-8")
            near = nearest(tree, file, tests) if asked.random else []
            if all(survives(tree, each) for each in [*near, tests]):
                living += 1
                print(f"SURVIVES  {label}", flush=True)
            (tree / file).write_text(kept, encoding="utf-8")
    noticed = len(changes) - living
    print(f"{noticed} of {len(changes)} noticed, {100 * noticed / max(len(changes), 1):.0f} %")
    return int(bool(living) and not asked.random)


if __name__ == "__main__":
    sys.exit(main())
