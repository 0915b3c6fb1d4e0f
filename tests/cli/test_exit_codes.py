"""Exit codes of the commands that judge: 0 where all is well, 1 where a person is needed."""

from __future__ import annotations

import json

import numpy as np
import pytest
import soundfile

from stemwright.cli import main

RATE_HZ = 48_000


@pytest.fixture
def prepped(make_song, capsys):
    song = make_song({"hats.wav": None, "piano.wav": None})
    assert main(["prep", str(song), "--no-page"]) == 0
    assert main(["note", str(song), "piano: more bite", "--no-page"]) == 0
    capsys.readouterr()
    return song


def judged(prepped):
    return {
        "verify": ["verify", str(prepped)],
        "compare": ["compare", str(prepped), "1", "2"],
        "history": ["history", str(prepped)],
    }


@pytest.mark.parametrize("command", ["verify", "compare", "history"])
def test_whole_passes_are_exit_code_0(prepped, command):
    assert main(judged(prepped)[command]) == 0


@pytest.mark.parametrize("command", ["verify", "compare"])
def test_a_file_that_is_not_what_its_manifest_says_is_exit_code_1(prepped, command):
    damaged = prepped / "passes" / "pass-02" / "stems" / "piano.wav"
    soundfile.write(damaged, np.zeros((10, 2)), RATE_HZ, "PCM_24")
    assert main(judged(prepped)[command]) == 1


def test_a_pass_that_cannot_be_read_is_exit_code_1_in_the_history(prepped):
    (prepped / "passes" / "pass-02" / "manifest.json").write_text("{", encoding="utf-8")
    assert main(judged(prepped)["history"]) == 1


def test_a_recall_is_0_where_all_is_identical_and_1_where_a_stem_is_not(prepped, monkeypatch):
    from stemwright.passes import recall

    assert main(["recall", str(prepped), "1", "--no-page"]) == 0
    told = recall.Verdict(stem="piano.wav", outcome="different", largest_dbfs=-20.0)
    monkeypatch.setattr(recall, "judge", lambda *_: told)
    assert main(["recall", str(prepped), "2", "--no-page"]) == 1


def test_prep_with_a_stem_that_failed_is_exit_code_1_even_where_nothing_was_found_before(make_song, monkeypatch):
    from dataclasses import replace

    from stemwright.passes import look as looking

    song = make_song({"hats.wav": None, "piano.wav": None})
    (song / "piano.wav").write_bytes((song / "piano.wav").read_bytes()[:3000])
    look = looking.look
    monkeypatch.setattr(looking, "look", lambda *args, **named: replace(look(*args, **named), findings=()))
    assert main(["prep", str(song), "--no-page"]) == 1


def test_a_note_whose_stem_fails_is_exit_code_1(prepped, monkeypatch):
    from stemwright.errors import AudioError
    from stemwright.passes import delivered

    def fails(*_):
        raise AudioError("hats.wav: went away")

    monkeypatch.setattr(delivered, "read_blocks", fails)
    assert main(["note", str(prepped), "hats: less harsh", "--no-page"]) == 1


def test_keep_keeps_and_release_lets_go(prepped, capsys):
    assert main(["keep", str(prepped), "piano", "--json"]) == 0
    assert [row["stem"] for row in json.loads(capsys.readouterr().out)] == ["piano.wav"]
    assert main(["keep", str(prepped), "piano", "--release", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == []
