"""What a killed run left behind neither stays nor blocks, and what a living one builds is left alone."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading

import numpy as np
import pytest
from scipy.signal import sosfilt

from stemwright.cli import main
from stemwright.dsp.sections import design
from stemwright.errors import SongError
from stemwright.passes import keep as keeping
from stemwright.passes import prep as prepping
from stemwright.passes.history import read_pass
from stemwright.passes.lock import locked
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.song import open_song
from stemwright.stems import leftovers
from stemwright.stems.leftovers import aside_name, sweep


def left_by(pid, start, what="building-"):
    host = aside_name("").split("~")[1]
    return f".{what}~{host}~{pid}~{start}"


def test_the_dead_are_swept_and_the_living_are_not(tmp_path):
    own = aside_name("kept.json")
    dead = [left_by(99999999, 5), left_by(os.getpid(), 5), left_by(99999999, 5, "report.html")]
    alive = [own, left_by(1, leftovers._started(1)), left_by(99999999, 5).replace(own.split("~")[1], "elsewhere"), ".hidden"]
    for name in (*dead, *alive):
        (tmp_path / name).mkdir()
    sweep([tmp_path, tmp_path / "gone"])
    # The second of the dead has our own number and another start: another container's process of that number.
    assert {path.name for path in tmp_path.iterdir()} == set(alive)


@pytest.mark.parametrize("place", ["passes", "passes/packs", "passes/pass-01", "words"])
def test_the_next_prep_sweeps_every_place_where_something_is_built_aside(make_song, make_pass, place):
    folder = make_song({"kick.wav": None})
    make_pass(folder)
    left = folder / place / left_by(99999999, 5)
    left.mkdir(parents=True)
    (folder / "session.yaml").write_text("deliver: {bits: 16}\n")
    make_pass(folder)
    assert not left.exists()


def test_a_lock_ends_with_its_process(make_song, make_pass):
    folder = make_song({"kick.wav": None})
    make_pass(folder)
    code = (
        "import os, signal, sys\nfrom pathlib import Path\nfrom stemwright.passes.lock import locked\n"
        "from stemwright.passes.song import open_song\n"
        "with locked(open_song(Path(sys.argv[1]))):\n    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    assert subprocess.run([sys.executable, "-c", code, str(folder)], check=False).returncode == -9
    assert main(["keep", str(folder), "kick"]) == 0


def test_a_stem_is_not_signed_off_after_a_note_changed_it_meanwhile(make_song, make_pass, make_note):
    folder = make_song({"piano.wav": None})
    make_pass(folder)
    song = open_song(folder)
    seen = read_pass(song, None)
    make_note(folder, "piano: more bite")
    with pytest.raises(SongError, match=r"^pass-02 appeared meanwhile and changed piano\.wav; nothing was signed off"):
        keeping.keep(song, seen, ["piano.wav"], None)
    assert keeping.load_kept(song) == {}


def test_a_stem_is_signed_off_as_the_newest_pass_has_it(make_song, make_pass, make_note):
    folder = make_song({"piano.wav": None, "kick.wav": None})
    make_pass(folder)
    song = open_song(folder)
    seen = read_pass(song, None)
    make_note(folder, "piano: more bite")
    assert [each.in_pass for each in keeping.keep(song, seen, ["kick.wav"], None)] == ["pass-02"]


def test_of_two_preps_at_once_the_second_finds_the_first_pass(make_song, executor):
    folder = make_song({"kick.wav": None, "hats.wav": None})
    seen = look(folder, executor, hashed=True)
    items = prepping.plan(seen, executor)
    made = []
    with locked(open_song(_with_passes(folder))):
        runs = [threading.Thread(target=lambda: made.append(prepping.prep(seen, items, Maker(executor)))) for _ in range(2)]
        for run in runs:
            run.start()
        while len(list(folder.glob("passes/.building-*/manifest.json"))) < 2:
            pass
    for run in runs:
        run.join()
    assert sorted(str(each.name) for each in made) == ["None", "pass-01"]
    assert open_song(folder).passes() == ["pass-01"]
    assert {path.name for path in (folder / "passes").iterdir()} == {"pass-01"}


def _with_passes(folder):
    (folder / "passes").mkdir()
    return folder


def test_a_pipe_in_place_of_a_pass_file_or_of_kept_json_holds_nobody_up(make_song, make_pass, capsys):
    folder = make_song({"piano.wav": None, "kick.wav": None})
    make_pass(folder)
    (folder / "passes/pass-01/stems/kick.wav").unlink()
    os.mkfifo(folder / "passes/pass-01/stems/kick.wav")
    assert main(["verify", str(folder), "--json"]) == 1
    wrong = [each for each in json.loads(capsys.readouterr().out)["outputs"] if each["verdict"] != "identical"]
    assert [(each["file"], each["detail"]) for each in wrong] == [("kick.wav", "not a regular file")]
    assert main(["note", str(folder), "piano: more bite", "--no-page"]) == 0  # the kick is made again
    os.mkfifo(folder / "passes/kept.json")
    assert main(["keep", str(folder)]) == 2
    (folder / "passes/kept.json").unlink()
    (folder / "passes/kept.json").symlink_to("/dev/zero")
    assert main(["prep", str(folder)]) == 2


@pytest.mark.skipif(sys.platform == "win32", reason="the test forks")
@pytest.mark.parametrize(
    "command",
    ["look @ --write-session", "recipes pack @/recipes --to @/passes/a.zip", "recipes add @/own.zip --to @/passes/house",
     "sum @", "rings @/piano.wav --audition @/passes/rings", "report @ --no-audio --png @/passes/png"],
)  # fmt: skip
def test_a_command_killed_before_its_file_is_synced_leaves_nothing_behind_and_blocks_nothing(
    make_song, make_pass, noise, command
):
    bursts = noise(4.0, 1) * (0.3 + np.exp(-5.0 * (np.arange(4 * 48_000) / 48_000 * 2.0 % 1.0)))[:, None]
    bell = design("bell", {"freq_hz": 3000.0, "gain_db": 12.0, "q": 30.0}, 48_000)
    folder = make_song({"piano.wav": sosfilt(bell.copy(), 0.3 * bursts, axis=0)})
    make_pass(folder)
    (folder / "recipes").mkdir()
    (folder / "recipes/own.yaml").write_text("recipe: own\nabout: a\nstems: {names: [own]}\nmoves: []\n")
    assert main(["recipes", "pack", str(folder / "recipes"), "--to", str(folder / "own.zip")]) == 0
    before = set(folder.rglob("*"))
    asked = [part.replace("@", str(folder)) for part in command.split()]
    child = os.fork()
    if not child:
        try:
            for name in ("fsync", "rename", "link"):
                setattr(os, name, lambda *_: os.kill(os.getpid(), 9))
            main(asked)
        finally:
            os._exit(70)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -9
    assert [path for path in set(folder.rglob("*")) - before if path.is_file() and "~" not in str(path)] == []
    assert main(asked) in (0, 1)
    assert [path for path in folder.rglob(".*") if path.name != ".lock"] == []
