"""A song on disk: what is a stem, what is a pass, and how passes appear."""

from __future__ import annotations

import os

import pytest

from stemwright.errors import SongError
from stemwright.passes.song import new_pass, next_name, open_song, settle


def test_hidden_files_resource_forks_passes_and_other_files_are_no_stems(make_song):
    song = make_song({"kick.wav": None, "drums/hat.wav": None, ".hidden.wav": None, "._kick.wav": None})
    (song / "passes/pass-01/stems").mkdir(parents=True)
    (song / "passes/pass-01/stems/kick.wav").write_bytes(b"x")
    (song / "notes.txt").write_text("x")
    assert open_song(song).stems == ("drums/hat.wav", "kick.wav")


def test_a_stems_folder_is_taken_before_the_songs_own(make_song):
    song = make_song({"stems/kick.wav": None, "rough mix.wav": None})
    opened = open_song(song)
    assert opened.stems == ("kick.wav",)
    assert opened.source_label("kick.wav") == "stems/kick.wav"


@pytest.mark.parametrize("kind", ["missing", "file", "empty"])
def test_a_song_that_is_none_is_a_clear_error(tmp_path, kind):
    path = tmp_path / "song"
    if kind == "file":
        path.write_text("x")
    if kind == "empty":
        path.mkdir()
    messages = {
        "missing": "there is no such folder; give the folder that holds the stems$",
        "file": "this is a file; a song is the folder that holds the stems, so give ",
        "empty": "^song: no audio in this folder; stems are files that end in .aif .aifc .aiff .au .bw64 ",
    }
    with pytest.raises(SongError, match=messages[kind]):
        open_song(path)


def test_odd_things_that_end_like_audio_are_findings_and_never_a_hang(make_song, tmp_path):
    song = make_song({"kick.wav": None})
    (song / "folder.wav").mkdir()
    os.mkfifo(song / "pipe.wav")
    (tmp_path / "outside.wav").write_bytes(b"x")
    (song / "link.wav").symlink_to(tmp_path / "outside.wav")
    (song / "dead.wav").symlink_to(song / "nowhere.wav")
    opened = open_song(song)
    assert opened.stems == ("kick.wav",)
    assert {finding.stem: finding.measured.split("but it is ")[1] for finding in opened.findings} == {
        "folder.wav": "a folder, not a file",
        "pipe.wav": "not a regular file",
        "link.wav": "a link that leads out of the song's folder",
        "dead.wav": "a link that leads nowhere",
    }


def test_a_link_to_a_folder_is_not_followed(make_song):
    song = make_song({"kick.wav": None})
    (song / "round").symlink_to(song)
    assert open_song(song).stems == ("kick.wav",)


def test_a_pass_appears_whole_or_not_at_all(make_song):
    song = open_song(make_song({"kick.wav": None}))
    with pytest.raises(ZeroDivisionError), new_pass(song) as building:
        (building / "stems").mkdir()
        raise ZeroDivisionError
    assert not song.passes_dir.exists()


def test_two_runs_never_take_one_name(make_song):
    song = open_song(make_song({"kick.wav": None}))
    with new_pass(song) as first, new_pass(song) as second:
        for building in (first, second):
            (building / "manifest.json").write_text("{}")
        assert settle(song, first, "pass-01")
        assert not settle(song, second, "pass-01")
        assert next_name(song) == "pass-02"
        assert settle(song, second, "pass-02")
    assert song.passes() == ["pass-01", "pass-02"]


@pytest.mark.parametrize("asked", ["pass-02", "2", "02"])
def test_a_pass_is_found_by_name_or_number(make_song, asked):
    song = open_song(make_song({"kick.wav": None}))
    for name in ("pass-01", "pass-02", "pass-10"):
        (song.passes_dir / name).mkdir(parents=True)
        (song.passes_dir / name / "manifest.json").write_text("{}")
    assert song.find_pass(asked) == "pass-02"
    assert song.find_pass(None) == "pass-10"
    with pytest.raises(SongError, match=r"^song: no pass '7'; there are: pass-01, pass-02, pass-10$"):
        song.find_pass("7")


@pytest.mark.parametrize("below", ["passes", "passes/pass-01", "passes/pass-01/stems"])
def test_a_pass_is_no_song_and_nothing_is_made_in_one(make_song, make_pass, below):
    song = make_song({"kick.wav": None})
    make_pass(song)
    with pytest.raises(SongError, match=f"among the passes of {song.name}, and nothing is made there; give {song}$"):
        open_song(song / below)


def test_a_folder_that_is_only_called_passes_may_be_a_song(make_song, tmp_path):
    song = make_song({"kick.wav": None})
    song.rename(tmp_path / "passes")
    assert open_song(tmp_path / "passes").stems == ("kick.wav",)
