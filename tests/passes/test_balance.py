"""Balance: a noise put over a voice is found where it is, by name, with a move that would bring the voice back."""

from __future__ import annotations

import json
import shlex
from dataclasses import dataclass

import numpy as np
import pytest
from click.testing import CliRunner

from stemwright.cli import app
from stemwright.door.song import Song
from stemwright.notes.language import parse
from stemwright.notes.targets import targets_of
from stemwright.passes.balance import note_line
from stemwright.passes.history import read_pass
from stemwright.passes.song import open_song
from stemwright.plan.balance import Covered
from stemwright.plan.cures import Cure
from stemwright.recipes.words_library import load_vocabulary, words_dirs

RATE_HZ = 48_000
START, END = 6.0, 8.0


@dataclass(frozen=True)
class PlainStem:
    stem: str
    role: str | None
    family: str | None
    status: str = "prepped"
    deliver_as: object = "a file"


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


def test_the_printed_line_is_a_note_that_does_what_it_says(song):
    made = Song(song)
    made.prep()
    (place,) = made.balance().balance.covered
    said = CliRunner().invoke(app, ["balance", str(song)]).stdout
    _, _, _, text = shlex.split(next(each for each in said.splitlines() if "stemwright note" in each))
    made.note(text)
    (item,) = [each for each in read_pass(open_song(song), None).items() if each.stem == "guitar.wav"]
    (move,) = [each for each in item.moves if each.note is not None]
    assert (move.kind, move.settings["gain_db"]) == ("gain", place.cure.gain_db)
    assert move.only.spans == ((round(place.start_s * RATE_HZ), round(place.end_s * RATE_HZ)),)


@pytest.mark.parametrize("name", ["guitar.wav", "Gtr 2 -3 dB at 1:02 (hook).wav", "more bite, less mud.wav"])
@pytest.mark.parametrize(("freq_hz", "q"), [(None, 1.0), (90.0, 0.5), (1250.0, 0.7), (12_340.0, 4.0)])
def test_every_cure_is_a_note_whatever_the_stem_is_called(name, freq_hz, q):
    cure = Cure(stem=name, gain_db=-3.5, freq_hz=freq_hz, q=q, index=0.4, enough=True)
    place = Covered(start_s=22.38, end_s=127.5, index=0.3, drop=0.2, bands_hz=(), culprits=(), cure=cure)
    stems = (PlainStem("lead vocal.wav", "lead vocal", "vocals"), PlainStem(name, None, None))
    (ask,) = parse(note_line(place, {}), targets_of(stems), load_vocabulary(words_dirs(None, []))).asks
    assert (ask.stems, ask.when.said) == ((name,), ("0:22.38-2:07.5",))
    if freq_hz is None:
        assert ask.gain_db == -3.5
    else:
        assert (ask.exact.kind, dict(ask.exact.settings)) == ("bell", {"freq_hz": freq_hz, "gain_db": -3.5, "q": q})


def test_of_a_pair_both_sides_are_named():
    cure = Cure(stem="Gtr_R.wav", gain_db=-3.0, freq_hz=None, q=1.0, index=0.4, enough=True)
    place = Covered(start_s=1.0, end_s=2.5, index=0.3, drop=0.2, bands_hz=(), culprits=(), cure=cure)
    line = note_line(place, {"Gtr_L.wav": "Gtr_R.wav", "Gtr_R.wav": "Gtr_L.wav"})
    assert line == '"Gtr_L.wav" and "Gtr_R.wav": -3 dB, only 0:01-0:02.5'
    stems = (PlainStem("Gtr_L.wav", "guitar", "music"), PlainStem("Gtr_R.wav", "guitar", "music"))
    (ask,) = parse(line, targets_of(stems), load_vocabulary(words_dirs(None, []))).asks
    assert ask.stems == ("Gtr_L.wav", "Gtr_R.wav")


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
