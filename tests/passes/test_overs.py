"""What becomes of stems that would go over full scale: stop, trim or float, and of those that would not nothing."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.errors import SongError

LIFT = "recipe: kick\nabout: a\nstems: {names: [kick]}\nmoves:\n  - gain: +12 dB\n    why: over\n"


def song_of(make_song, noise, overs):
    """Return a song whose kick goes over by its recipe and whose piano does not: noise of a peak of 0.5, and 12 dB."""
    sound = noise(0.17)
    folder = make_song({"kick.wav": sound * 0.5 / np.abs(sound).max(), "piano.wav": None}, f"deliver: {{overs: {overs}}}\n")
    (folder / "recipes").mkdir()
    (folder / "recipes/kick.yaml").write_text(LIFT, encoding="utf-8")
    return folder


def subtypes(folder, name="pass-01"):
    return {path.name: soundfile.info(path).subtype for path in (folder / "passes" / name / "stems").iterdir()}


def test_stop_stops_and_names_who_would_go_over(make_song, make_pass, noise):
    folder = song_of(make_song, noise, "stop")
    with pytest.raises(SongError) as caught:
        make_pass(folder)
    lines = str(caught.value).splitlines()
    assert lines[0] == "overs: stop in session.yaml, and these stems would go over full scale:"
    assert [line.split(":")[0] for line in lines[1:]] == ["  kick.wav"]
    assert not (folder / "passes").exists()


@pytest.mark.parametrize("overs", ["stop", "trim", "float"])
def test_where_nothing_goes_over_nothing_is_done_about_it(make_song, make_pass, overs):
    folder = make_song({"kick.wav": None, "piano.wav": None}, f"deliver: {{overs: {overs}}}\n")
    made = make_pass(folder)
    assert set(made.rendered) == {"kick.wav", "piano.wav"}
    assert set(subtypes(folder).values()) == {"PCM_24"}
    assert not any("trim" in move.name for entry in made.manifest.stems for move in entry.item.moves)


def test_trim_lowers_all_by_what_the_loudest_is_over_and_a_tenth_of_a_decibel(make_song, make_pass, noise):
    folder = song_of(make_song, noise, "trim")
    made = make_pass(folder)
    # 0.5 and 12 dB are 5.98 dB over full scale.
    gains = {entry.stem: entry.item.moves[-1].settings["gain_db"] for entry in made.manifest.stems}
    assert gains == {"kick.wav": pytest.approx(-6.08, abs=0.011), "piano.wav": gains["kick.wav"]}
    peak = np.abs(soundfile.read(folder / "passes/pass-01/stems/kick.wav")[0]).max()
    assert 20 * np.log10(peak) == pytest.approx(-0.1, abs=0.02)


def test_float_is_written_for_who_goes_over_and_for_nobody_else(make_song, make_pass, noise):
    folder = song_of(make_song, noise, "float")
    made = make_pass(folder)
    assert subtypes(folder) == {"kick.wav": "FLOAT", "piano.wav": "PCM_24"}
    assert {entry.stem: entry.went_over for entry in made.manifest.stems} == {"kick.wav": True, "piano.wav": False}
