"""Many songs in one command: each is done whatever becomes of the others, and once; one table, one exit code."""

from __future__ import annotations

import json
import os
import re
import shutil
import threading
from concurrent.futures import CancelledError, ThreadPoolExecutor
from pathlib import Path

import pytest
import soundfile

from stemwright.catalogue import work as works
from stemwright.catalogue.listing import list_songs
from stemwright.catalogue.outcome import Outcome
from stemwright.catalogue.running import run
from stemwright.catalogue.window import Window, WindowClosedError
from stemwright.cli import main
from stemwright.passes.manifest_file import read_manifest


@pytest.fixture
def album(make_song, tmp_path):
    """Three songs in a folder: two good ones, and one whose only stem is no audio."""
    album = tmp_path / "album"
    for name, stems in (("one", {"kick.wav": None, "hats.wav": None}), ("two", {"piano.wav": None})):
        make_song(stems, folder="made")
        shutil.move(tmp_path / "made", album / name)
    (album / "broken").mkdir()
    (album / "broken" / "kick.wav").write_bytes(b"no audio")
    return album


def lines_of(out):
    return {Path(line["song"]).name: line for line in map(json.loads, out.splitlines())}


def test_a_song_that_fails_stops_no_other_and_a_second_run_does_only_what_is_left(album, capsys):
    shutil.copy(album / "two" / "piano.wav", album / "broken" / "pad.wav")
    arguments = ["prep", "--under", str(album), "--no-page", "--json"]
    assert main(arguments) == 1
    first = lines_of(capsys.readouterr().out)
    assert {name: (line["state"], line["rendered"], line["failed"]) for name, line in first.items()} == {
        "one": ("done", 2, 0),
        "two": ("done", 1, 0),
        "broken": ("done", 1, 1),
    }
    assert main(arguments) == 1
    second = lines_of(capsys.readouterr().out)
    assert {(line["state"], line["rendered"], line["pass"]) for line in second.values()} == {("nothing new", 0, "pass-01")}


def test_the_exit_code_is_0_where_all_is_well_and_2_where_no_song_could_be_done(album):
    good = [str(album / "one"), str(album / "two")]
    assert main(["prep", *good, "--no-page"]) == 0
    assert main(["verify", *good]) == 0
    assert main(["prep", str(album / "broken"), str(album / "gone")]) == 2


def test_the_table_has_a_row_a_song_and_the_sums(album, capsys, monkeypatch):
    monkeypatch.chdir(album)
    assert main(["prep", "one", "two", "broken", "--no-page"]) == 1
    out = capsys.readouterr().out.splitlines()
    rows = [line.split() for line in out if line.strip().startswith(("one", "two", "broken"))]
    assert rows[0][:7] == ["one", "pass-01", "2", "2", "0", "0", "0"]
    assert rows[2] == ["broken", "-", "1", "-", "-", "-", "-", "-", "-", "refused,", "see", "below"]
    assert out[-1] == "3 songs: 2 done, 1 refused; 4 stems, 3 rendered, 0 taken over, 0 failed, 0 to settle"


def test_the_table_has_the_sum_before_and_after_and_the_details_all_of_it(album, capsys, monkeypatch, noise):
    monkeypatch.chdir(album)
    soundfile.write(album / "two" / "piano.wav", noise(), 48_000, "PCM_24")  # long enough for a loudness
    assert main(["prep", "one", "two", "--no-page"]) == 0
    heading, row = _sum_columns(capsys.readouterr().out)
    assert heading == ["sum LUFS", "sum dBTP"]
    first = read_manifest(album / "two" / "passes" / "pass-01").in_sum
    assert row == [_change(first.received.levels.lufs, first.written.levels.lufs),
                   _change(first.received.levels.true_peak_dbtp, first.written.levels.true_peak_dbtp)]  # fmt: skip
    assert main(["note", "one", "two", "piano: +3 dB", "--no-page"]) == 1  # one has no piano
    _, row = _sum_columns(capsys.readouterr().out)
    assert row[0] == _change(first.written.levels.lufs, first.written.levels.lufs + 3.0)  # the only stem, 3 dB up
    assert main(["note", "two", "one", "piano: +1 dB", "--no-page", "--json"]) == 1
    told = lines_of(capsys.readouterr().out)["two"]
    assert told["sum"]["since"]["pass"] == "pass-02"
    assert "sum_lufs" not in told


def _change(was, now):
    return f"{was:.1f} -> {now:.1f}"


def _sum_columns(out):
    """Return the headings and the cells of the song called two, of the columns on the sum."""
    lines = [re.split(r"\s{2,}", line.strip()) for line in out.splitlines()]
    heading = next(line for line in lines if line[0] == "song")
    row = next(line for line in lines if line[0] == "two")
    at = heading.index("sum LUFS")
    return heading[at:], row[at:]


def test_the_table_says_what_became_of_a_kits_phase(album, capsys, monkeypatch, make_song, tmp_path):
    make_song({"kick.wav": None, "snare.wav": None, "room.wav": None}, folder="kit")
    monkeypatch.chdir(tmp_path)
    main(["prep", str(album / "two"), "kit", "--no-page"])
    kit = read_manifest(tmp_path / "kit" / "passes" / "pass-01").in_sum.kit
    row = next(line for line in capsys.readouterr().out.splitlines() if line.strip().startswith("kit "))
    assert row.rstrip().endswith(f"{kit.change_db:+.1f} dB at {round(kit.freq_hz)} Hz")


def test_what_is_no_song_is_named_and_the_rest_goes_on(album, make_pass):
    make_pass(album / "one")
    nested = album / "nested"
    shutil.copytree(album / "one", nested / "inner")
    listing = list_songs(
        [album / "two", nested],
        lists=[("list.txt", f"# ours\n\none\ngone\n{album / 'one'}\n../album/two\n", album)],
    )
    assert [song.folder.name for song in listing.songs] == ["two", "one"]
    told = {each.name.rsplit("/", 1)[-1]: each.reason for each in listing.passed_over}
    assert told["list.txt:4: gone"] == "there is no such folder; give the folder that holds the stems"
    assert (
        told["nested"] == "holds a song of its own (inner), whose files would be taken for its stems; give the songs in it"
    )
    assert [reason for reason in told.values() if reason.startswith("given twice, done once")] != []
    assert len(told) == 4


def test_a_list_may_come_from_a_file_seen_from_where_it_lies(album, capsys):
    (album / "songs.txt").write_text("\ufeffone\r\nmissing\r\n", encoding="utf-8")
    assert main(["look", "--songs-from", str(album / "songs.txt"), "--json"]) == 1
    out = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [(Path(line["song"]).name, line["state"]) for line in out] == [
        ("songs.txt:2: missing", "passed over"),
        ("one", "done"),
    ]


@pytest.mark.skipif(os.name == "nt", reason="renaming over is another matter there")
def test_a_song_that_cannot_be_written_to_is_named_and_untouched(album, capsys, monkeypatch):
    mkdir = Path.mkdir

    def refuse(self, *args, **kwargs):
        if self.name == "passes" and self.parent.name == "one":
            raise PermissionError(13, "Permission denied", str(self))
        mkdir(self, *args, **kwargs)

    monkeypatch.setattr(Path, "mkdir", refuse)
    assert main(["prep", str(album / "one"), str(album / "two"), "--no-page", "--json"]) == 1
    told = lines_of(capsys.readouterr().out)
    assert told["one"]["problem"] == "one: the pass could not be written (Permission denied); nothing of it was left behind"
    assert told["two"]["state"] == "done"
    assert sorted(path.name for path in (album / "one").iterdir()) == ["hats.wav", "kick.wav"]


def test_one_note_goes_to_many_songs_and_where_it_does_not_fit_that_is_said(album, capsys, make_pass):
    for name in ("one", "two"):
        make_pass(album / name)
    assert main(["note", str(album / "one"), str(album / "two"), "piano: more bite", "--no-page", "--json"]) == 1
    told = lines_of(capsys.readouterr().out)
    assert (told["two"]["pass"], told["two"]["rendered"]) == ("pass-02", 1)
    assert told["one"]["state"] == "refused"
    assert "piano" in told["one"]["problem"]


def test_a_second_word_that_is_a_pass_is_still_a_pass(album, make_pass, capsys):
    make_pass(album / "one")
    assert main(["verify", str(album / "one"), "1", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["name"] == "pass-01"
    assert main(["verify", str(album / "one"), "2"]) == 2
    assert capsys.readouterr().err == "stemwright: one: no pass '2'; there are: pass-01\n"


def test_a_bug_at_one_song_is_told_as_one_and_the_others_are_done(album, capsys, monkeypatch, tmp_path):
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr("tempfile.tempdir", None)
    plan = works.prepping.plan

    def fall(seen, *rest, **options):
        if seen.song.folder.name == "one":
            raise ZeroDivisionError
        return plan(seen, *rest, **options)

    monkeypatch.setattr(works.prepping, "plan", fall)
    assert main(["prep", str(album / "one"), str(album / "two"), "--no-page", "--json"]) == 3
    told = lines_of(capsys.readouterr().out)
    assert told["two"]["state"] == "done"
    log = Path(told["one"]["problem"].rsplit(" ", 1)[-1])
    assert "ZeroDivisionError" in log.read_text(encoding="utf-8")


def test_a_window_never_lets_in_more_than_it_has_room_for():
    at_once, most, lock = 0, 0, threading.Lock()

    def task():
        nonlocal at_once, most
        with lock:
            at_once += 1
            most = max(most, at_once)
        threading.Event().wait(0.001)
        with lock:
            at_once -= 1

    with ThreadPoolExecutor(64) as pool:
        window = Window(pool, 2)
        for future in [window.submit(task) for _ in range(200)]:
            future.result()
    assert most <= window.most <= 8


def test_stopping_a_window_frees_whoever_waits_for_it_and_takes_nothing_more():
    gate = threading.Event()
    with ThreadPoolExecutor(1) as pool:
        window = Window(pool, 1)
        futures = [window.submit(gate.wait) for _ in range(4)]
        window.stop()
        for future in futures:
            with pytest.raises(CancelledError):
                future.result(timeout=5)
        with pytest.raises(WindowClosedError):
            window.submit(print)
        gate.set()


def test_whoever_stops_early_leaves_nothing_half_written(album):
    """The consumer goes away after the first song, as an interrupt does: passes are whole or absent."""
    listed = list_songs([album / "two", album / "one"]).songs
    with ThreadPoolExecutor(2) as pool:
        window = Window(pool, 2)
        outcomes = run(listed, works.Prep(executor=window, page=False), window)
        assert isinstance(next(outcomes), Outcome)
        outcomes.close()
    for song in ("one", "two"):
        passes = album / song / "passes"
        assert not passes.exists() or [path.name for path in passes.iterdir()] == ["pass-01"]
