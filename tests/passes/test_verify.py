"""Verify finds every way a pass or its stems can differ from the manifest."""

from __future__ import annotations

import hashlib
import json

import pytest

from stemwright.errors import ManifestError
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.song import open_song
from stemwright.passes.verify import verify


@pytest.fixture
def song(make_song, make_pass):
    folder = make_song({"kick.wav": None, "sub/hats.wav": None})
    make_pass(folder)
    return folder


def verdicts(folder, executor):
    result = verify(open_song(folder), "pass-01", executor)
    return result, {one.file: one.verdict for one in (*result.outputs, *result.received)}


def test_an_untouched_pass_is_good(song, executor):
    result, found = verdicts(song, executor)
    assert result.good
    assert found == {"kick.wav": "identical", "sub/hats.wav": "identical"}


def test_a_changed_a_missing_and_a_strange_file_are_told_apart(song, executor):
    stems = song / "passes/pass-01/stems"
    with (stems / "kick.wav").open("r+b") as file:
        file.seek(5000)
        file.write(b"\x01")
    (stems / "sub/hats.wav").unlink()
    (stems / "mine.txt").write_text("?")
    result, _ = verdicts(song, executor)
    assert not result.good
    assert {one.file: one.verdict for one in result.outputs} == {
        "kick.wav": "changed",
        "sub/hats.wav": "missing",
        "mine.txt": "not of this pass",
    }


def test_what_is_said_of_each_file(song, executor):
    stems = song / "passes/pass-01/stems"
    was = read_manifest(song / "passes/pass-01").entries["kick.wav"].sha256
    (stems / "kick.wav").write_bytes(b"other")
    (stems / "sub/hats.wav").unlink()
    now = hashlib.sha256(b"other").hexdigest()
    result, _ = verdicts(song, executor)
    assert [(one.file, one.detail) for one in result.outputs] == [
        ("kick.wav", f"sha256 is {now[:12]}…, the manifest has {was[:12]}…"), ("sub/hats.wav", "No such file or directory"),
    ]  # fmt: skip
    assert result.as_json()["good"] is False


def test_a_stem_without_a_file_is_unwritten_and_no_fault(make_song, make_pass, executor):
    folder = make_song({"kick.wav": None, "click.wav": None}, "stems: {click: {skip: for the drummer}}\n", folder="other")
    make_pass(folder)
    result = verify(open_song(folder), "pass-01", executor)
    assert [(one.file, one.verdict, one.detail) for one in result.outputs][1:] == [
        ("click.wav", "unwritten", "skipped: for the drummer")
    ]
    assert result.good


def test_a_stem_that_was_replaced_since_is_named(song, executor):
    (song / "kick.wav").write_bytes((song / "sub/hats.wav").read_bytes())
    result, _ = verdicts(song, executor)
    assert {one.file: one.verdict for one in result.received} == {"kick.wav": "changed", "sub/hats.wav": "identical"}


def test_an_edited_plan_is_noticed(song, executor):
    path = song / "passes/pass-01/manifest.json"
    data = json.loads(path.read_text())
    data["stems"][0]["moves"][0]["freq_hz"] += 1
    path.write_text(json.dumps(data))
    result, _ = verdicts(song, executor)
    assert not result.plan_intact
    assert not result.good


@pytest.mark.parametrize(
    ("mend", "message"),
    [
        (lambda text: text[:500], r"pass-01/manifest\.json: not readable as JSON \(.*\); it was cut short or edited"),
        (lambda text: text.replace('"manifest": 2', '"manifest": 3'), "written by a newer stemwright \\(manifest 3"),
        (lambda text: text.replace('"path": "kick.wav"', '"path": "../../kick.wav"'), "edited or damaged"),
        (lambda text: text.replace('"path": "kick.wav"', '"path": "/etc/passwd"'), "edited or damaged"),
        (lambda _: "[]", "top level: .*; it was edited or damaged"),
        (lambda _: "[" * 100_000, "not readable as JSON"),
    ],
)
def test_a_damaged_manifest_is_a_clear_error(song, mend, message):
    path = song / "passes/pass-01/manifest.json"
    path.write_text(mend(path.read_text()))
    with pytest.raises(ManifestError, match=message):
        read_manifest(path.parent)
