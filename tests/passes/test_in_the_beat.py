"""In the beat: a note's plan says what will be heard of it, from what is known of the stems, and relations offer what they show."""

from __future__ import annotations

import shlex

import pytest

from stemwright.door.song import Song
from stemwright.notes.language import NoteError
from stemwright.passes.in_the_beat import NOT_HEARD_YET


@pytest.fixture
def song(make_song, make_pass, noise):
    folder = make_song(
        {
            "lead vocal.wav": noise(seconds=3.0, seed=1) * 0.5,
            "keys.wav": noise(seconds=3.0, seed=2) * 0.01,
            "guitar.wav": noise(seconds=3.0, seed=3) * 0.05,
        }
    )
    make_pass(folder)
    return folder


def test_before_the_song_was_listened_to_the_plan_says_how(song, make_note):
    plan, _ = make_note(song, "keys: +2 dB at 3 kHz")
    assert (plan.in_the_beat, plan.remarks) == ({}, [NOT_HEARD_YET])


def test_a_change_under_the_others_is_said_to_be_covered_and_by_whom(song, make_note):
    Song(song).balance()
    plan, _ = make_note(song, "keys: +2 dB at 3 kHz")
    assert "in the beat: covered by lead vocal.wav nearly always" in plan.in_the_beat["keys.wav"]
    assert plan.remarks == []
    assert plan.as_json()["in_the_beat"] == plan.in_the_beat


def test_a_change_over_the_others_is_said_to_be_heard(song, make_note):
    Song(song).balance()
    plan, _ = make_note(song, "vocal: +2 dB at 3 kHz")
    assert plan.in_the_beat["lead vocal.wav"].endswith("in the beat: heard")


def test_a_relation_offers_what_the_stems_show_and_each_offer_is_a_note(song, make_note):
    Song(song).balance()
    with pytest.raises(NoteError) as caught:
        make_note(song, "make room for the keys in the guitar")
    lines = str(caught.value).splitlines()
    assert "of it covered, most at" in lines[1]
    offers = [line.split("SONG ", 1)[1].strip("'") for line in lines if "stemwright note SONG" in line]
    assert [offer.split(":")[0] for offer in offers] == ['"guitar.wav"', '"keys.wav"']
    for offer in offers:
        make_note(song, offer)


def test_a_relation_that_the_stems_do_not_show_says_so(song, make_note):
    Song(song).balance()
    with pytest.raises(NoteError, match="less than a tenth of it is covered"):
        make_note(song, "make room for the vocal in the keys")


@pytest.fixture
def bands(make_song, make_pass, noise):
    """Return a song: keys under a guitar in the hook (0 to 2 s at 120 quarters a minute), and under nothing in the verse."""
    guitar = noise(seconds=4.0, channels=1, seed=3) * 0.5
    guitar[96_000:] *= 1e-4
    stems = {
        "keys.wav": noise(seconds=4.0, channels=1, seed=2) * 0.02,
        "guitar.wav": guitar,
        "pad.wav": noise(seconds=4.0, channels=1, seed=4) * 0.0005,
    }
    song = make_song(stems, "tempo: 120\nbar_one: 0 s\nsections: {hook: bars 1, verse: bars 2}\n")
    make_pass(song)
    return song


# Nobody listened before: a stem that is said not to be heard has the song listened to.
@pytest.mark.parametrize(
    "text", ["the keys are buried", "I can't hear the keys in the hook", "when the guitar comes in I can't hear the keys"]
)
def test_what_is_not_heard_is_offered_two_ways_out_and_takes_neither(bands, make_note, text):
    with pytest.raises(NoteError) as caught:
        make_note(bands, text)
    lines = str(caught.value).splitlines()
    offers = [shlex.split(line)[3] for line in lines if "stemwright note SONG" in line]
    assert [offer.split(":")[0] for offer in offers] == ['"guitar.wav"', '"keys.wav"']
    for offer in offers:
        plan, _ = make_note(bands, offer)
        (item,) = [item for item in plan.items if item.stem in plan.changed]
        (move,) = [move for move in item.moves if move.note is not None]
        assert (move.only is not None) == ("hook" in text)


@pytest.mark.parametrize(
    "text",
    [
        "I can't hear the keys in the verse",  # nothing lies over them there
        "the guitar is buried",  # nor over this one
        "the keys are too low",  # a level, and which way
        "can't hear the keys, turn the guitar down",  # what is to be done about it is said
    ],
)
def test_what_nothing_covers_or_says_what_to_do_is_done(bands, make_note, text):
    plan, _ = make_note(bands, text)
    assert plan.changed


def test_the_rest_of_a_note_is_offered_beside_the_two_ways(bands, make_note):
    with pytest.raises(NoteError) as caught:
        make_note(bands, "the keys are buried; pad darker")
    assert str(caught.value).splitlines()[-1] == "  the rest as one note: stemwright note SONG 'pad darker'"


# 120 quarters a minute: the hook is 0 s to 2 s, where the guitar lies over the keys, and the verse the next two, where nothing does.
@pytest.mark.parametrize(("where", "ending"), [("hook", "covered by guitar.wav nearly always"), ("verse", "heard")])
def test_a_change_in_a_place_is_judged_there(make_song, make_pass, make_note, noise, where, ending):
    guitar = noise(seconds=4.0, channels=1, seed=3)
    guitar[96_000:] *= 1e-4
    song = make_song(
        {"keys.wav": noise(seconds=4.0, channels=1, seed=2) * 0.02, "guitar.wav": guitar},
        "tempo: 120\nbar_one: 0 s\nsections: {hook: bars 1, verse: bars 2}\n",
    )
    make_pass(song)
    Song(song).balance(front="guitar")
    plan, _ = make_note(song, f"keys: +2 dB at 3 kHz in the {where}")
    assert f"in the beat: {ending}" in plan.in_the_beat["keys.wav"]
