"""Folders of recipes that a song was prepped with are not forgotten without a word."""

from __future__ import annotations

import sys

import pytest
from click.testing import CliRunner

from stemwright.cli import app, main
from stemwright.errors import SongError

OURS = "recipe: hats\nversion: 7\nbased_on: hats\ndrop: [air]\n"


@pytest.fixture
def ours(tmp_path):
    folder = tmp_path / "ours"
    folder.mkdir()
    (folder / "hats.yaml").write_text(OURS)
    return folder


def test_the_manifest_says_where_each_recipe_came_from(make_song, make_pass, ours):
    made = make_pass(make_song({"hats.wav": None, "pad.wav": None}), recipe_dirs=[ours])
    came_from = {(each["name"], each["version"]): each["came_from"] for each in made.manifest.as_json()["recipes"]}
    assert came_from["hats", 7] == "../ours"
    assert came_from["pad", 2] == "house"


def test_a_folder_left_out_stops_the_next_pass_with_the_ways_on(make_song, make_pass, ours):
    song = make_song({"hats.wav": None})
    make_pass(song, recipe_dirs=[ours])
    with pytest.raises(
        SongError, match=r"pass-01 used recipes from a folder .*:\n  \.\./ours: hats version 7\nGive it again"
    ):
        make_pass(song)
    assert main(["prep", str(song), "--no-page"]) == 2
    assert main(["prep", str(song), "--no-page", "--as-before"]) == 0
    assert main(["prep", str(song), "--no-page", "--other-recipes"]) == 0


def test_in_a_terminal_it_is_asked_and_no_means_no(make_song, make_pass, ours, monkeypatch):
    song = make_song({"hats.wav": None})
    make_pass(song, recipe_dirs=[ours])
    monkeypatch.setattr(sys.modules["stemwright.cli.prep"], "in_terminal", lambda: True)
    result = CliRunner().invoke(app, ["prep", str(song), "--no-page"], input="n\n")
    assert isinstance(result.exception, SongError)
    assert [path.name for path in (song / "passes").iterdir() if not path.name.startswith(".")] == ["pass-01"]


def test_a_folder_in_the_sheet_is_never_forgotten_and_may_change(make_song, make_pass, ours):
    song = make_song({"hats.wav": None}, "recipes: [../ours]\n")
    make_pass(song)
    (ours / "hats.yaml").write_text(OURS.replace("7", "8").replace("air", "roll-off"))
    came_from = {
        (each["name"], each["version"]): each["came_from"] for each in make_pass(song).manifest.as_json()["recipes"]
    }
    assert came_from["hats", 8] == "../ours"


def test_recipes_words_and_notes_search_the_folders_of_a_songs_sheet(make_song, make_pass, make_note, ours, capsys):
    word = "words: {swoosh: {why: a test's, means: [{moves: [{high_shelf: {freq: 9 kHz, gain: +2 dB}}]}]}}\n"
    (ours / "words").mkdir()
    (ours / "words" / "swoosh.yaml").write_text(word)
    song = make_song({"hats.wav": None}, "recipes: [../ours]\n")
    assert main(["recipes", "show", "hats", "--song", str(song)]) == 0
    assert capsys.readouterr().out.startswith("hats, version 7:")
    assert main(["words", "explain", "swoosh", "--song", str(song)]) == 0
    make_pass(song)
    _, answered = make_note(song, "more swoosh on the hats")
    assert answered.rendered == ("hats.wav",)
