"""A file taken over is the same bytes in a file of its own, whatever the system can do."""

from __future__ import annotations

import hashlib
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
