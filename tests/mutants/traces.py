"""Which tests run which line, measured once: a test that never runs a changed line cannot notice the change.

What runs on import runs in no test, functions called then included: such a place meets whatever runs any line of its module, or a line
anywhere that has the name which is given there, and the tests of every file that imports the module. What a fixture ran counts for
every test of the file, since a fixture of module scope runs in the first of them only. A process that a test starts is not seen.
"""

from __future__ import annotations

import ast
import hashlib
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections import defaultdict
from pathlib import Path

import coverage

SETTINGS = "[run]\nsource = stemwright\ndata_file = {}\n"
SOURCE = "src/stemwright"
Functions = (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)


class Traces:
    """Tests by file and line.

    Parameters
    ----------
    tree : Path
        A copy of the project; the tests run in it, which takes minutes.
    rooms : list of str
        Folders and files of tests; all of them must pass on the source as it is.
    kept : Path
        A folder for what was measured; what is there of the same source and tests is taken as it is.
    """

    def __init__(self, tree: Path, rooms: list[str], kept: Path) -> None:
        self._tree = tree
        name = _state_of(tree, rooms)
        data, report = kept / f"{name}.lines", kept / f"{name}.seconds"
        if not data.exists():
            _measure(tree, rooms, data, report)
        self._seconds = _seconds(report)
        self._by_line: dict[str, dict[int, set[str]]] = defaultdict(lambda: defaultdict(set))
        self._of_file: dict[str, set[str]] = defaultdict(set)
        for test in self._seconds:
            self._of_file[test.partition("::")[0]].add(test)
        self._on_import: set[tuple[str, int]] = set()
        read = coverage.CoverageData(str(data))
        read.read()
        for path in read.measured_files():
            file = SOURCE + path.rpartition(SOURCE)[2]
            for line, contexts in read.contexts_by_lineno(path).items():
                if "" in contexts:
                    self._on_import.add((file, line))
                for context in filter(None, contexts):
                    test, _, phase = context.rpartition("|")
                    self._by_line[file][line] |= {test} if phase == "run" else self._of_file[test.partition("::")[0]]

    def of(self, file: str, node: ast.AST) -> list[str]:
        """Return the tests that run a place in a file, those named like the file first, then the quickest first."""
        module = ast.parse((self._tree / file).read_text(encoding="utf-8"))
        around = [each for each in ast.walk(module) if isinstance(each, (ast.stmt, ast.Lambda)) and _holds(each, node)]
        bodies = [each for each in around if isinstance(each, Functions) and _in_body(each, node)]
        found = self._of_lines(file, around) if bodies else set()
        if not bodies or any((file, line) in self._on_import for line in range(node.lineno, node.end_lineno + 1)):
            found |= self._of_names(file, around)
        own = Path(file).stem
        return sorted(found, key=lambda test: (own not in test.partition("::")[0], self.seconds(test), test))

    def seconds(self, test: str) -> float:
        """Return how long a test took."""
        return self._seconds.get(test, 0.0)

    def _of_lines(self, file: str, around: list[ast.AST]) -> set[str]:
        inmost = max(
            (each for each in around if isinstance(each, ast.stmt)), key=lambda each: (each.lineno, -each.end_lineno)
        )
        body = getattr(inmost, "body", None)
        last = max(body[0].lineno - 1, inmost.lineno) if body else inmost.end_lineno
        lines = self._by_line[file]
        return {test for line in range(inmost.lineno, last + 1) for test in lines.get(line, ())}

    def _of_names(self, file: str, around: list[ast.AST]) -> set[str]:
        names = set()
        for each in around:
            targets = (
                each.targets if isinstance(each, ast.Assign) else [each.target] if isinstance(each, ast.AnnAssign) else []
            )
            names |= {part.id for target in targets for part in ast.walk(target) if isinstance(part, ast.Name)}
            names |= {each.name} if isinstance(each, (ast.ClassDef, ast.FunctionDef)) else set()
        found = {test for tests in self._by_line[file].values() for test in tests}
        importing = re.compile(rf"^ *(from|import) .*\b{Path(file).stem}\b", re.MULTILINE)
        for path, tests in self._of_file.items():
            found |= tests if importing.search((self._tree / path).read_text(encoding="utf-8")) else set()
        for path in sorted((self._tree / "src").rglob("*.py")) if names else ():
            lines = self._by_line[path.relative_to(self._tree).as_posix()]
            for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
                if any(re.search(rf"\b{name}\b", line) for name in names):
                    found |= lines.get(number, set())
        return found


def _holds(outer: ast.AST, node: ast.AST) -> bool:
    first = min([outer.lineno, *(each.lineno for each in getattr(outer, "decorator_list", []))])
    starts = (outer.lineno, outer.col_offset) if isinstance(outer, ast.Lambda) else (first, 0)
    ends = (node.end_lineno, node.end_col_offset) <= (outer.end_lineno, outer.end_col_offset)
    return starts <= (node.lineno, node.col_offset) and ends


def _in_body(function: ast.AST, node: ast.AST) -> bool:
    return isinstance(function, ast.Lambda) or function.body[0].lineno <= node.lineno


def _state_of(tree: Path, rooms: list[str]) -> str:
    files = [
        path
        for room in ("src", *rooms)
        for path in ([tree / room] if room.endswith(".py") else sorted((tree / room).rglob("*.py")))
    ]
    return hashlib.sha256(b"\0".join(path.read_bytes() for path in files)).hexdigest()[:16]


def _measure(tree: Path, rooms: list[str], data: Path, report: Path) -> None:
    data.parent.mkdir(parents=True, exist_ok=True)
    settings = data.with_suffix(".ini")
    settings.write_text(SETTINGS.format(data), encoding="utf-8")
    asked = ["-q", "-p", "no:cacheprovider", f"--junitxml={report}", "-o", "junit_family=xunit1"]
    asked += ["--cov=stemwright", f"--cov-config={settings}", "--cov-context=test", "--cov-report="]
    here = {**os.environ, "PYTHONPATH": str(tree / "src"), "STEMWRIGHT_PURE": "1"}
    done = subprocess.run([sys.executable, "-m", "pytest", *asked, *rooms], cwd=tree, env=here, check=False)
    if done.returncode:
        data.rename(data.with_suffix(".failed"))
        raise SystemExit("the tests fail on the source as it is; mend that first")


def _seconds(report: Path) -> dict[str, float]:
    cases = ET.parse(report).getroot().iter("testcase")  # noqa: S314 - pytest wrote it for us
    return {f"{case.get('file')}::{case.get('name')}": float(case.get("time", 0.0)) for case in cases}
