"""Stems as received, read only when asked for, and refused where they are not what a plan was made for."""

from __future__ import annotations

import hashlib
import os
from types import SimpleNamespace

import pytest

from stemwright.errors import SongError
from stemwright.passes import received
from stemwright.passes.copying import copy_file
from stemwright.passes.received import FactsOnDemand
from stemwright.passes.song import open_song


@pytest.fixture
def facts(make_song):
    folder = make_song({"a.wav": None, "b.wav": None, "c.wav": None})
    hashes = {name: hashlib.sha256((folder / name).read_bytes()).hexdigest() for name in ("a.wav", "b.wav", "c.wav")}
    items = [SimpleNamespace(stem=name, input=SimpleNamespace(sha256=each)) for name, each in hashes.items()]
    items.append(SimpleNamespace(stem="failed.wav", input=None))
    return folder, hashes, FactsOnDemand(open_song(folder), items)


def test_it_has_the_stems_that_were_read_and_reads_each_when_it_is_asked_for_and_once(facts, monkeypatch):
    _, hashes, found = facts
    survey, asked = received.survey_stem, []
    monkeypatch.setattr(received, "survey_stem", lambda stem, path: asked.append(stem) or survey(stem, path))
    assert (list(found), len(found)) == (["a.wav", "b.wav", "c.wav"], 3)
    assert "a.wav" in found
    assert "failed.wav" not in found
    assert asked == []
    assert [found["b.wav"].sha256 for _ in range(2)] == [hashes["b.wav"]] * 2
    assert asked == ["b.wav"]


def test_every_stem_that_is_not_what_it_was_is_named_with_how(facts, executor):
    folder, hashes, found = facts
    (folder / "a.wav").write_bytes((folder / "b.wav").read_bytes())
    (folder / "c.wav").write_bytes(b"RIFF")
    gone = FactsOnDemand(open_song(folder), [SimpleNamespace(stem="gone.wav", input=SimpleNamespace(sha256="0"))])
    with pytest.raises(SongError) as caught:
        found.check(["a.wav", "b.wav", "c.wav", "failed.wav"], executor)
    lines = str(caught.value).splitlines()
    assert lines[0] == "song: 2 of the stems as received are not what the pass was made from:"
    assert lines[1] == f"  a.wav: changed: sha256 is {hashes['b.wav'][:12]}…, the manifest has {hashes['a.wav'][:12]}…"
    assert lines[2].startswith("  c.wav: ")
    assert lines[3] == "Bring the files back as they were; a new one is prepped with: stemwright prep SONG"
    with pytest.raises(SongError, match=r"\n  gone\.wav: missing\n"):
        gone.check(["gone.wav"])
    with pytest.raises(SongError):  # and again: what was wrong is not remembered as right
        _ = found["a.wav"]
    found.check(["b.wav"])


@pytest.mark.parametrize("fails", [False, True])
@pytest.mark.parametrize("size", [0, 5, (1 << 20) + 7])
def test_a_copy_is_the_same_bytes_by_the_fast_way_and_the_plain_one(tmp_path, monkeypatch, size, fails):
    content = bytes(range(256)) * (size // 256 + 1)
    (tmp_path / "a.wav").write_bytes(content[:size])

    def half_way(_source, target, _left):
        os.write(target, b"half")
        raise OSError(18, "Invalid cross-device link")

    if fails:
        monkeypatch.setattr("os.copy_file_range", half_way)
    copy_file(tmp_path / "a.wav", tmp_path / "b.wav")
    assert (tmp_path / "b.wav").read_bytes() == content[:size]


def test_a_copy_by_small_pieces_and_one_that_ends_early_do_not_hang(tmp_path, monkeypatch):
    (tmp_path / "a.wav").write_bytes(b"0123456789")
    pieces = os.copy_file_range
    monkeypatch.setattr("os.copy_file_range", lambda source, target, left: pieces(source, target, min(left, 3)))
    copy_file(tmp_path / "a.wav", tmp_path / "b.wav")
    assert (tmp_path / "b.wav").read_bytes() == b"0123456789"
    monkeypatch.setattr("os.copy_file_range", lambda *_: 0)  # a file that was cut short meanwhile
    copy_file(tmp_path / "a.wav", tmp_path / "c.wav")
    assert (tmp_path / "c.wav").read_bytes() == b""
