"""Completion, man pages and the doctor: each says what the commands themselves say."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys

import pytest

from stemwright.cli import app, main


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_asks_the_program_by_the_name_that_it_answers_to(shell, capfd):
    assert main(["completion", shell]) == 0
    assert f"_STEMWRIGHT_COMPLETE={shell}_complete" in capfd.readouterr().out
    words = {"COMP_WORDS": "stemwright pr", "COMP_CWORD": "pr" if shell == "fish" else "1"}
    result = subprocess.run(
        [sys.executable, "-m", "stemwright"],
        env={**os.environ, **words, "_STEMWRIGHT_COMPLETE": f"{shell}_complete"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert "prep" in re.split(r"[,\s]", result.stdout)


@pytest.mark.skipif(shutil.which("groff") is None, reason="groff reads man pages")
def test_every_command_has_a_man_page_without_a_fault(tmp_path, capsys):
    assert main(["manual", "--to", str(tmp_path)]) == 0
    pages = sorted((tmp_path / "man1").iterdir())
    assert {f"stemwright-{name}.1" for name in app.commands} < {page.name for page in pages}
    result = subprocess.run(
        ["groff", "-man", "-Tascii", "-ww", *map(str, pages)], capture_output=True, text=True, check=False
    )
    assert (result.returncode, result.stderr) == (0, "")
    assert "--songs-from FILE" in re.sub(".\b", "", result.stdout)
    assert str(len(pages)) in capsys.readouterr().out


def test_the_doctor_says_what_is_missing_and_how_to_get_it(monkeypatch, capsys):
    from importlib import metadata

    assert main(["doctor"]) == 0
    assert capsys.readouterr().out.splitlines()[-1] == "All that is needed is there."
    version = metadata.version

    def gone(name):
        if name in ("soxr", "distributed"):
            raise metadata.PackageNotFoundError(name)
        return version(name)

    monkeypatch.setattr("importlib.metadata.version", gone)
    assert main(["doctor", "--json"]) == 1
    told = {part["name"]: (part["state"], part["do"]) for part in json.loads(capsys.readouterr().out)}
    assert told["soxr"] in {("missing", "pip install 'soxr>=0.5,<2'"), ("missing", "pip install 'soxr<2,>=0.5'")}
    assert told["distributed"] == ("optional", "for --on: pip install 'stemwright[dask]'")
