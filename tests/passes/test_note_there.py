"""Notes for one place: only it changes, it stays through recipes and sections that move, and other notes do not touch it."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.notes.language import NoteError
from stemwright.passes.song import open_song

SHEET = "tempo: 120\nbar_one: 0 s\nsections: {hook: bars 2}\n"  # at 120 a bar lasts 2 s: bar 2 is 2 s to 4 s
RATE_HZ = 48_000
FADE = 960  # 20 ms


@pytest.fixture
def song(make_song, make_pass, noise):
    folder = make_song({"piano.wav": noise(seconds=6.0), "kick.wav": None}, SHEET)
    make_pass(folder)
    return folder


def samples(folder, name):
    return soundfile.read(folder / "passes" / name / "stems" / "piano.wav")[0]


def noted(made):
    return [
        (move.note.word, move.settings["gain_db"], None if move.only is None else move.only.spans)
        for move in made.manifest.entries["piano.wav"].item.moves
        if move.note is not None
    ]


def test_outside_its_place_a_note_changes_no_sample(song, make_note):
    _, made = make_note(song, "piano: more bite, but only in the hook")
    changed = np.flatnonzero((samples(song, "pass-01") != samples(song, made.name)).any(axis=1))
    assert 2 * RATE_HZ - FADE <= changed[0] < 2 * RATE_HZ
    assert 4 * RATE_HZ - FADE < changed[-1] < 4 * RATE_HZ


def test_a_place_is_turned_by_notes_for_that_place_only(song, make_note):
    _, first = make_note(song, "piano: +2 dB in the hook")
    _, second = make_note(song, "piano: +1 dB")
    _, third = make_note(song, "piano: +0.5 dB in the hook")
    assert first.name != second.name
    hook = ((2 * RATE_HZ, 4 * RATE_HZ),)
    assert sorted(noted(third), key=str) == [("loud", 1.0, None), ("loud", 2.5, hook)]


def test_a_note_follows_its_section_when_the_sheet_moves_it(song, make_pass, make_note):
    make_note(song, "piano: +2 dB in the hook")
    (song / "session.yaml").write_text(SHEET.replace("bars 2", "bars 1"), encoding="utf-8")
    assert noted(make_pass(song)) == [("loud", 2.0, ((0, 2 * RATE_HZ),))]


def test_a_note_stays_where_it_was_when_the_sheet_forgets_the_section(song, make_pass, make_note):
    make_note(song, "piano: +2 dB in the hook")
    (song / "session.yaml").write_text("stems: {kick.wav: {leave: as it is}}\n", encoding="utf-8")
    assert noted(make_pass(song)) == [("loud", 2.0, ((2 * RATE_HZ, 4 * RATE_HZ),))]


def test_a_place_after_the_stems_end_is_refused(song, make_note):
    with pytest.raises(NoteError, match=r"piano\.wav: ends before 1:00-1:10"):
        make_note(song, "piano: more bite from 1:00 to 1:10")


def test_the_reason_of_a_move_has_its_place(song, make_note):
    _, made = make_note(song, "piano: more bite in the hook", by="Ann")
    assert "note 1 by Ann: piano: more bite (in the hook)" in [
        move.why for move in made.manifest.entries["piano.wav"].item.moves
    ]
    assert open_song(song).passes() == ["pass-01", "pass-02"]
