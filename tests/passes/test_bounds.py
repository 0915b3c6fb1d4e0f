"""Nothing settles that could not be read again, and no manifest, rehashed or not, makes us write what no pass has."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from stemwright.cli import main
from stemwright.errors import ManifestError, RecipeError
from stemwright.passes import make
from stemwright.passes.bounds import _together, lift
from stemwright.passes.history import read_pass
from stemwright.passes.manifest_file import plan_hash
from stemwright.passes.song import open_song
from stemwright.plan.items import PlannedMove
from stemwright.plan.only import Only
from stemwright.recipes.library import load_library
from stemwright.stems.limits import MOST_MOVES

HEAD = "recipe: odd\nabout: a\nstems: {names: [odd]}\nmoves:\n"


def recipe(folder, moves):
    folder.mkdir(exist_ok=True)
    (folder / "odd.yaml").write_text(HEAD + moves, encoding="utf-8")
    return folder


def test_a_recipe_has_as_many_moves_as_its_manifest_may(tmp_path):
    bell = "  - bell: {freq: 3 kHz, gain: -1 dB}\n"
    assert len(load_library([recipe(tmp_path, bell * MOST_MOVES)]).get("odd").moves) == MOST_MOVES
    with pytest.raises(RecipeError, match=r"^.*odd\.yaml:261:5: moves: 257 moves; allowed: 256$"):
        load_library([recipe(tmp_path, bell * (MOST_MOVES + 1))])


def test_moves_that_lift_beyond_reason_together_are_refused_with_the_recipe(tmp_path):
    load_library([recipe(tmp_path, "  - gain: 24 dB\n" * 3)])
    with pytest.raises(RecipeError, match=r"odd\.yaml:1:9: moves: its moves lift by 96 dB together; allowed: 72 dB$"):
        load_library([recipe(tmp_path, "  - gain: 24 dB\n" * 4)])


def test_a_stem_that_would_become_infinite_fails_alone_with_the_reason(make_song, make_pass, noise):
    # 3e38 is nine tenths of the largest 32-bit float (IEEE 754); 6 dB more is not one. Noise of RMS 300 is 50 dB over
    # full scale with peaks some 12 dB higher, of which 60 are written.
    song = make_song({"kick.wav": None, "odd.wav": noise() * 3e3, "odd 2.wav": noise() * 3e38}, subtype="FLOAT")
    recipe(song / "recipes", "  - gain: 6 dB\n")
    made = make_pass(song)
    why = {entry.stem: entry.item.why for entry in made.failed}
    assert why.keys() == {"odd.wav", "odd 2.wav"}
    assert "dB over full scale; at most 60 dB are written" in why["odd.wav"]
    assert not (song / "passes/pass-01/stems/odd.wav").exists()
    assert all(np.isfinite(soundfile.read(path)[0]).all() for path in (song / "passes/pass-01/stems").iterdir())


def test_a_double_that_no_float_holds_fails_alone(make_song, capsys):
    song = make_song({"kick.wav": None, "odd.wav": np.full((48_000, 2), 1e300)}, subtype="DOUBLE")
    assert main(["prep", str(song), "--no-page"]) == 1
    assert "odd.wav" in capsys.readouterr().out


def test_a_manifest_that_fits_no_schema_never_settles(make_song, monkeypatch, capsys):
    song = make_song({"kick.wav": None})
    made = make.compose
    monkeypatch.setattr(make, "compose", lambda **asked: replace(made(**asked), plan_sha256="odd"))
    assert main(["prep", str(song)]) == 2
    assert "could never be read again, so it was not made: plan_sha256: " in capsys.readouterr().err
    assert not (song / "passes").exists()


def edits():
    def move(**settings):
        return lambda entry: entry["moves"][0].update(settings)

    def both(key, value):
        return lambda entry: (entry["input"].update({key: value}), entry["deliver_as"].update({key: value}))

    return {
        "rate 1": both("rate_hz", 1),
        "frames 10^12": both("frames", 10**12),
        "longer than any stem": lambda entry: entry["deliver_as"].update(frames=48_001),
        "container MP3": lambda entry: entry["deliver_as"].update(container="MP3"),
        "unknown subtype": both("subtype", "PCM_20"),
        "frequency out of range": move(freq_hz=1e5),
        "setting of another kind": move(ratio=2),
        "huge whole number": move(freq_hz=10**400),
        "unstable section": move(sections=[[1, 0, 0, 1, -2.1, 1.05]]),
        "loud sections": move(sections=[[1e5, 0, 0, 1, 0, 0]]),
        "narrow loud sections": move(sections=[[1, 0, 0, 1, -1.6, 0.99999999]] * 2),
        "300 moves": lambda entry: entry["moves"].extend(entry["moves"] * 150),
        "NaN": move(freq_hz=float("nan")),
        "1e999": move(freq_hz=float("inf")),
    }


@pytest.mark.parametrize("name", edits())
def test_an_edited_manifest_is_refused_even_where_its_hash_was_made_to_fit(make_song, make_pass, name):
    folder = make_song({"HiHat.wav": None})
    make_pass(folder)
    song = open_song(folder)
    path = folder / "passes/pass-01/manifest.json"
    data = json.loads(path.read_text())
    edits()[name](data["stems"][0])
    data["plan_sha256"] = plan_hash(data)
    path.write_text(json.dumps(data).replace("Infinity", "1e999"))
    with pytest.raises(ManifestError, match=r"^pass-01/manifest\.json: "):
        read_pass(song, None)


@pytest.mark.parametrize("value", [1e300, 2.0])
def test_a_whole_number_that_is_written_as_a_fraction_is_refused(make_song, make_pass, value):
    # To JSON Schema both are integers (2020-12 Validation, 6.1.1: "any number with a zero fractional part").
    folder = make_song({"HiHat.wav": None})
    make_pass(folder)
    path = folder / "passes/pass-01/manifest.json"
    data = json.loads(path.read_text())
    data["recipes"][0]["version"] = value
    path.write_text(json.dumps(data))
    with pytest.raises(ManifestError, match=r"^pass-01/manifest\.json: Expected `int`.*; it was edited or damaged"):
        read_pass(open_song(folder), None)


def test_the_lift_of_a_chain_is_its_highest_gain():
    def gain(gain_db):
        return PlannedMove(
            kind="gain", name="g", why="", settings={"gain_db": gain_db}, sections=((10 ** (gain_db / 20), 0, 0, 1, 0, 0),)
        )

    # Gains in a row add up in dB. A resonator 1 / (1 - 2 r cos w z^-1 + r^2 z^-2) with r = 0.999 at w = pi/2 reaches
    # 1 / (1 - r^2) = 500.25, which is 53.98 dB (by hand).
    assert lift([gain(6.0), gain(-2.0)]) == pytest.approx(4.0)
    ring = PlannedMove(kind="bell", name="b", why="", settings={}, sections=((1, 0, 0, 1, 0, 0.999**2),))
    assert lift([ring]) == pytest.approx(53.98, abs=0.01)


# Moves in as many places that do not touch are as many runs, and one without any of them: 47 are 48 runs, which is the most.
@pytest.mark.parametrize(("places", "fine"), [(47, True), (48, False)])
def test_moves_in_so_many_places_that_48_runs_do_are_allowed(places, fine):
    spans = [((number * 10_000, number * 10_000 + 5_000),) for number in range(1, places + 1)]
    moves = [
        PlannedMove(
            kind="gain",
            name=f"{span}",
            why="",
            settings={"gain_db": -1.0},
            only=Only(said=("",), fade_frames=10, spans=span),
        )
        for span in spans
    ]
    wrong = "its moves are made in so many different places that more than 48 runs of them would be needed"
    assert _together(moves) == (None if fine else wrong)
