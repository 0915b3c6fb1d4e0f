"""Parts of a sum: stems alone or left out, what became of the spectrum, and of the families' balance."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.door.song import Song
from stemwright.errors import SongError

BELL = (
    "recipe: ours\nabout: for this test\nfamily: music\nstems: {names: [zq]}\n"
    "moves:\n  - low_shelf: {freq: 20 kHz, gain: +6 dB}\n    why: louder\n"
)


@pytest.fixture
def song(make_song, make_pass, noise):
    folder = make_song(
        {"zq.wav": noise() * 0.3, "kick.wav": noise(seed=1) * 0.3, "snare.wav": noise(seed=2) * 0.3}, subtype="FLOAT"
    )
    (folder / "recipes").mkdir()
    (folder / "recipes" / "ours.yaml").write_text(BELL, encoding="utf-8")
    make_pass(folder)
    return folder


def test_solo_and_without_add_up_what_they_say(song):
    alone, out = Song(song).sum(solo=["kick"]), None
    got, _ = soundfile.read(alone.received.path)
    wanted, _ = soundfile.read(song / "kick.wav")
    assert np.abs(got - wanted).max() < 1e-6
    out = Song(song).sum(without=["kick", "zq"])
    got, _ = soundfile.read(out.received.path)
    wanted, _ = soundfile.read(song / "snare.wav")
    assert np.abs(got - wanted).max() < 1e-6
    assert (alone.received.stems, out.received.stems) == (1, 1)


def test_a_part_is_a_file_of_its_own(song):
    whole, part = Song(song).sum(), Song(song).sum(without=["kick"])
    assert whole.received.path != part.received.path
    assert whole.received.path.is_file()


def test_nothing_left_is_refused(song):
    with pytest.raises(SongError, match="no stem is left to add up"):
        Song(song).sum(solo=["kick"], without=["kick"])


# A shelf of +6 dB is 6 dB well under its corner; both are played equally loud, so what stays is the difference between bands.
def test_the_spectrum_says_what_became_of_each_band_at_one_loudness(song):
    found = Song(song).sum(solo=["zq"])
    change = {each.low_hz: each.change_db for each in found.bands}
    assert change[120.0] - found.match_gain_db == pytest.approx(6.0, abs=0.1)
    assert change[120.0] > change[8000.0]


def test_a_family_is_its_stems_added_as_powers(song):
    found = {each.family: each for each in Song(song).sum().families}
    levels = {name: Song(song).sum(solo=[name]).received.levels.lufs for name in ("kick", "snare", "zq")}
    drums = 10 * np.log10(10 ** (levels["kick"] / 10) + 10 ** (levels["snare"] / 10))
    assert found["drums"].before_lufs == pytest.approx(drums, abs=0.02)
    assert found["music"].after_lufs - found["music"].before_lufs > 3.0
