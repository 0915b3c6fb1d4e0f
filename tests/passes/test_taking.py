"""A file taken over is the same bytes in a file of its own, whatever the system can do."""

from __future__ import annotations

import hashlib
import os
import sys

import pytest

from stemwright.passes.taking import take_file


@pytest.mark.parametrize("platform", ["linux", "darwin", "win32"])
@pytest.mark.parametrize("size", [0, 1, (1 << 18) + 7])
def test_a_file_taken_over_holds_the_same_bytes_and_its_hash_is_theirs(tmp_path, monkeypatch, platform, size):
    content = bytes(range(256)) * (size // 256 + 1)
    (tmp_path / "a.wav").write_bytes(content[:size])
    monkeypatch.setattr(sys, "platform", platform)
    found = take_file(tmp_path / "a.wav", tmp_path / "b.wav")
    assert (tmp_path / "b.wav").read_bytes() == content[:size]
    assert found == hashlib.sha256(content[:size]).hexdigest()
    assert (tmp_path / "a.wav").stat().st_ino != (tmp_path / "b.wav").stat().st_ino


# FICLONE is 0x40049409 (linux/fs.h); a file system that cannot share blocks says EOPNOTSUPP.
@pytest.mark.parametrize("platform", ["linux", "darwin"])
def test_blocks_are_shared_where_the_system_can_and_not_copied_once_more(tmp_path, monkeypatch, platform):
    fcntl, asked = pytest.importorskip("fcntl"), []
    (tmp_path / "a.wav").write_bytes(b"sound")

    def share(target, request, source):
        asked.append(request)
        os.write(target, os.pread(source, 100, 0))

    monkeypatch.setattr(fcntl, "ioctl", share)
    monkeypatch.setattr(sys, "platform", platform)
    assert take_file(tmp_path / "a.wav", tmp_path / "b.wav") == hashlib.sha256(b"sound").hexdigest()
    assert (tmp_path / "b.wav").read_bytes() == b"sound"
    assert asked == ([0x40049409] if platform == "linux" else [])


def test_nothing_that_is_there_is_written_over(tmp_path):
    (tmp_path / "a.wav").write_bytes(b"sound")
    (tmp_path / "b.wav").write_bytes(b"other")
    with pytest.raises(FileExistsError):
        take_file(tmp_path / "a.wav", tmp_path / "b.wav")
    assert (tmp_path / "b.wav").read_bytes() == b"other"
