"""A team's house: a change in the trade's words, what it does to a song, and a house that is gone."""

from __future__ import annotations

import json
import shutil
import subprocess

import pytest

from stemwright.catalogue.house import compare_houses, effect_on
from stemwright.cli import main
from stemwright.errors import RecipeError

KICK = """recipe: kick
version: {version}
about: Ours.
stems: {{names: [kick{more}]}}
moves:
  - bell: {{freq: 3 kHz, gain: {gain} dB, q: 1}}
    name: click
"""


@pytest.fixture
def houses(tmp_path):
    """Two houses: in the second the kick's click is 2 dB louder and takes one more name."""
    for name, version, gain, more in (("a", 1, "+1", ""), ("b", 2, "+3", ", bd")):
        (tmp_path / name).mkdir()
        (tmp_path / name / "kick.yaml").write_text(KICK.format(version=version, gain=gain, more=more))
    return tmp_path / "a", tmp_path / "b"


def test_a_change_is_said_in_the_trades_words(houses):
    assert compare_houses(*houses).recipes == {
        "kick": ("version 1 -> 2", "bell 3 kHz +1 -> +3 dB [click]", "takes bd too"),
    }
    assert compare_houses(houses[0], houses[0]).recipes == {}


def test_what_it_does_to_a_song_is_said_in_db_before_anything_is_rendered(houses, make_song, executor, noise):
    song = make_song({"kick.wav": noise(), "hats.wav": None})
    (effect,) = effect_on(song, *houses, executor)
    assert (effect.stem, effect.lines) == ("kick.wav", ("bell 3 kHz +1 -> +3 dB [click]",))
    assert 0.0 < effect.lufs_db < 2.0  # a bell lifts no more than its gain
    assert not (song / "passes").exists()


def test_the_change_counts_though_the_sheet_names_the_older_house(houses, make_song, executor):
    song = make_song({"kick.wav": None}, "recipes: [../a]\n")
    assert [effect.stem for effect in effect_on(song, *houses, executor)] == ["kick.wav"]
    assert [effect.stem for effect in effect_on(song, *reversed(houses), executor)] == ["kick.wav"]


def test_drift_names_the_songs_that_the_house_has_left_behind(houses, make_song, make_pass, capsys):
    old = make_song({"kick.wav": None, "hats.wav": None}, folder="old")
    new = make_song({"kick.wav": None}, folder="new")
    make_pass(old, recipe_dirs=[houses[0]])
    make_pass(new, recipe_dirs=[houses[1]])
    assert main(["recipes", "drift", str(old), str(new), "--recipes", str(houses[1]), "--json"]) == 1
    told = {line["song"].rsplit("/", 1)[-1]: line for line in map(json.loads, capsys.readouterr().out.splitlines())}
    assert told["old"]["recipes"] == ["kick: version 1 -> 2"]
    assert told["old"]["would_change"] == {"kick.wav": ["bell 3 kHz +1 -> +3 dB [click]"]}
    assert (told["new"]["recipes"], told["new"]["said"]) == ([], "as the house is")
    assert [path.name for path in (old / "passes").iterdir()] == ["pass-01"]
    assert main(["recipes", "drift", str(old), "--recipes", str(houses[1])]) == 1
    assert capsys.readouterr().out.splitlines()[-1] == "    kick.wav: bell 3 kHz +1 -> +3 dB [click]"


def test_a_song_whose_house_is_gone_still_shows_and_recalls_everything(houses, make_song, capsys):
    song = make_song({"kick.wav": None, "hats.wav": None}, "recipes: [../a]\n")
    assert main(["prep", str(song), "--no-page"]) == 0
    assert main(["note", str(song), "kick: more bite", "--no-page"]) == 0
    shutil.rmtree(houses[0])
    for command in (["history"], ["verify"], ["compare", "1", "2"], ["report", "--no-audio"]):
        assert main([command[0], str(song), *command[1:]]) == 0, command
    assert main(["recall", str(song), "1", "--no-page"]) == 0
    first, third = (song / "passes" / name / "stems" / "kick.wav" for name in ("pass-01", "pass-03"))
    assert first.read_bytes() == third.read_bytes()
    capsys.readouterr()
    assert main(["recipes", "show", "kick", "--song", str(song), "--as-before"]) == 0
    assert "bell 3 kHz +1 dB q 1  [click]" in capsys.readouterr().out
    assert main(["prep", str(song), "--no-page"]) == 2
    assert "no such folder (../a)" in capsys.readouterr().err
    assert main(["prep", str(song), "--no-page", "--as-before"]) == 0


@pytest.mark.skipif(shutil.which("git") is None, reason="makes a clone to look at")
def test_a_clone_must_be_at_the_revision_that_the_sheet_has(houses, make_song, make_pass):
    def git(*arguments):
        who = ["-c", "user.name=house", "-c", "user.email=house@example.org", "-c", "commit.gpgsign=false"]
        done = subprocess.run(["git", "-C", str(houses[0]), *who, *arguments], check=True, capture_output=True, text=True)
        return done.stdout.strip()

    git("init", "-q")
    git("add", ".")
    git("commit", "-qm", "ours")
    revision = git("rev-parse", "HEAD")
    sheet = f"recipes:\n  - clone: ../a\n    revision: '{revision[:9]}'\n"
    song = make_song({"kick.wav": None}, sheet)
    assert make_pass(song).name == "pass-01"
    git("pack-refs", "--all")
    assert make_pass(song).name is None
    git("commit", "-qm", "later", "--allow-empty")
    with pytest.raises(
        RecipeError, match=rf"recipes\[1\]: \.\./a is at {git('rev-parse', '--short=9', 'HEAD')}, the song was made"
    ):
        make_pass(song)
    git("checkout", "-q", revision)
    assert make_pass(song).name is None
