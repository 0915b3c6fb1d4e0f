"""look, sum and pack on the command line: what they say and how they end."""

from __future__ import annotations

import json

import numpy as np
import pytest
import soundfile

from stemwright.cli import main


@pytest.fixture
def said(capsys):
    def run(*arguments):
        code = main([str(argument) for argument in arguments])
        out, err = capsys.readouterr()
        return code, out, err

    return run


def bed(noise, seed=0, seconds=6.0):
    return noise(seconds, seed=seed) * 0.5


def test_look_ends_ready_where_nothing_needs_a_person(make_song, said, noise):
    song = make_song({"piano.wav": bed(noise), "strings.wav": bed(noise, 1)})
    code, out, _ = said("look", song)
    assert (code, out.splitlines()[-1]) == (0, "Ready: stemwright prep SONG")


def test_look_ends_with_what_to_settle_first(make_song, said, noise):
    clipped = bed(noise)
    clipped[1000:1010, 0] = 1.0
    song = make_song({"piano.wav": clipped, "strings.wav": np.zeros((288_000, 2)), "what.wav": bed(noise, 2)})
    code, out, _ = said("look", song)
    assert code == 1
    assert (
        out.splitlines()[-1] == "To settle first: 0 that stop a stem, 3 to decide. prep works on all other stems meanwhile."
    )
    code, out, _ = said("look", song, "--json")
    data = json.loads(out)
    assert data["ready"] is False
    # A plateau in noise also overshoots between its samples, which is worth knowing and needs nobody.
    assert {(each["stem"], each["id"]) for each in data["findings"] if each["severity"] != "info"} == {
        ("piano.wav", "clipped"),
        ("strings.wav", "silent"),
        ("what.wav", "no-recipe"),
    }
    for finding in data["findings"]:
        assert set(finding) == {"id", "severity", "stem", "measured", "why", "do"}
        assert all(finding[key] for key in ("measured", "why", "do"))


def test_prep_says_the_same_at_its_head(make_song, said, noise):
    song = make_song({"piano.wav": np.zeros((288_000, 2)), "strings.wav": bed(noise, 1)})
    code, out, _ = said("prep", song)
    assert code == 1
    assert out.splitlines()[0] == "warn  piano.wav: silent: digital silence in 6.0 s [silent]"


def test_sum_says_both_and_how_they_lie_against_the_reference(make_song, said, noise):
    song = make_song({"piano.wav": bed(noise), "strings.wav": bed(noise, 1)}, "reference: mix.wav\n", subtype="FLOAT")
    soundfile.write(song / "mix.wav", bed(noise) + bed(noise, 1), 48_000, "FLOAT")
    code, out, _ = said("sum", song)
    assert code == 0
    assert "mix.wav starts with the sum, +0.00 dB from it in level; taken from each other -" in out
    soundfile.write(song / "mix.wav", bed(noise), 48_000, "FLOAT")
    code, out, _ = said("sum", song, "--json")
    assert code == 1
    assert json.loads(out)["fits_reference"] is False


def test_pack_before_the_first_pass_is_a_clear_error(make_song, said):
    code, out, err = said("pack", make_song({"piano.wav": None}), "1")
    assert (code, out) == (2, "")
    assert err == "stemwright: song: no passes yet; make the first one with: stemwright prep SONG\n"


def test_sum_and_pack_stand_alone_in_their_help(said):
    for command in ("sum", "pack", "look"):
        code, out, _ = said(command, "--help")
        assert code == 0
        assert "SONG" in out
