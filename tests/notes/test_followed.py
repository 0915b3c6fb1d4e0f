"""What the words of a note came to, as the network is shown it."""

from __future__ import annotations

import numpy as np
import pytest
from tests.notes.test_gist import EFFECTS, SONG, VOCABULARY

from stemwright.notes.frames import Relation
from stemwright.notes.gist.effects import WAYS
from stemwright.notes.gist.followed import FOLLOWED, followed
from stemwright.notes.gist.looks import looks
from stemwright.notes.gist.reading import items_of
from stemwright.notes.language import NO_TIMELINE
from stemwright.notes.placed import PlacedConversation
from stemwright.notes.understood import NoteRead

PIANO = SONG.stems.index("Piano.wav")
BRIGHTER, DARKER = {"more highs", "more esses"}, {"less highs", "less esses"}  # a shelf from 6 kHz up
OF_A_STEM = ("asked", "named", "exact", "timed", "back", "kept off", "in front", "over")
OF_THE_NOTE = (
    "asks", "back", "all back", "kept off", "relation", "timed", "not ours", "approved", "problems", "firm", "passed over",
)  # fmt: skip


def shown(text: str) -> np.ndarray:
    return followed(PlacedConversation(SONG, VOCABULARY, NO_TIMELINE).read(text), SONG, EFFECTS)


def said(row: np.ndarray) -> tuple[set[str], set[str], float, set[str]]:
    """Return the ways, how the stem is spoken of, the share of stems asked for, and what became of the note."""
    parts = np.split(row, (len(WAYS), len(WAYS) + len(OF_A_STEM), len(WAYS) + len(OF_A_STEM) + 1))
    return (
        {way for way, each in zip(WAYS, parts[0], strict=True) if each},
        {how for how, each in zip(OF_A_STEM, parts[1], strict=True) if each},
        float(parts[2][0]),
        {what for what, each in zip(OF_THE_NOTE, parts[3], strict=True) if each},
    )


@pytest.mark.parametrize(
    ("text", "ways", "how", "share", "note"),
    [
        ("piano brighter", BRIGHTER, {"asked", "named"}, 0.2, {"asks"}),
        ("bass louder", set(), set(), 0.2, {"asks"}),
        ("piano -2 dB at 300 Hz", {"less low mids"}, {"asked", "named", "exact"}, 0.2, {"asks"}),
        ("piano down 2 dB", {"quieter"}, {"asked", "named", "exact"}, 0.2, {"asks"}),
        ("everything a bit darker", DARKER, {"asked"}, 1.0, {"asks"}),
        ("undo that on the piano", set(), {"back"}, 0.0, {"back"}),
        ("undo that", set(), {"back"}, 0.0, {"back", "all back"}),
        ("hats darker, don't touch the piano", set(), {"kept off"}, 0.2, {"asks", "kept off"}),
        ("piano brighter from 0:10 to 0:20", BRIGHTER, {"asked", "named", "timed"}, 0.2, {"asks", "timed"}),
        ("more reverb on the piano", set(), set(), 0.0, {"not ours"}),
        ("perfect, print it", set(), set(), 0.0, {"approved"}),
        ("the oboe is too loud", set(), set(), 0.0, {"problems", "firm"}),
    ],
)
def test_what_is_shown_of_a_note(text, ways, how, share, note):
    found = said(shown(text)[PIANO])
    assert (found[0], found[1], found[3]) == (ways, how, note)
    assert found[2] == pytest.approx(share)


def test_one_over_another():
    rows = followed(NoteRead(relations=[Relation(front=("Piano.wav",), over=("Bass.wav",), text="")]), SONG, EFFECTS)
    assert said(rows[PIANO])[1] == {"in front"}
    assert said(rows[SONG.stems.index("Bass.wav")])[1] == {"over"}
    assert said(rows[0])[1:] == (set(), 0.0, {"relation"})


def test_nothing_followed_is_nothing_shown():
    assert not followed(NoteRead(), SONG, EFFECTS).any()
    assert not followed(NoteRead(passed_over=["well"]), SONG, EFFECTS)[:, :-1].any()


def test_it_stands_in_the_place_before_the_words_alone():
    text = "piano brighter"
    reading = PlacedConversation(SONG, VOCABULARY, NO_TIMELINE).read(text)
    items = items_of(text, SONG, VOCABULARY)[1]
    seen, before = (looks(items, each, SONG, EFFECTS).own for each in (reading, NoteRead()))
    np.testing.assert_array_equal(seen[:, 0, -FOLLOWED:], followed(reading, SONG, EFFECTS))
    assert not seen[:, 1:, -FOLLOWED:].any()
    np.testing.assert_array_equal(seen[:, :, :-FOLLOWED], before[:, :, :-FOLLOWED])
