"""A cluster's workers: the same bytes, whoever is lost; a worker that is not like here is named; nothing is loaded unasked."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys

import pytest

from stemwright.catalogue import cluster
from stemwright.catalogue.listing import list_songs
from stemwright.catalogue.on_worker import WorkerError, do, seen_there, versions
from stemwright.catalogue.running import run
from stemwright.catalogue.window import Window
from stemwright.catalogue.work import Prep
from stemwright.cli import main

pytest.importorskip("distributed", reason="the extra 'dask' is not installed")

STEMS = ("kick.wav", "hats.wav", "piano.wav", "pad.wav")


def files_of(song):
    stems = song / "passes" / "pass-01" / "stems"
    return {path.name: path.read_bytes() for path in sorted(stems.iterdir())}


@pytest.fixture
def songs(make_song, noise, tmp_path):
    """Two songs, the second one twice: to be made here and there."""
    for number in (1, 2):
        make_song({stem: noise(4.0, seed=number * 10 + at) for at, stem in enumerate(STEMS)}, folder=f"song {number}")
    for number in (1, 2):
        shutil.copytree(tmp_path / f"song {number}", tmp_path / "here" / f"song {number}")
    return [tmp_path / f"song {number}" for number in (1, 2)]


def test_two_processes_give_the_same_bytes_though_one_is_killed_in_the_middle(songs, tmp_path, executor, monkeypatch):
    window = Window(executor, 2)
    here = [tmp_path / "here" / song.name for song in songs]
    assert {one.state for one in run(list_songs(here).songs, Prep(executor=window, page=False), window)} == {"done"}

    monkeypatch.setenv("STEMWRIGHT_RECIPES", "")
    with cluster.connected("local:2", songs) as there:
        victim = there.window.submit(os.getpid).result()
        killed = []

        def once(_song, _stem):
            if not killed:
                killed.append(victim)
                os.kill(victim, signal.SIGKILL)

        work = Prep(executor=there.window, page=False)
        outcomes = list(run(list_songs(songs).songs, work, there.window, once))
        assert killed == [victim]
        assert [(one.state, one.rendered, one.failed) for one in outcomes] == [("done", 4, 0)] * 2
        assert there.window.most <= 8
    for song in songs:
        assert files_of(song) == files_of(tmp_path / "here" / song.name)
        assert sorted(path.name for path in (song / "passes" / "pass-01").iterdir()) == ["manifest.json", "stems"]
        assert [path.name for path in (song / "passes").iterdir()] == ["pass-01"]


def test_a_worker_of_another_version_is_named_and_does_nothing():
    other = (("stemwright", "0.0.1"), *versions()[1:])
    with pytest.raises(WorkerError, match=r"^a worker has \w+ \S+ where the others have 0\.0\.1; install the same"):
        do(other, print, (), {})


def test_a_worker_that_sees_another_folder_is_named(songs):
    mine = seen_there(songs)
    elsewhere = ("", [mine[0], "there is no such folder"])
    told = cluster._wrong(elsewhere, songs, mine)
    assert told == (
        f"it does not see {songs[1]} as it is here (there is no such folder); "
        "songs must lie where all machines see the same folder"
    )
    assert cluster._wrong(("", mine), songs, mine) == ""
    assert cluster._wrong(ModuleNotFoundError("stemwright"), songs, mine) == "stemwright is not installed there"


def test_no_place_to_work_is_said(make_song, capsys):
    song = str(make_song({"kick.wav": None}))
    assert main(["prep", song, "--on", "somewhere"]) == 2
    assert capsys.readouterr().err == (
        "stemwright: --on somewhere: no place to work; write local:N for N processes here, or tcp://HOST:PORT of a scheduler\n"
    )
    assert main(["prep", song, "--on", "local:2", "--jobs", "2"]) == 2


def test_dask_is_loaded_for_nobody_who_did_not_ask_for_it(make_song):
    code = (
        "import sys; from stemwright.cli import main; main(['prep', sys.argv[1], '--no-page']); "
        "print([m for m in ('dask', 'distributed', 'tornado') if m in sys.modules])"
    )
    song = make_song({"kick.wav": None})
    result = subprocess.run([sys.executable, "-c", code, str(song)], capture_output=True, text=True, check=True)
    assert result.stdout.splitlines()[-1] == "[]"
