"""Mutants: small changes of the source, each of which some test must notice.

    .venv/bin/python tests/mutants/run.py                       # the named ones
    .venv/bin/python tests/mutants/run.py --random 60 --seed 1  # so many at random, in the modules that decide and measure
    .venv/bin/python tests/mutants/run.py --random 20 --seed 1 --in dsp/fit.py --traces traces

Works on a copy of the tree, so that an interrupted run leaves nothing behind. For those at random all tests of these rooms run once,
traced (`traces`; kept in a folder if one is given, for runs on the same source). Then each change meets the tests that run its line:
those named like the module first, then the quickest, up to so many seconds of them. Prints the survivors, how many tests each met, and
the score; exit code 1 if a named one survives. What `equivalent.py` lists, with reasons, changes nothing that could be noticed and
is not counted. Native kernels are switched off, since what is mutated is the Python that defines them; the tests that hold the two
together run with them.
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
from dataclasses import dataclass
from pathlib import Path

from change import mutate, places
from equivalent import EQUIVALENT
from named import NAMED
from traces import Traces

TOP = Path(__file__).resolve().parents[2]
SOURCE = "src/stemwright/"
ROOMS = ("dsp", "plan", "passes")
TESTS = [f"tests/{room}" for room in ("dsp", "published", "plan", "passes", "recipes", "cli")]
ALWAYS = ["tests/test_values.py"]  # of what is decided on import
KERNELS = "tests/dsp/test_native.py"
MOST_S = 3600
NO_SUCH_TEST = 4  # pytest's exit code


@dataclass(frozen=True)
class Change:
    """A change: what to call it, the file, its text as changed, and the tests that may notice, with all there would be."""

    label: str
    file: str
    text: str
    tests: list[str]
    of: int


def survives(tree: Path, tests: list[str], *, kernels: bool = False) -> bool:
    """Return whether the tests pass on a tree that was changed."""
    asked = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-W", "ignore::pytest.PytestWarning"]
    here = {
        **os.environ,
        "PYTHONPATH": str(tree / "src"),
        "PYTHONDONTWRITEBYTECODE": "1",
        "STEMWRIGHT_PURE": str(int(not kernels)),
    }
    try:
        done = subprocess.run([*asked, *tests], cwd=tree, env=here, capture_output=True, timeout=MOST_S, check=False)
    except subprocess.TimeoutExpired:
        print(f"not done after {MOST_S} s, which counts as noticed:", end=" ", flush=True)
        return False
    if done.returncode == NO_SUCH_TEST:  # a change may be in a test's name: then all tests of the files it would be in
        files = list(dict.fromkeys(test.partition("::")[0] for test in tests))
        return survives(tree, files, kernels=kernels) if files != tests else False
    return done.returncode == 0


def has_kernels(tree: Path, file: str) -> bool:
    """Whether a module has a twin in the compiled kernels, which its own tests hold to it."""
    tests = (tree / KERNELS).read_text(encoding="utf-8")
    return re.search(rf"^from .*\.{Path(file).stem} import", tests, re.MULTILINE) is not None


def at_random(tree: Path, count: int, seed: int, within: str) -> list[tuple[str, int]]:
    """Return so many places, drawn from all there are in the rooms, or in the modules asked for: file, and which of its places."""
    everywhere = []
    for room in ROOMS:
        for path in sorted((tree / SOURCE / room).rglob("*.py")):
            file = path.relative_to(tree).as_posix()
            if file.removeprefix(SOURCE).startswith(tuple(within.split(","))):
                everywhere += [(file, at) for at in range(len(places(ast.parse(path.read_text(encoding="utf-8")))))]
    return random.Random(seed).sample(everywhere, min(count, len(everywhere)))


def change_at(tree: Path, file: str, at: int, traces: Traces, most_s: float) -> Change | None:
    """Return a change and the tests that run its line; None where it is known to change nothing."""
    text = (tree / file).read_text(encoding="utf-8")
    module = ast.parse(text)
    node = places(module)[at]
    line = text.splitlines()[node.lineno - 1]
    column = node.col_offset - (len(line) - len(line.lstrip()))
    tests, chosen, seconds = traces.of(file, node), [], 0.0
    for test in tests:
        if seconds + traces.seconds(test) <= most_s:
            chosen.append(test)
            seconds += traces.seconds(test)
    what = mutate(node)
    if (file.removeprefix(SOURCE), line.strip(), column, what) in EQUIVALENT:
        return None
    return Change(
        f"{file}:{node.lineno}: {what}: {line.strip()}", file, ast.unparse(module), ALWAYS + chosen, len(ALWAYS + tests)
    )


def named(tree: Path) -> list[Change]:
    """Return the changes that once lived."""
    changes = []
    for label, file, old, new, tests in NAMED:
        text = (tree / file).read_text(encoding="utf-8")
        if text.count(old) != 1:
            raise SystemExit(f"{label}: its place in {file} is gone or not one; mend tests/mutants/named.py")
        changes.append(Change(label, file, text.replace(old, new), tests.split(), len(tests.split())))
    return changes


def lives(tree: Path, change: Change) -> bool:
    """Return whether nothing notices a change."""
    path = tree / change.file
    kept = path.read_text(encoding="utf-8")
    path.write_text(change.text, encoding="utf-8")
    living = survives(tree, change.tests)
    if living and has_kernels(tree, change.file):
        living = survives(tree, [KERNELS], kernels=True)
    path.write_text(kept, encoding="utf-8")
    return living


def main() -> int:
    """Run what was asked for and print the score."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--random", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--in", dest="within", default="", help="modules whose path begins so, such as dsp/rings/,plan/")
    parser.add_argument("--traces", type=Path, help="a folder for what tests run which line")
    parser.add_argument("--seconds", type=float, default=100.0, help="of tests that each change meets at most")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(TOP, tree, ignore=shutil.ignore_patterns(".venv", ".git", "__pycache__", "demo-beat"))
        if asked.random:
            traces = Traces(tree, ALWAYS + TESTS, asked.traces or Path(folder) / "traces")
            drawn = at_random(tree, asked.random, asked.seed, asked.within)
            changes = [change_at(tree, file, at, traces, asked.seconds) for file, at in drawn]
        else:
            changes = list(named(tree))
        counted = [each for each in changes if each is not None]
        living = 0
        for change in counted:
            if lives(tree, change):
                living += 1
                print(f"SURVIVES  {change.label}  (met {len(change.tests)} of {change.of} tests that run it)", flush=True)
    noticed = len(counted) - living
    known = f", {len(changes) - len(counted)} more are known to change nothing" if len(changes) > len(counted) else ""
    print(f"{noticed} of {len(counted)} noticed, {100 * noticed / max(len(counted), 1):.0f} %{known}")
    return int(bool(living) and not asked.random)


if __name__ == "__main__":
    sys.exit(main())
