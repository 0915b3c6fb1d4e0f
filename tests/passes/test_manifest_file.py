"""The manifest as a file: in order, without numbers that are none, cut where it is long, and read with suspicion."""

from __future__ import annotations

import json
import os

import pytest

from stemwright.errors import ManifestError
from stemwright.passes import manifest_file
from stemwright.passes.manifest_file import (
    _foreign_path,
    _short,
    made_because,
    plan_hash,
    problem_of,
    read_manifest,
    write_manifest,
)


def test_it_is_written_in_order_and_ends_with_a_line(tmp_path):
    write_manifest(tmp_path, {"b": 1.5, "a": {"d": None, "c": "é"}})
    assert (tmp_path / "manifest.json").read_text(encoding="utf-8") == (
        '{\n "a": {\n  "c": "\\u00e9",\n  "d": null\n },\n "b": 1.5\n}\n'
    )


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_is_not_written(tmp_path, value):
    with pytest.raises(ValueError, match="not JSON compliant"):
        write_manifest(tmp_path, {"a": value})


# A reason has 120 characters at most: longer ones are cut at 117 and say so.
@pytest.mark.parametrize(("length", "shown"), [(120, "x" * 120), (121, "x" * 117 + "...")])
def test_a_long_reason_is_cut(length, shown):
    assert _short("x" * length) == shown


@pytest.fixture
def made(make_song, make_pass):
    folder = make_song({"kick.wav": None, "click.wav": None}, "stems: {click: {skip: for the drummer}}\n")
    data = make_pass(folder).manifest.as_json()
    return folder / "passes" / "pass-01", data


def test_a_pass_of_ours_has_no_problem_and_what_is_out_of_shape_is_said_with_its_place(made):
    _, data = made
    assert problem_of(data) is None
    data["stems"][1]["moves"][0]["kind"] = "fuzz"
    assert problem_of(data).startswith("stems[1].moves[0].kind: 'fuzz' is not one of ")
    assert problem_of([]).startswith("top level: ")


# Windows takes a backslash and a drive for a path; elsewhere both are letters of a name.
@pytest.mark.parametrize(
    ("place", "name"),
    [("stem", "a\\b.wav"), ("stem", "c:a.wav"), ("input", "..\\a.wav"), ("deliver_as", "c:a"), ("output", "a\\b")],
)
def test_a_name_that_is_a_path_on_windows_is_refused_there(made, monkeypatch, place, name):
    _, data = made
    kick = next(entry for entry in data["stems"] if entry["stem"] == "kick.wav")
    assert _foreign_path(data) is None
    monkeypatch.setattr(manifest_file.os, "name", "nt")
    assert _foreign_path(data) is None
    if place == "stem":
        kick["stem"] = name
    else:
        kick[place]["path"] = name
    assert _foreign_path(data) == f"{name!r}: a name that is a path here"
    monkeypatch.setattr(manifest_file.os, "name", "posix")
    assert _foreign_path(data) is None


def read(made, change=lambda text: text):
    folder, data = made
    (folder / "manifest.json").write_text(change(json.dumps(data)), encoding="utf-8")
    return read_manifest(folder)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            lambda text: text.replace('"manifest": 2', '"manifest": 3'),
            "written by a newer stemwright (manifest 3, this one reads 2)",
        ),
        (lambda text: text.replace('"manifest": 2', '"manifest": NaN'), "not readable as JSON (NaN is no number)"),
        (lambda text: text.replace('"went_over": false', '"went_over": 1e999'), "not readable as JSON (1e999 is no number)"),
        (
            lambda text: text.replace('"went_over": false', f'"went_over": 1{"0" * 130}.5e999'),
            "...); it was cut short or edited; ",
        ),
        (lambda _: '"text"', "top level: "),
    ],
)
def test_what_cannot_be_a_manifest_is_said(made, change, message):
    assert read(made).plan_intact
    with pytest.raises(ManifestError) as caught:
        read(made, change)
    assert str(caught.value).startswith("pass-01/manifest.json: ")
    assert message in str(caught.value)


def test_a_missing_one_a_pipe_and_a_huge_one_are_told_apart(made, monkeypatch):
    folder, _ = made
    path = folder / "manifest.json"
    monkeypatch.setattr(manifest_file, "LARGEST_BYTES", path.stat().st_size)
    assert read_manifest(folder).plan_intact
    monkeypatch.setattr(manifest_file, "LARGEST_BYTES", path.stat().st_size - 1)
    with pytest.raises(
        ManifestError, match=r"^pass-01/manifest\.json: .*; bring it back from a backup, or remove the pass's folder$"
    ):
        read_manifest(folder)
    monkeypatch.undo()
    os.truncate(path, (64 << 20) + 1)  # 64 MiB are read: ten thousand stems with forty moves each
    with pytest.raises(ManifestError, match=r"^pass-01/manifest\.json: .*; bring it back from a backup") as caught:
        read_manifest(folder)
    assert "not readable as JSON" not in str(caught.value)
    path.unlink()
    with pytest.raises(ManifestError, match=r"^pass-01/manifest\.json: missing, so this is no complete pass; bring it back"):
        read_manifest(folder)
    os.mkfifo(path)
    with pytest.raises(ManifestError, match=r"^pass-01/manifest\.json: .*; bring it back from a backup"):
        read_manifest(folder)
    assert made_because(folder) is None


def test_what_a_pass_came_of_is_read_without_a_check(made):
    folder, _ = made
    assert made_because(folder) == "prep"
    for text in ("{}", "[]", '{"because": []}', "[", "[" * 100_000):
        (folder / "manifest.json").write_text(text, encoding="utf-8")
        assert made_because(folder) is None


def test_a_file_of_a_pass_that_leads_out_of_the_song_is_refused(made, tmp_path):
    folder, _ = made
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "kick.wav").write_bytes(b"x")
    kick = folder / "stems" / "kick.wav"
    kick.unlink()
    kick.symlink_to(tmp_path / "elsewhere" / "kick.wav")
    with pytest.raises(ManifestError, match=r"^pass-01/stems/kick\.wav: .*; put there what it leads to, or bring it back"):
        read_manifest(folder)
    kick.unlink()
    kick.parent.rmdir()
    kick.parent.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(ManifestError, match=r"^pass-01/stems: .*; put there what it leads to"):
        read_manifest(folder)


def test_a_plans_hash_is_of_the_plan_and_of_nothing_else(made):
    _, data = made
    was = plan_hash(data)
    assert was == data["plan_sha256"]
    data["stems"][0]["messages"]["plan"].append("something to say")
    data["stems"][0]["taken_from"] = "pass-00"
    assert plan_hash(data) == was
    assert plan_hash(data, 1) != was  # the first version had the messages in it
    data["stems"][0]["why"] = "another reason"
    assert plan_hash(data) != was
