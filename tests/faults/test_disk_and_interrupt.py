"""Faults from outside: no space, a file size limit, Ctrl-C, a stem that changes under us; nothing half-written stays."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import time

import pytest
import soundfile

from stemwright.errors import SongError
from stemwright.passes import make as making
from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker


def files(folder):
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


def run(*arguments, **options):
    command = [sys.executable, "-m", "stemwright", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, **options)


@pytest.mark.parametrize("ending", ["wav", "aiff"])
def test_a_write_that_stops_half_way_leaves_no_pass_and_says_so(make_song, noise, ending):
    song = make_song({"kick.wav": noise(), f"hats.{ending}": noise(4)})
    before = files(song)

    def limit():
        # A limit on file size stops the write in the middle, as a full disk does.
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (600_000, 600_000))

    result = run("prep", song, preexec_fn=limit)
    assert result.returncode == 2, result.stderr
    assert "could not be written" in result.stderr
    assert "Traceback" not in result.stderr
    assert files(song) == before


def test_a_disk_without_room_is_refused_before_anything_is_written(make_song, monkeypatch):
    song = make_song({"kick.wav": None})
    before = files(song)
    monkeypatch.setattr(making.shutil, "disk_usage", lambda _: type("Usage", (), {"free": 1000}))
    with pytest.raises(SongError, match=r"^song: the pass needs about 0 MiB and 0 MiB are free; make room"):
        _prep(song)
    assert files(song) == before


def _prep(song):
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(1) as pool:
        seen = look(song, pool, hashed=True)
        return prep.prep(seen, prep.plan(seen, pool), Maker(pool))


def test_ctrl_c_stops_within_a_second_or_two_and_leaves_nothing(make_song, noise):
    song = make_song({f"piano {number}.wav": noise(60, seed=number) for number in range(4)})
    before = files(song)
    # A shell's background jobs, and what they start, ignore Ctrl-C: the test must not depend on how it is run.
    process = subprocess.Popen(
        [sys.executable, "-m", "stemwright", "prep", str(song)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - pytest has no threads here
    )
    deadline = time.monotonic() + 60
    while not list(song.glob("passes/.building-*/stems/*")) and time.monotonic() < deadline:
        time.sleep(0.02)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=60)
    assert process.returncode == 130, errors
    assert errors.endswith("interrupted; nothing half-written is left\n")
    assert files(song) == before


def test_a_stem_that_changes_while_the_pass_is_made_fails_alone(make_song, executor, noise):
    song = make_song({"kick.wav": None, "hats.wav": None})
    seen = look(song, executor, hashed=True)
    items = prep.plan(seen, executor)
    soundfile.write(song / "kick.wav", noise(2), 48_000, "PCM_24")
    made = prep.prep(seen, items, Maker(executor))
    assert [(entry.stem, entry.item.why) for entry in made.failed] == [
        ("kick.wav", "the file changed while the pass was being made; run it again")
    ]
    assert made.rendered == ("hats.wav",)


def test_a_stem_swapped_for_one_of_equal_size_and_time_is_noticed(make_song, executor, noise, tmp_path):
    song = make_song({"kick.wav": None, "hats.wav": None})
    seen = look(song, executor, hashed=True)
    items = prep.plan(seen, executor)
    state = (song / "kick.wav").stat()
    soundfile.write(tmp_path / "other.wav", noise(seed=9), 48_000, "PCM_24")
    os.utime(tmp_path / "other.wav", ns=(state.st_atime_ns, state.st_mtime_ns))
    (tmp_path / "other.wav").replace(song / "kick.wav")
    assert (song / "kick.wav").stat().st_size == state.st_size
    assert [entry.stem for entry in prep.prep(seen, items, Maker(executor)).failed] == ["kick.wav"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_stem_without_permission_is_a_finding(make_song, executor):
    song = make_song({"kick.wav": None, "hats.wav": None})
    (song / "kick.wav").chmod(0)
    seen = look(song, executor, hashed=True)
    assert [finding.id for finding in seen.findings] == ["unreadable"]
