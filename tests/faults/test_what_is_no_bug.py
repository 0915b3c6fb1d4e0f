"""What the machine or a name refuses is said plainly, with the exit code that fits: 3 is for our bugs alone."""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
import tempfile

import numpy as np
import pytest

from stemwright.cli import main
from stemwright.passes import look as looking
from stemwright.passes.song import open_song
from stemwright.plan import resolve
from stemwright.report import page


def run(*arguments, **options):
    command = [sys.executable, "-m", "stemwright", *map(str, arguments)]
    return subprocess.run(command, check=False, **{"stderr": subprocess.PIPE, "text": True, **options})


def test_a_full_output_is_said_and_is_no_bug():
    with open("/dev/full", "w") as full:  # noqa: PTH123 - a device
        result = run("recipes", "list", stdout=full)
    assert result.returncode == 1
    assert result.stderr.startswith("stemwright: the output could not be written (No space left on device)")
    assert len(result.stderr.splitlines()) == 1


def test_a_closed_output_is_no_bug():
    command = [sys.executable, "-m", "stemwright", "recipes", "list"]
    result = subprocess.run(["sh", "-c", '"$@" >&-', "sh", *command], check=False, capture_output=True, text=True)
    assert (result.returncode, result.stderr) == (0, "")


def test_a_terminal_that_knows_only_ascii_gets_the_rest_escaped(make_song):
    song = make_song({"k\u00f6nig kick.wav": None})
    result = run("look", song, stdout=subprocess.PIPE, env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert (result.returncode, result.stderr) == (0, "")
    assert "k\\xf6nig kick.wav" in result.stdout


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (OSError(errno.ENOSPC, "no space", "SONG/x"), 2),
        (PermissionError(errno.EACCES, "denied", "/elsewhere"), 2),
        (FileNotFoundError(errno.ENOENT, "gone", "SONG/passes/pass-01"), 2),
        (FileNotFoundError(errno.ENOENT, "gone", "/elsewhere/ours"), 3),  # nobody named it: we made that name up
        (FileExistsError(errno.EEXIST, "there"), 3),
        (OSError(errno.EINVAL, "invalid", "SONG/x"), 3),
        (OSError(errno.EBADF, "bad handle", "SONG/x"), 3),
        (OSError("no number at all"), 3),
    ],
    ids=str,
)
def test_an_error_of_the_system_is_a_bug_unless_the_world_has_a_hand_in_it(
    make_song, monkeypatch, capsys, tmp_path, error, code
):
    song = make_song({"kick.wav": None})
    if error.filename:
        error.filename = error.filename.replace("SONG", str(song))

    def fails(*_, **__):
        raise error

    monkeypatch.setattr(looking, "look", fails)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))  # where the log goes
    assert main(["prep", str(song)]) == code
    assert ("a bug of ours" in capsys.readouterr().err) == (code == 3)


def test_too_little_memory_is_no_bug(make_song, monkeypatch, capsys):
    def full(*_, **__):
        raise MemoryError

    monkeypatch.setattr(looking, "look", full)
    assert main(["prep", str(make_song({"kick.wav": None}))]) == 2
    assert capsys.readouterr().err.startswith("stemwright: too little memory; ")


@pytest.mark.parametrize("command", ["recall", "report", "verify", "pack"])
def test_a_pass_number_of_5000_digits_is_no_pass(make_song, make_pass, capsys, command):
    song = make_song({"kick.wav": None})
    make_pass(song)
    assert main([command, str(song), "9" * 5000]) == 2
    assert capsys.readouterr().err == f"stemwright: song: no pass '{'9' * 40}…'; there are: pass-01\n"


def test_passes_that_are_no_folder_of_the_song_are_refused(make_song, tmp_path, capsys):
    song = make_song({"kick.wav": None})
    passes = song / "passes"
    for make, what in (
        (passes.touch, "a file, and the folder of the passes has this name"),
        (lambda: passes.symlink_to(tmp_path / "gone"), "a link that leads nowhere"),
    ):
        make()
        assert main(["prep", str(song)]) == 2
        assert capsys.readouterr().err == f"stemwright: song/passes: {what}; move it away\n"
        passes.unlink()


@pytest.mark.parametrize(
    "inside",
    ["passes", "passes/pass-01", "passes/kept.json", "passes/pass-01/manifest.json", "passes/pass-01/stems",
     "passes/pass-01/stems/kick.wav", "passes/sums", "session.yaml", "recipes", "recipes/own.yaml", "words", "words/ann.yaml"],
)  # fmt: skip
def test_nothing_of_a_song_is_trusted_or_written_through_a_link_that_leads_out_of_it(
    make_song, make_pass, tmp_path, capsys, inside
):
    song = make_song({"kick.wav": None})
    make_pass(song)
    path, outside = song / inside, tmp_path / "outside"
    if path.exists():
        path.rename(outside)
    elif path.suffix:
        outside.touch()
    else:
        outside.mkdir()
    path.parent.mkdir(exist_ok=True)
    path.symlink_to(outside)
    before = sorted(tmp_path.rglob("*"))
    for command in ("prep", "verify", "keep", "sum"):
        assert main([command, str(song)]) == 2
        said = capsys.readouterr().err
        assert "a link that leads out of the song's folder" in said
        assert inside.removeprefix("passes/") in said
    assert sorted(tmp_path.rglob("*")) == before


def test_a_link_that_stays_in_the_song_is_as_good_as_what_it_leads_to(make_song, make_pass):
    song = make_song({"kick.wav": None})
    make_pass(song)
    (song / "passes/pass-01").rename(song / "passes/elsewhere")
    (song / "passes/pass-01").symlink_to("elsewhere")
    assert main(["verify", str(song)]) == 0


def test_a_page_that_fails_leaves_the_pass_and_says_so(make_song, monkeypatch, capsys):
    def full(*_, **__):
        raise MemoryError

    monkeypatch.setattr(page, "render_page", full)
    song = make_song({"kick.wav": None})
    assert main(["prep", str(song)]) == 0
    assert "the pass is whole, the page is not: too little memory; try again with: stemwright report SONG" in (
        capsys.readouterr().err
    )
    assert open_song(song).passes() == ["pass-01"]


def test_control_and_direction_characters_are_shown_escaped_on_the_page(make_song):
    song = make_song({"kick.wav": None})
    (song / "kick.wav").rename(song / "\u202egnp\x07kick.wav")
    assert main(["prep", str(song)]) == 1  # the name is a finding
    text = (song / "passes/pass-01/report.html").read_text(encoding="utf-8")
    assert "\\u202egnp\\x07kick.wav" in text
    assert not {"\u202e", "\x07"} & set(text)


def test_another_numpy_makes_no_new_pass(make_song, make_pass, monkeypatch):
    song = make_song({"HiHat.wav": None, "kick.wav": None})
    make_pass(song)
    design = resolve.design
    monkeypatch.setattr(resolve, "design", lambda *asked: np.nextafter(design(*asked), np.inf))
    assert make_pass(song).name is None


def test_sections_that_somebody_edited_are_not_taken(make_song, make_pass):
    song = make_song({"HiHat.wav": None})
    first = make_pass(song)
    path = song / "passes/pass-01/manifest.json"
    data = json.loads(path.read_text())
    data["stems"][0]["moves"][0]["sections"] = [[0.5, 0.0, 0.0, 1.0, 0.0, 0.0]]
    path.write_text(json.dumps(data))
    second = make_pass(song)
    assert second.manifest.entries["HiHat.wav"].as_json()["moves"] == first.manifest.entries["HiHat.wav"].as_json()["moves"]


def test_a_plan_does_not_depend_on_the_seed_of_hashes(make_song):
    # Four phrases of one length claim the stem: which of them is told must not be left to chance.
    song = make_song({"dd bb aa cc.wav": None})
    (song / "recipes").mkdir()
    (song / "recipes/two.yaml").write_text("recipe: two\nabout: a\nstems: {names: [aa, bb, cc, dd]}\nmoves: []\n")
    plans = set()
    for seed in range(4):
        env = {**os.environ, "PYTHONHASHSEED": str(seed)}
        plans.add(run("prep", song, "--plan", "--json", stdout=subprocess.PIPE, env=env).stdout)
    assert len(plans) == 1
    assert '"recipe": "two"' in plans.pop()


def test_recipes_check_takes_a_file(tmp_path, capsys):
    path = tmp_path / "odd.yaml"
    path.write_text("recipe: odd\nabout: a\nstems: {names: [odd]}\nmoves: [bel: 3]\n")
    (tmp_path / "worse.yaml").write_text("nothing: at all\n")
    assert main(["recipes", "check", str(path)]) == 2
    told = capsys.readouterr().err
    assert "odd.yaml:4:9: moves[1].bel: unknown key (bel); did you mean bell?" in told
    assert "worse.yaml" not in told
    assert main(["recipes", "check", str(tmp_path / "gone.yaml")]) == 2
    assert "gone.yaml: there is no such folder" in capsys.readouterr().err
