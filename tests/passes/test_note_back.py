"""A note that takes back: the pass before, a pass by number, some stems only, half of it; and what cannot be taken back says why."""

from __future__ import annotations

import pytest
import soundfile

from stemwright.notes.language import NoteError
from stemwright.passes.manifest_file import read_manifest

STEMS = {"piano.wav": None, "hats.wav": None, "kick.wav": None}
NOTHING = "the note is understood, but cannot be done as it stands, so nothing was done:\n"


@pytest.fixture
def noted(make_song, make_pass, make_note):
    """Return a song whose second pass changed piano and kick, and its third the piano again."""
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: 2 dB louder; kick: 3 dB quieter")
    make_note(song, "piano: bite +2 dB")
    return song


def moves_of(made):
    return {entry.stem: entry.item.moves for entry in made.manifest.stems}


def passes_of(song):
    return [
        {entry.stem: entry.item.moves for entry in read_manifest(song / "passes" / f"pass-0{number}").stems}
        for number in (1, 2, 3)
    ]


def test_undo_takes_back_what_the_newest_pass_changed_and_nothing_else(noted, make_note):
    _, made = make_note(noted, "undo that")
    assert moves_of(made) == passes_of(noted)[1]


def test_a_stem_goes_back_to_a_pass_by_number_and_the_others_stay(noted, make_note):
    first, _, third = passes_of(noted)
    _, made = make_note(noted, "kick: back to pass 1")
    assert moves_of(made) == third | {"kick.wav": first["kick.wav"]}


def test_all_goes_back_to_a_pass_by_number(noted, make_note):
    first, *_ = passes_of(noted)
    _, made = make_note(noted, "back to pass 1")
    assert moves_of(made) == first


def test_half_of_what_the_newest_note_did_is_left_and_what_was_before_stays(noted, make_note):
    _, made = make_note(noted, "half of that on the piano")
    gains = [move.settings["gain_db"] for move in moves_of(made)["piano.wav"] if move.note is not None]
    assert gains == pytest.approx([2.0, 1.0])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("back to pass 3", "  back to pass 3: the pass before was no other, so there is nothing to take back"),
        ("half of that on the kick", "  kick.wav: the last note turned no word of it up or down"),
        ("back to pass 9", "  back to pass 9: song: no pass '9'; there are: pass-01, pass-02, pass-03"),
    ],
)
def test_what_changes_nothing_or_is_not_there_is_said(noted, make_note, text, message):
    with pytest.raises(NoteError) as caught:
        make_note(noted, text)
    assert str(caught.value) == NOTHING + message


def test_the_first_pass_has_none_before_it(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    with pytest.raises(NoteError) as caught:
        make_note(song, "undo that")
    assert str(caught.value) == (f"{NOTHING}  undo that: pass-01 has no pass before it; name one, as in: back to pass 2")


def test_a_stem_that_was_another_recording_is_not_taken_back(noted, make_pass, make_note, noise):
    soundfile.write(noted / "kick.wav", noise(0.17, seed=9), 48_000, "PCM_24")
    make_pass(noted)
    with pytest.raises(NoteError) as caught:
        make_note(noted, "kick: back to pass 1")
    assert str(caught.value) == (
        f"{NOTHING}  kick.wav: was another recording in that pass; its settings are another sound's"
    )
