"""Small decisions on which a pass hangs, each checked by arithmetic or against the file as received."""

from __future__ import annotations

import json
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile

from stemwright.dsp.dynamics import Compressor, CompressorSettings
from stemwright.dsp.sections import design
from stemwright.handover.audition import no_louder
from stemwright.notes.applying import with_notes
from stemwright.passes.difference import last_bit_dbfs
from stemwright.passes.history import recipes_moved
from stemwright.passes.song import open_song
from stemwright.plan.items import TRIM, PlannedMove
from stemwright.recipes.recipe import Source


def with_recipe(song, *moves):
    (song / "recipes").mkdir()
    lines = "".join(f"  - {move}\n" for move in moves)
    (song / "recipes" / "own.yaml").write_text(
        f"recipe: own\nversion: 1\nabout: Ours.\nstems: {{names: [take]}}\nmoves:\n{lines}", encoding="utf-8"
    )
    return song


def pass_files(song, name):
    return soundfile.read(song / "passes" / "pass-01" / "stems" / name, always_2d=True)[0]


def test_polarity_turns_the_wave_upside_down_to_the_last_bit(make_song, make_pass):
    song = with_recipe(make_song({"take.wav": None}), "{polarity: flip}")
    make_pass(song)
    received = soundfile.read(song / "take.wav", always_2d=True)[0]
    # Dither of two LSB at the most, and half a step of rounding.
    assert np.abs(pass_files(song, "take.wav") + received).max() <= 1.5 * 2.0**-23


def test_a_steady_lift_is_lowered_by_its_mean_where_its_peak_is_no_higher():
    # Arithmetic: both peaks are 1; the mean powers are 1 and 1/4, so half the amplitude.
    steady, one_peak = np.ones((4, 1)), np.array([[1.0], [0.0], [0.0], [0.0]])
    assert no_louder(steady, one_peak).max() == pytest.approx(0.5)


def test_the_last_bit_is_one_step_of_the_word():
    # Arithmetic: 20 log10 of 2^-15, 2^-23.
    assert last_bit_dbfs("PCM_16") == pytest.approx(-90.31, abs=0.01)
    assert last_bit_dbfs("PCM_24") == pytest.approx(-138.47, abs=0.01)
    assert last_bit_dbfs("FLOAT") == pytest.approx(-138.47, abs=0.01)


def test_two_stems_of_the_same_samples_get_different_dither(make_song, make_pass, noise):
    song = with_recipe(make_song({"take one.wav": noise(1), "take two.wav": noise(1)}), "{gain: -6 dB}")
    make_pass(song)
    one, two = (pass_files(song, f"take {number}.wav") for number in ("one", "two"))
    assert 0 < np.abs(one - two).max() <= 4 * 2.0**-23


@pytest.mark.parametrize("rate_hz", [44_100, 96_000])
def test_a_notes_sections_are_those_of_the_stems_own_rate(make_song, make_pass, make_note, rate_hz):
    song = make_song({"piano.wav": None}, rate_hz=rate_hz)
    make_pass(song)
    make_note(song, "piano: bite +3 dB")
    manifest = json.loads((song / "passes" / "pass-02" / "manifest.json").read_text(encoding="utf-8"))
    noted = [move for move in manifest["stems"][0]["moves"] if move["note"]]
    assert noted
    for move in noted:
        settings = {"freq_hz": move["freq_hz"], "gain_db": move["gain_db"], "q": move["q"]}
        assert np.array_equal(np.array(move["sections"]), design(move["kind"], settings, rate_hz))


def test_a_note_stands_before_a_trim():
    def move(name):
        return PlannedMove(kind="gain", name=name, why="", settings={"gain_db": -1.0}, sections=())

    assert [each.name for each in with_notes([move("low"), move(TRIM)], [move("bite")])] == ["low", "bite", TRIM]


def test_the_compressor_is_led_by_the_loudest_channel():
    # One channel at full scale beside seven silent ones: their mean would stay under the threshold.
    settings = CompressorSettings(threshold_db=-12.0, ratio=4.0, attack_ms=0.1, release_ms=100.0)
    audio = np.zeros((24_000, 8))
    audio[:, 3] = 1.0
    end = Compressor(settings, 48_000).process(audio)[-1, 3]
    # 12 dB over the threshold at 4:1 leave 3 dB: 9 dB of reduction.
    assert 20 * np.log10(end) == pytest.approx(-9.0, abs=0.3)


def test_a_recipe_moved_when_its_text_did_whatever_it_calls_itself():
    def source(text, version):
        return Source(name="hats", version=version, sha256=text, text=text)

    last = SimpleNamespace(recipes=(source("a", 3),))
    assert recipes_moved(last, [source("a", 3)]) == []
    assert recipes_moved(last, [source("b", 3)]) == ["hats: changed, and still called version 3"]
    assert recipes_moved(last, [source("b", 4)]) == ["hats: version 3 -> 4"]
    assert recipes_moved(last, [source("a", 4)]) == []


@pytest.mark.parametrize("folder", ["passes", "recipes", "words"])
def test_folders_that_hold_no_stems_are_that_at_the_top_only(make_song, folder):
    song = make_song({"kick.wav": None, f"drums/{folder}/snare.wav": None, f"{folder}/hats.wav": None})
    assert f"{folder}/hats.wav" not in open_song(song).stems
    assert {"kick.wav", f"drums/{folder}/snare.wav"} <= set(open_song(song).stems)
