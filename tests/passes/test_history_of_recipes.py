"""Recipes between two passes: which moved, which are out of reach, which come first; and passes of one number."""

from __future__ import annotations

import json
from types import SimpleNamespace

import pytest

from stemwright.errors import ManifestError, SongError
from stemwright.passes.history import (
    PassSummary,
    forgotten,
    history,
    notes_so_far,
    read_pass,
    recipes_moved,
    recorded_layers,
)
from stemwright.passes.song import open_song
from stemwright.recipes.recipe import Source


def source(name, version=1, sha256="a", text="", came_from=None):
    return Source(name, version, sha256, text, came_from)


def last(*recipes):
    return SimpleNamespace(name="pass-03", recipes=recipes)


@pytest.mark.parametrize(
    ("before", "now", "lines"),
    [
        ([source("kick")], [source("kick")], []),
        ([source("kick")], [source("snare", sha256="b")], []),
        ([source("kick")], [source("kick", 2, "b")], ["kick: version 1 -> 2"]),
        ([source("kick")], [source("kick", 1, "b")], ["kick: changed, and still called version 1"]),
        ([source("kick", 1, "a"), source("kick", 2, "b")], [source("kick", 3, "c")], ["kick: version 1, 2 -> 3"]),
        (
            [source("kick", 2, "b"), source("kick", 1, "a")],
            [source("kick", 2, "c")],
            ["kick: changed, and still called version 2"],
        ),
        ([source("kick", 1, "a"), source("kick", 2, "b")], [source("kick", 2, "b")], []),
        (
            [source("snare"), source("kick")],
            [source("snare", 2, "s"), source("kick", 2, "k"), source("kick", 2, "k")],
            ["kick: version 1 -> 2", "snare: version 1 -> 2"],
        ),
    ],
)
def test_which_recipes_moved(before, now, lines):
    assert recipes_moved(last(*before), now) == lines


def test_recipes_of_folders_that_are_not_searched_now_are_named_with_the_ways_on():
    recipes = (
        source("kick", 3, "a", came_from="house"),
        source("snare", 2, "b", came_from="song"),
        source("hats", 1, "c", came_from="../ours"),
        source("toms", 4, "d", came_from="../ours"),
        source("keys", 1, "e", came_from="../theirs"),
        source("bass", 1, "f"),
    )
    assert forgotten(last(*recipes), {"d"}, {"../theirs"}) == (
        "pass-03 used recipes from a folder that is not searched now:\n  ../ours: hats version 1\n"
        "Give it again with --recipes, write recipes: [FOLDER] in session.yaml, prep --as-before, or go on without them on "
        "purpose: prep --other-recipes"
    )
    assert "  ../ours: hats version 1, toms version 4\n" in forgotten(last(*recipes), set(), {"../theirs"})
    assert forgotten(last(*recipes), {"c", "d"}, {"../theirs"}) == forgotten(None, set(), set()) == ""


@pytest.mark.parametrize(
    ("text", "own"),
    [
        ("recipe: kick\nbased_on: kick\n", True),
        ("recipe: kick\nbased_on: 'kick'  # the house's\n", True),
        ("recipe: kick\nbased_on: snare\n", False),
        ("recipe: kick\n", False),
    ],
)
def test_a_recipe_on_its_own_name_comes_before_that_parent(text, own):
    child, parent = source("kick", 2, "b", text), source("kick", 1, "a", "recipe: kick\n")
    assert recorded_layers(last(child, parent)) == ([[child], [parent]] if own else [[], [child, parent]])
    assert recorded_layers(last(child)) == [[], [child]]


@pytest.fixture
def song(make_song, make_pass):
    folder = make_song({"kick.wav": None})
    make_pass(folder)
    return folder


@pytest.mark.parametrize("asked", [None, "1", "01"])
def test_two_passes_of_one_number_are_refused_unless_one_is_named(song, asked):
    (song / "passes/pass-001").mkdir()
    with pytest.raises(SongError) as caught:
        read_pass(open_song(song), asked)
    assert str(caught.value) == "song: two passes have this number: pass-001, pass-01; rename one, with the name in it"
    assert read_pass(open_song(song), "pass-01").name == "pass-01"


def test_half_a_pass_is_said_to_be_one(song):
    (song / "passes/pass-02").mkdir()
    assert read_pass(open_song(song), None).name == "pass-01"
    with pytest.raises(SongError) as caught:
        read_pass(open_song(song), "2")
    assert str(caught.value) == (
        "song: pass-02 is only half there (no manifest.json); bring it back from a backup; complete are: pass-01"
    )


def test_a_pass_that_cannot_be_read_is_its_problem_and_nothing_else(song):
    (song / "passes/pass-01/manifest.json").write_text("{}", encoding="utf-8")
    (broken,) = history(open_song(song))
    assert broken.problem.startswith("pass-01/manifest.json: ")
    assert broken == PassSummary(name="pass-01", problem=broken.problem)
    assert broken.as_json() == {
        "name": "pass-01", "kind": "", "text": None, "by": None, "came_from": None, "made_at": "", "changed": [],
        "taken_over": 0, "problem": broken.problem,
    }  # fmt: skip


def test_a_pass_whose_plan_was_edited_is_no_ground_to_build_on_but_can_be_looked_at(song):
    path = song / "passes/pass-01/manifest.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    data["stems"][0]["why"] = "because I say so"
    path.write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(ManifestError) as caught:
        read_pass(open_song(song), "1")
    assert str(caught.value) == (
        "pass-01/manifest.json: its plan is not the one this pass was made from: it was edited; bring it back from a backup, "
        "or start from another pass: stemwright recall SONG PASS"
    )
    assert not read_pass(open_song(song), "1", intact=False).plan_intact


def test_a_folder_that_was_renamed_is_told_its_name(song):
    (song / "passes/pass-01").rename(song / "passes/pass-05")
    with pytest.raises(
        ManifestError, match=r"^pass-05/manifest\.json: says it is pass-01; .*give the folder the name pass-01"
    ):
        read_pass(open_song(song), None)


def test_a_name_that_is_no_pass_is_just_not_there(song):
    (song / "passes/pass-1").mkdir()  # one digit: no pass of ours
    for asked in ("pass-", "mine", "pass-" + "1" * 50):
        with pytest.raises(SongError, match=r"^song: no pass '.*'; there are: pass-01$"):
            read_pass(open_song(song), asked)
    with pytest.raises(SongError, match=r"^song: no passes yet; make the first one with: stemwright prep SONG$"):
        (song / "passes/pass-01/manifest.json").unlink()
        (song / "passes/pass-01/stems/kick.wav").unlink()
        (song / "passes/pass-01/stems").rmdir()
        (song / "passes/pass-01").rmdir()
        read_pass(open_song(song), None)


def test_passes_that_came_of_notes_are_counted(song, make_note):
    assert notes_so_far(open_song(song)) == 0
    make_note(song, "kick: 2 dB louder")
    assert notes_so_far(open_song(song)) == 1
    (song / "passes/pass-02/manifest.json").write_text("[", encoding="utf-8")
    assert notes_so_far(open_song(song)) == 0
