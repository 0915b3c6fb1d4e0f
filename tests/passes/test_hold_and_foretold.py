"""Loudness held, and peaks foretold: measured on the files that were written."""

from __future__ import annotations

import numpy as np
import pyebur128
import pytest
import soundfile

from stemwright.passes import prep
from stemwright.passes.foretold import foretold
from stemwright.passes.look import look

RATE_HZ = 48_000


def lufs(path):
    audio, rate_hz = soundfile.read(path, always_2d=True)
    oracle = pyebur128.R128State(audio.shape[1], rate_hz, pyebur128.MeasurementMode.MODE_I)
    oracle.add_frames(audio.reshape(-1), len(audio))
    return pyebur128.get_loudness_global(oracle)


def tone(freq_hz, peak):
    time = np.arange(2 * RATE_HZ) / RATE_HZ
    return np.repeat(peak * np.sin(2 * np.pi * freq_hz * time)[:, np.newaxis], 2, axis=1)


@pytest.fixture
def plan_of(executor):
    def plan(folder):
        seen = look(folder, executor, hashed=True)
        items = prep.plan(seen, executor)
        return items, foretold(seen.song, items, executor)

    return plan


# Loudness by pyebur128; a pair has one gain, so that the image stays, and the gain is written to 0.01 dB.
def test_held_stems_are_as_loud_as_received_and_a_pair_has_one_gain(make_song, make_pass, noise):
    stems = {"pad.wav": tone(350, 0.2), "Gtr_L.wav": noise(channels=1, seed=2), "Gtr_R.wav": noise(channels=1, seed=3) * 0.3}
    song = make_song(stems, "deliver: {loudness: hold}\n")
    made = make_pass(song)
    gains = {entry["stem"]: entry["moves"][-1]["gain_db"] for entry in made.manifest.as_json()["stems"]}
    assert gains["Gtr_L.wav"] == gains["Gtr_R.wav"]
    out = song / "passes" / made.name / "stems" / "pad.wav"
    assert gains["pad.wav"] > 1.5
    assert lufs(out) == pytest.approx(lufs(song / "pad.wav"), abs=0.02)


def test_the_peak_foretold_is_that_of_the_file_and_nothing_is_written(make_song, make_pass, plan_of, noise):
    song = make_song({"pad.wav": np.clip(noise() * 8, -0.99, 0.99)})
    items, levels = plan_of(song)
    assert not (song / "passes").exists()
    assert items[0].moves
    audio, _ = soundfile.read(song / "passes" / make_pass(song).name / "stems" / "pad.wav")
    assert levels["pad.wav"][1].sample_peak_dbfs == pytest.approx(20 * np.log10(np.abs(audio).max()), abs=0.01)
    assert levels["pad.wav"][1].sample_peak_dbfs > 0.0


def test_what_lies_beside_the_song_stops_nothing(make_song, make_pass):
    # A file called "stop" ends the making of the pass whose folder it is in, and no run besides.
    song = make_song({"pad.wav": None}, "deliver: {loudness: hold}\n")
    (song.parent / "stop").touch()
    assert make_pass(song).name == "pass-01"
