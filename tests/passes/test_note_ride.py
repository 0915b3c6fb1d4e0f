"""Notes that ride: "ride the vocal" is a move with points, stays at the next prep, and is not made twice."""

from __future__ import annotations

import re

import numpy as np
import pytest

from stemwright.notes.language import NoteError
from stemwright.passes.history import read_pass
from stemwright.passes.keep import keep
from stemwright.passes.song import open_song
from stemwright.passes.story import story_of

RATE_HZ = 48_000
LEVELS_DB = (0.0, 8.0, -8.0, 0.0, 0.0)


@pytest.fixture
def song(make_song, make_pass, noise):
    parts = [
        part
        for number, level_db in enumerate(LEVELS_DB)
        for part in (
            noise(seconds=1.2, channels=1, seed=number) * 0.1 * 10 ** (level_db / 20.0),
            np.zeros((round(0.7 * RATE_HZ), 1)),
        )
    ]
    folder = make_song({"lead vocal.wav": np.concatenate(parts), "keys.wav": noise(seconds=9.5, channels=1) * 0.1})
    make_pass(folder)
    return folder


def ride_of(made):
    return [move for move in made.manifest.entries["lead vocal.wav"].item.moves if move.kind == "ride"]


@pytest.mark.parametrize("text", ["ride the vocal", "vocal: ride it", "the lead vocal needs riding"])
def test_a_ride_is_a_move_with_points(song, make_note, text):
    _, made = make_note(song, text)
    (move,) = ride_of(made)
    assert move.note.said[0].text == text
    # 8 dB from the others, of which half stays and 0.3 dB are left alone; the track stands still.
    assert sorted({gain_db for _, gain_db, _ in move.points}) == pytest.approx([-3.7, 0.0, 3.7], abs=0.4)
    assert made.rendered == ("lead vocal.wav",)


def test_the_plan_says_what_it_moves_and_nothing_of_bands_that_stay(song, make_note):
    plan, _ = make_note(song, "ride the vocal")
    (said,) = plan.heard("lead vocal.wav")
    # Of five phrases the two that lie 8 dB off are moved, by the figures above.
    assert re.fullmatch(r"2 stretches between pauses moved, -3\.\d+ dB to \+3\.\d+ dB", said)


def test_it_stays_at_the_next_prep_and_is_not_made_twice(song, make_pass, make_note):
    _, made = make_note(song, "ride the vocal")
    again = make_pass(song)
    assert again.name is None
    assert ride_of(again) == ride_of(made)
    with pytest.raises(NoteError, match="is ridden already"):
        make_note(song, "ride the vocal")


def test_where_no_phrase_needs_it_that_is_said(make_song, make_pass, make_note, noise):
    phrase, pause = noise(seconds=1.2, channels=1) * 0.1, np.zeros((round(0.7 * RATE_HZ), 1))
    song = make_song({"lead vocal.wav": np.concatenate([phrase, pause] * 4)})
    make_pass(song)
    _, made = make_note(song, "ride the vocal")
    assert made.manifest.entries["lead vocal.wav"].messages[-1] == (
        "note 1: ride: the phrases lie evenly enough; nothing was moved"
    )


def test_a_stem_that_is_not_there_is_not_ridden(song, make_note):
    with pytest.raises(NoteError, match=r"\[automation\]"):
        make_note(song, "ride the guitar solo")


@pytest.fixture
def doubled(make_song, make_pass, noise):
    parts = [noise(seconds=1.2, channels=1, seed=n) * 0.1 * 10 ** (level_db / 20.0) for n, level_db in enumerate(LEVELS_DB)]
    pause = np.zeros((round(0.7 * RATE_HZ), 1))
    sung = np.concatenate([piece for part in parts for piece in (part, pause)])
    stems = {"lead vocal.wav": sung, "lead vocal dbl.wav": sung * 0.5, "keys.wav": noise(seconds=9.5, channels=1) * 0.1}
    folder = make_song(stems)
    make_pass(folder)
    return folder


def test_a_double_that_goes_along_is_said_to_change(doubled, make_note):
    plan, made = make_note(doubled, "ride the vocal")
    assert plan.changed == made.rendered == ("lead vocal dbl.wav", "lead vocal.wav")


def test_a_double_that_is_signed_off_stays_as_it_is(doubled, make_note):
    song = open_song(doubled)
    keep(song, read_pass(song, None), ["lead vocal dbl.wav"], "Ann")
    plan, made = make_note(doubled, "ride the vocal")
    assert plan.changed == made.rendered == ("lead vocal.wav",)


def test_a_ride_that_found_nothing_gets_no_points_by_a_note_on_another_stem(make_song, make_pass, make_note, noise):
    # Even phrases over an even track need no ride; a track that is louder in one place would ask for one.
    part, pause = noise(seconds=1.2, channels=1, seed=1) * 0.1, np.zeros((round(0.7 * RATE_HZ), 1))
    sung = np.concatenate([piece for _ in range(4) for piece in (part, pause)])
    folder = make_song(
        {"lead vocal.wav": sung, "keys.wav": noise(seconds=7.6, channels=1) * 0.1}, "sections: {hook: 0:00-0:02}\n"
    )
    make_pass(folder)
    make_note(folder, "ride the vocal")
    plan, made = make_note(folder, "keys +9 dB in the hook")
    assert plan.changed == made.rendered == ("keys.wav",)
    assert ride_of(made)[0].points == ()


def test_the_story_says_what_the_ride_did(song, make_note):
    _, made = make_note(song, "ride the vocal; keys 1 dB louder")
    told = story_of(made.manifest, read_pass(open_song(song), "pass-01")).done
    assert re.search(
        r"lead vocal \(phrases evened, -3\.\d+ dB to \+3\.\d+ dB\), keys|keys .*lead vocal \(phrases evened", told
    )
