"""A file taken over is the same bytes in a file of its own, whatever the system can do."""

from __future__ import annotations

import hashlib
import os
import sys
from dataclasses import replace

import pytest

from stemwright.passes.entry import Entry, Output
from stemwright.passes.taking import take_file, take_over, who_has
from stemwright.plan.items import PlanItem, PlannedMove


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


def entry(moves, *, path="a.wav", written=True):
    item = PlanItem(
        stem="a.wav",
        input=None,
        role=None,
        recipe=None,
        matched_by="",
        status="prepped",
        why="",
        moves=moves,
        deliver_as=None,
    )
    output = Output(
        path=path, container="WAV", subtype="PCM_24", sha256=hashlib.sha256(b"sound").hexdigest(), samples_sha256=None
    )
    return Entry(item=item, output=output if written else None)


GAIN = PlannedMove(kind="gain", name="level", why="the recipe's", settings={"gain_db": -3.0})


def test_who_has_a_stem_are_the_passes_in_which_it_was_the_same_sound(tmp_path):
    before = [
        (tmp_path / "3", "pass-03", {"a.wav": entry((GAIN,), written=False)}),
        (tmp_path / "2", "pass-02", {"a.wav": entry((replace(GAIN, why="a note's"),))}),  # why it is there is no sound
        (tmp_path / "1", "pass-01", {"a.wav": entry((replace(GAIN, settings={"gain_db": -2.0}),))}),
        (tmp_path / "0", "pass-00", {}),
    ]
    assert [(folder.name, name) for folder, name, _ in who_has(entry((GAIN,)).item, before)] == [("2", "pass-02")]


@pytest.mark.parametrize("there", ["in the second", "in both", "nowhere", "damaged"])
def test_a_file_is_brought_over_from_the_first_pass_that_has_it_as_its_manifest_says(tmp_path, there):
    building = tmp_path / "building" / "stems"
    building.mkdir(parents=True)
    old, older = entry((GAIN,), path="sub/a.wav"), []
    for name, content in (("pass-02", b"sound" if there == "in both" else b"damaged"), ("pass-01", b"sound")):
        folder = tmp_path / name / "stems"
        (folder / "sub").mkdir(parents=True)
        if there != "nowhere":
            (folder / "sub" / "a.wav").write_bytes(b"damaged" if there == "damaged" else content)
        older.append((folder, name, old))
    now = replace(old.item, why="asked for again")
    found = take_over(now, older, building)
    if there in ("nowhere", "damaged"):
        assert found is None
        assert not any(building.iterdir())
    else:
        assert found == replace(old, item=now, taken_from="pass-02" if there == "in both" else "pass-01")
        assert (building / "sub" / "a.wav").read_bytes() == b"sound"
    assert [path.name for path in building.parent.iterdir()] == ["stems"]
    assert take_over(now, [(tmp_path, "pass-09", replace(old, output=None))], building) is None
