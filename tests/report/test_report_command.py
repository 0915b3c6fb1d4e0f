"""The report command, and the page that prep, note and recall leave in a pass."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys

import numpy as np
import pytest
import soundfile

from stemwright.cli import main
from stemwright.passes.manifest_file import plan_hash


@pytest.fixture
def run(capsys):
    """Return a runner in this process: (exit code, stdout, stderr)."""

    def go(*arguments):
        code = main([str(argument) for argument in arguments])
        out = capsys.readouterr()
        return code, out.out, out.err

    return go


def page_of(song, name):
    return song / "passes" / name / "report.html"


def test_every_new_pass_gets_its_page_and_its_size_is_said(run, make_song):
    song = make_song({"piano.wav": None})
    for number, command in enumerate((["prep", song], ["note", song, "piano: brighter"], ["recall", song, "1"]), start=1):
        code, out, _ = run(*command)
        page = page_of(song, f"pass-0{number}")
        assert code == 0
        assert page.is_file()
        assert out.splitlines()[-1].startswith(f"page: {page} ({page.stat().st_size / 1e6:.1f} MB, ")


def test_no_page_leaves_it_out(run, make_song):
    song = make_song({"piano.wav": None})
    for number, command in enumerate((["prep", song], ["note", song, "piano: brighter"], ["recall", song, "1"]), start=1):
        code, out, _ = run(*command, "--no-page")
        assert code == 0
        assert "page:" not in out
        assert not page_of(song, f"pass-0{number}").exists()


def test_a_manifest_that_does_not_say_what_made_it_has_a_page_and_a_recall_sheet(run, make_song, tmp_path):
    song = make_song({"piano.wav": None})
    run("prep", song, "--no-page")
    file = song / "passes" / "pass-01" / "manifest.json"
    manifest = json.loads(file.read_text())
    del manifest["made_by"]["stemwright"]
    file.write_text(json.dumps(manifest))
    assert run("report", song, "1", "--no-audio")[0] == 0
    assert "stemwright ?" in page_of(song, "pass-01").read_text()
    assert run("pack", song, "1", "--to", tmp_path / "out")[0] == 0
    assert "by stemwright ?," in next((tmp_path / "out").rglob("*recall*")).read_text()


def test_no_new_pass_no_new_page(run, make_song):
    song = make_song({"piano.wav": None})
    run("prep", song)
    before = page_of(song, "pass-01").stat().st_mtime_ns
    run("prep", song)
    assert page_of(song, "pass-01").stat().st_mtime_ns == before


def test_a_page_that_fails_does_not_fail_the_pass(run, make_song, monkeypatch):
    song = make_song({"piano.wav": None})

    def full(*_):
        from stemwright.errors import SongError

        raise SongError("pass-01/report.html: cannot be written (No space left on device)")

    monkeypatch.setattr("stemwright.report.page.replace_whole", full)
    code, out, err = run("prep", song)
    assert code == 0
    assert "pass-01: 1 written" in out
    assert "the pass is whole, the page is not: pass-01/report.html: cannot be written (No space left on device)" in err
    assert run("verify", song)[0] == 0


def test_the_command_says_where_the_page_is_and_how_large(run, make_song):
    song = make_song({"piano.wav": None})
    run("prep", song, "--no-page")
    code, out, _ = run("report", song, "--no-audio")
    assert code == 0
    size = page_of(song, "pass-01").stat().st_size / 1e6
    assert out == f"page: {page_of(song, 'pass-01')} ({size:.1f} MB, no audio, {size:.1f} MB the rest)\n"


def test_the_forms_of_audio_differ_in_size(run, make_song, noise):
    song = make_song({"piano.wav": noise(3.0)})
    run("prep", song, "--no-page")
    sizes = {}
    for option in (None, "--lossless"):
        _, out, _ = run("report", song, *([option] if option else []), "--json")
        sizes[option] = json.loads(out)["audio_bytes"]
    assert sizes[None] < 0.5 * sizes["--lossless"]


def test_a_stem_that_cannot_be_shown_is_said_with_exit_code_1(run, make_song):
    song = make_song({"piano.wav": None, "hats.wav": None})
    run("prep", song, "--no-page")
    (song / "hats.wav").write_bytes((song / "piano.wav").read_bytes())
    code, out, _ = run("report", song)
    assert code == 1
    assert "not shown: hats.wav: hats.wav: not the file this pass was made with or wrote\n" in out


def test_an_older_pass_and_another_to_compare_with(run, make_song):
    song = make_song({"piano.wav": None})
    run("prep", song, "--no-page")
    run("note", song, "piano: brighter", "--no-page")
    code, _, _ = run("report", song, "1", "--since", "2")
    text = page_of(song, "pass-01").read_text(encoding="utf-8")
    assert code == 0
    assert "pass-01, against pass-02" in text
    assert not page_of(song, "pass-02").exists()


def test_what_is_asked_wrongly_is_refused(run, make_song):
    song = make_song({"piano.wav": None})
    assert run("report", song)[::2] == (
        2,
        "stemwright: song: no passes yet; make the first one with: stemwright prep SONG\n",
    )
    run("prep", song, "--no-page")
    assert run("report", song, "7")[::2] == (2, "stemwright: song: no pass '7'; there are: pass-01\n")


def test_the_page_is_made_without_scipy_and_pictures_alone_load_pillow(make_song):
    # Start-up is what a short note's page costs most: scipy takes as long to load as a small page to make.
    song = make_song({"piano.wav": None})
    code = (
        "import sys; from stemwright.cli import main; main(['report', sys.argv[1]]); "
        "print([m for m in ('scipy.signal', 'scipy.fft', 'PIL') if m in sys.modules])"
    )
    subprocess.run([sys.executable, "-m", "stemwright", "prep", str(song), "--no-page"], capture_output=True, check=True)
    result = subprocess.run(
        [sys.executable, "-c", code, str(song)], capture_output=True, text=True, check=True, env=os.environ
    )
    assert result.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_a_stem_whose_file_came_to_hold_no_numbers_is_left_out_of_the_page(run, make_song, bad):
    # The manifest was hashed again after the swap: anybody can.
    song = make_song({"kick.wav": None, "piano.wav": None}, "stems: {piano: {leave: as it is}}", subtype="FLOAT")
    run("prep", song, "--no-page")
    manifest = song / "passes/pass-01/manifest.json"
    text = manifest.read_text()
    was = hashlib.sha256((song / "piano.wav").read_bytes()).hexdigest()
    for path in (song / "piano.wav", song / "passes/pass-01/stems/piano.wav"):
        audio, rate_hz = soundfile.read(path)
        audio[1000] = bad
        soundfile.write(path, audio, rate_hz, "FLOAT")
        text = text.replace(was, hashlib.sha256(path.read_bytes()).hexdigest())
    data = json.loads(text)
    data["plan_sha256"] = plan_hash(data)
    manifest.write_text(json.dumps(data))
    code, out, _ = run("report", song)
    assert code == 1
    assert "holds samples that are no numbers" in out
    assert "holds samples that are no numbers" in page_of(song, "pass-01").read_text()


def test_every_command_that_writes_a_page_opens_it_when_asked(run, make_song, monkeypatch):
    opened = []
    monkeypatch.setattr("click.launch", lambda address: opened.append(address) or 0)
    song = make_song({"piano.wav": None})
    for command in (["prep", song], ["note", song, "piano: brighter"], ["recall", song, "1"], ["report", song, "1"]):
        assert run(*command, "--open")[0] == 0
    names = ["pass-01", "pass-02", "pass-03", "pass-01"]
    assert opened == [page_of(song, name).resolve().as_uri() for name in names]


def test_where_there_is_no_browser_that_is_said_and_the_page_is_whole(run, make_song, monkeypatch):
    monkeypatch.setattr("click.launch", lambda _: 1)
    song = make_song({"piano.wav": None})
    run("prep", song, "--no-page")
    code, _, err = run("report", song, "--no-audio", "--open")
    assert (code, "no browser could be opened here" in err, page_of(song, "pass-01").is_file()) == (0, True, True)
