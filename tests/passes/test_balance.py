"""Balance: a noise put over a voice is found where it is, by name, with a move that would bring the voice back."""

from __future__ import annotations

import json

import numpy as np
import pytest
from click.testing import CliRunner

from stemwright.cli import app
from stemwright.door.song import Song

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


# Paper arithmetic: phrases of +a and -a dB by turns have a standard deviation of a dB, whatever the voice is made of.
@pytest.fixture
def uneven(make_song, noise):
    def make(apart_db):
        parts = [
            part
            for number, sign in enumerate((1, -1, 1, -1))
            for part in (
                noise(seconds=1.2, channels=1, seed=number) * 0.1 * 10 ** (sign * apart_db / 20),
                np.zeros((round(0.7 * RATE_HZ), 1)),
            )
        ]
        return make_song({"lead vocal.wav": np.concatenate(parts), "keys.wav": noise(seconds=7.6, channels=1) * 0.01})

    return make


def test_phrases_spread_by_more_than_3_db_are_proposed_a_ride_that_a_note_takes(uneven, make_pass, make_note):
    folder = uneven(3.5)
    judged = Song(folder).balance()
    assert judged.spread_db == pytest.approx(3.5, abs=0.3)
    assert judged.ride == "ride the vocal"
    result = CliRunner().invoke(app, ["balance", str(folder)], standalone_mode=False)
    assert 'note SONG "ride the vocal"' in result.output
    make_pass(folder)
    make_note(folder, judged.ride)
    assert Song(folder).balance().ride is None


def test_phrases_spread_by_less_are_not(uneven):
    judged = Song(uneven(2.5)).balance()
    assert (judged.spread_db, judged.ride) == (pytest.approx(2.5, abs=0.3), None)


def test_a_stem_that_is_no_voice_is_not_proposed_a_ride(uneven):
    folder = uneven(3.5)
    (folder / "keys.wav").rename(folder / "piano.wav")
    (folder / "lead vocal.wav").rename(folder / "bass.wav")
    judged = Song(folder).balance(front="bass")
    assert (judged.spread_db, judged.ride) == (pytest.approx(3.5, abs=0.3), None)
