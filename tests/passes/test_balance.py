"""Balance: a noise put over a voice is found where it is, by name, with a move that would bring the voice back."""

from __future__ import annotations

import json

import numpy as np
import pytest
from click.testing import CliRunner

from stemwright.cli import app
from stemwright.door import Song

RATE_HZ = 48_000
START, END = 6.0, 8.0


@pytest.fixture
def song(make_song, noise):
    seconds = 16.0
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    syllables = (0.55 + 0.45 * np.sin(2 * np.pi * 4.0 * t))[:, None]  # four syllables a second
    cover = noise(seconds=seconds, channels=1, seed=3) * 0.9
    cover[(t < START) | (t >= END)] = 0.0
    return make_song(
        {
            "lead vocal.wav": noise(seconds=seconds, channels=1, seed=1) * syllables,
            "keys.wav": noise(seconds=seconds, channels=1, seed=2) * 0.1,
            "guitar.wav": cover,
        },
        "tempo: 120\nbar_one: 0 s\n",
    )


def test_a_cover_is_found_where_it_is_and_by_name(song):
    (place,) = Song(song).balance().balance.covered
    assert (place.start_s, place.end_s) == pytest.approx((START, END), abs=0.2)
    assert [each.stem for each in place.culprits] == ["guitar.wav"]


def test_a_cure_lowers_the_culprit_in_that_place_and_lifts_the_index(song):
    (place,) = Song(song).balance().balance.covered
    assert place.cure.stem == "guitar.wav"
    assert -9.0 <= place.cure.gain_db <= -1.0
    assert place.cure.index > place.index


def test_without_the_cover_nothing_is_called(song):
    (song / "guitar.wav").unlink()
    assert Song(song).balance().balance.covered == ()


def test_what_was_heard_may_be_deleted(song):
    first = Song(song).balance()
    kept = sorted((song / "passes" / "heard").iterdir())
    assert len(kept) == 3
    kept[0].unlink()
    kept[1].write_bytes(b"not ours")
    assert Song(song).balance() == first


def test_the_command_says_when_by_bar_and_exits_1(song):
    result = CliRunner().invoke(app, ["balance", str(song), "--json"], standalone_mode=False)
    (place,) = json.loads(result.output)["covered"]
    assert place["when"].startswith("bar 4 (0:0")  # 120 quarters a minute: bar 4 begins at 6 s
    assert result.return_value == 1


def test_a_song_without_a_lead_vocal_asks_for_one(song):
    (song / "lead vocal.wav").rename(song / "bass.wav")
    with pytest.raises(Exception, match="no lead vocal in this song; name the stem in front with --front STEM"):
        Song(song).balance()
