"""Every file of a song is opened in one place, which hangs on nothing and reads no more than it should."""

from __future__ import annotations

import os
import re
import socket
from pathlib import Path

import pytest

import stemwright
from stemwright.stems.opening import NotRegularError, TooLargeError, open_file, read_file_bytes


def odd(kind, path):
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    elif kind == "folder":
        path.mkdir()
    else:
        socket.socket(socket.AF_UNIX).bind(str(path))


@pytest.mark.parametrize("kind", ["pipe", "device", "folder", "socket"])
@pytest.mark.filterwarnings("ignore:unclosed")
def test_what_is_no_regular_file_is_refused_at_once(tmp_path, monkeypatch, kind):
    monkeypatch.chdir(tmp_path)  # the names of sockets are short
    odd(kind, Path("x"))
    with pytest.raises(NotRegularError, match="not a regular file"):
        open_file(Path("x"))


def test_a_file_larger_than_its_kind_may_be_is_refused(tmp_path):
    (tmp_path / "kept.json").write_bytes(b"x" * 4097)
    with pytest.raises(TooLargeError, match="larger than 4 KiB"):
        read_file_bytes(tmp_path / "kept.json", 4096)
    assert len(read_file_bytes(tmp_path / "kept.json", 4097)) == 4097


def test_nothing_else_opens_a_file_to_read():
    # What is opened otherwise is written ("x", "w", "r+b" of our own), comes with the package, or was built by this run.
    reading = re.compile(r"(?<!resources)\.(open\(\"rb\"|open\(\)|read_text\(|read_bytes\()")
    ours = ("resources", "importlib", "/proc/", "self._path", "folder / name", "target.open", "joinpath", ".schema.json")
    house = Path(stemwright.__file__).parent
    found = [
        f"{path.relative_to(house)}: {line.strip()}"
        for path in house.rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if reading.search(line) and not any(mark in line for mark in ours)
    ]
    assert found == []
