"""A song on disk: what is a stem, what is a pass, and how passes appear."""

from __future__ import annotations

import os

import pytest

from stemwright.errors import SongError
from stemwright.passes import song as songs
from stemwright.passes.lock import LOCK_NAME
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


def test_a_folder_of_ten_thousand_audio_files_is_a_song_and_of_more_is_none(make_song, monkeypatch):
    folder = make_song({"kick.wav": None})
    monkeypatch.setattr(songs, "_why_not_a_stem", lambda *_: None)
    monkeypatch.setattr(os, "walk", lambda root, **_: [(str(root), [], [f"{number}.wav" for number in range(10_000)])])
    assert len(open_song(folder).stems) == 10_000
    monkeypatch.setattr(os, "walk", lambda root, **_: [(str(root), [], [f"{number}.wav" for number in range(10_001)])])
    with pytest.raises(SongError, match=r"^song: more than 10000 audio files; give the folder of one song$"):
        open_song(folder)


@pytest.mark.parametrize(("length", "shown"), [(40, "x" * 40), (41, "x" * 40 + "…")])
def test_what_was_asked_for_is_shown_up_to_forty_characters(make_song, length, shown):
    song = open_song(make_song({"kick.wav": None}))
    (song.passes_dir / "pass-01").mkdir(parents=True)
    (song.passes_dir / "pass-01" / "manifest.json").write_text("{}")
    with pytest.raises(SongError, match=f"^song: no pass '{shown}'; there are: pass-01$"):
        song.find_pass("x" * length)


# Forty digits are a number, and that of no pass; more are none, and Python would not read thousands of them.
@pytest.mark.parametrize(
    ("asked", "number"), [("7", True), ("0" * 40, True), ("0" * 41, False), ("1a", False), ("-1", False)]
)
def test_a_pass_is_asked_for_by_a_number_of_so_many_digits(asked, number):
    assert songs.is_number(asked) == number


def test_what_is_built_aside_is_looked_for_in_every_place_where_runs_build(make_song):
    song = open_song(make_song({"kick.wav": None}))
    for name in ("pass-01", "pass-02"):
        (song.passes_dir / name).mkdir(parents=True)
        (song.passes_dir / name / "manifest.json").write_text("{}")
    below = {path.relative_to(song.folder).as_posix() for path in song.leftover_places()}
    assert below == {".", "words", "passes", "passes/packs", "passes/sums", "passes/pass-01", "passes/pass-02"}


def test_the_next_name_is_after_the_highest_whether_it_is_complete_or_not(make_song):
    song = open_song(make_song({"kick.wav": None}))
    assert songs.next_name(song) == "pass-01"
    for name in ("pass-07", "pass-9x", "other", "pass-1"):
        (song.passes_dir / name).mkdir(parents=True)
    assert songs.next_name(song) == "pass-08"
    (song.passes_dir / "pass-99").mkdir()
    assert songs.next_name(song) == "pass-100"


def test_a_folder_of_passes_with_something_else_in_it_stays(make_song):
    song = open_song(make_song({"kick.wav": None}))
    song.passes_dir.mkdir()
    (song.passes_dir / "mine.txt").write_text("x")
    with new_pass(song):
        pass
    assert [path.name for path in song.passes_dir.iterdir()] == ["mine.txt"]
    (song.passes_dir / "mine.txt").unlink()
    (song.passes_dir / LOCK_NAME).touch()
    with new_pass(song):
        pass
    assert not song.passes_dir.exists()


def test_a_rename_that_fails_for_another_reason_is_an_error(make_song):
    song = open_song(make_song({"kick.wav": None}))
    with new_pass(song) as building, pytest.raises(FileNotFoundError):
        settle(song, building / "gone", "pass-01")


@pytest.mark.parametrize("name", ["passes", "session.yaml", "recipes", "words"])
def test_a_part_of_a_song_that_leads_out_of_it_is_refused(make_song, tmp_path, name):
    folder = make_song({"kick.wav": None})
    (tmp_path / "elsewhere").mkdir()
    (folder / name).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(SongError, match=rf"^song/{name}: .*; move it away, or put there what it leads to$"):
        open_song(folder)


def test_a_link_inside_a_part_of_a_song_is_refused_and_a_file_for_the_passes_too(make_song, tmp_path):
    folder = make_song({"kick.wav": None})
    (folder / "recipes").mkdir()
    (folder / "recipes" / "a.yaml").symlink_to(tmp_path / "nowhere")
    with pytest.raises(SongError, match=r"^song/recipes/a.yaml: .*; move it away"):
        open_song(folder)
    (folder / "recipes" / "a.yaml").unlink()
    (folder / "passes").write_text("x")
    with pytest.raises(SongError) as caught:
        open_song(folder)
    assert str(caught.value) == "song/passes: a file, and the folder of the passes has this name; move it away"
