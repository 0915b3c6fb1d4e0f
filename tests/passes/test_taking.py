"""A file taken over is the same bytes in a file of its own, whatever the system can do."""

from __future__ import annotations

import hashlib
import sys

import pytest

from stemwright.passes.taking import take_files


@pytest.mark.parametrize("platform", ["linux", "darwin", "win32"])
@pytest.mark.parametrize("size", [0, 1, (1 << 18) + 7])
def test_a_file_taken_over_holds_the_same_bytes_and_its_hash_is_theirs(tmp_path, monkeypatch, platform, size):
    content = bytes(range(256)) * (size // 256 + 1)
    (tmp_path / "a.wav").write_bytes(content[:size])
    monkeypatch.setattr(sys, "platform", platform)
    found = take_files([(tmp_path / "a.wav", tmp_path / "b.wav")])
    assert (tmp_path / "b.wav").read_bytes() == content[:size]
    assert found == [hashlib.sha256(content[:size]).hexdigest()]
    assert (tmp_path / "a.wav").stat().st_ino != (tmp_path / "b.wav").stat().st_ino


@pytest.mark.parametrize("sizes", [(0, 1), (70_000, 600_000), (600_000, 70_000)])
def test_two_files_taken_over_at_once_are_each_their_own(tmp_path, sizes):
    contents = [bytes([65 + number]) * size for number, size in enumerate(sizes)]
    copies = [(tmp_path / f"{number}.wav", tmp_path / f"{number} again.wav") for number in range(2)]
    for (source, _), content in zip(copies, contents, strict=True):
        source.write_bytes(content)
    assert take_files(copies) == [hashlib.sha256(content).hexdigest() for content in contents]
    assert [target.read_bytes() for _, target in copies] == contents
