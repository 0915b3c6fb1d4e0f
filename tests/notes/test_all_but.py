"""All but: a note that is happy with everything and goes on about one stem. Answers are how the sentences are said in English (common
practice, no source); words for all mean all others only where they are asked to change."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import VOCABULARY, Stem

from stemwright.notes.all_but import about_the_one_left_out
from stemwright.notes.language import read
from stemwright.notes.targets import targets_of

KICK, SNARE, HATS, KEYS, VOX = "Kick.wav", "Snare.wav", "Hats.wav", "Keys.wav", "Lead Vox.wav"
SONG = targets_of(
    [
        Stem(KICK, "kick", "drums"),
        Stem(SNARE, "snare", "drums"),
        Stem(HATS, "hats", "drums"),
        Stem(KEYS, "keys", "music"),
        Stem(VOX, "lead vocal", "vocals"),
    ]
)


def asked(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.problems
    return [(set(ask.stems), ask.word, ask.gain_db or ask.amount) for ask in found.asks]


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("Everything apart from the lead vocal feels great. He's boxed-in", [({VOX}, "boxy", -1)]),
        ("everything but the kick is perfect. it's too boomy", [({KICK}, "boomy", -1)]),
        ("all good except the snare. it's too loud", [({SNARE}, "loud", -1)]),
        ("love everything except the keys. make them darker", [({KEYS}, "dark", 1)]),
        ("everything's perfect except the kick, bit too loud", [({KICK}, "loud", -0.7)]),
        ("everything\u2019s perfect except the kick, it\u2019s too loud", [({KICK}, "loud", -1)]),
        ("I'm happy with everything except the hats, they're harsh", [({HATS}, "harsh", -1)]),
        ("love it all but the keys, could you turn them down 2 dB?", [({KEYS}, "loud", -2)]),
        ("everything is fine except for the snare, needs more crack", [({SNARE}, "crack", 1)]),
        ("everything sounds great but the vocal needs more air", [({VOX}, "air", 1)]),
        ("everything is great but the vocal lacks air", [({VOX}, "air", 1)]),
        ("everything sounds great except the vocal needs more air", [({VOX}, "air", 1)]),
        ("everything works except that the kick is too boomy", [({KICK}, "boomy", -1)]),
        ("everything sounds great but more air on the vocal", [({VOX}, "air", 1)]),
        ("everything sounds great but turn the vocal up", [({VOX}, "loud", 1)]),
        ("it's all great, but the vocal should be louder", [({VOX}, "loud", 1)]),
        ("the mix is perfect but the vocal is too quiet", [({VOX}, "quiet", -1)]),
        (
            "I love everything but the snare needs crack and the hats are too loud",
            [({SNARE}, "crack", 1), ({HATS}, "loud", -1)],
        ),
    ],
)
def test_the_one_that_is_not_fine_is_changed_and_nothing_else(text, asks):
    assert asked(text) == asks


def test_what_is_to_change_but_for_one_still_does():
    assert asked("everything louder but the vocal") == [({KICK, SNARE, HATS, KEYS}, "loud", 1)]
    assert asked("everything but the vocal needs more air") == [({KICK, SNARE, HATS, KEYS}, "air", 1)]


@pytest.mark.parametrize(
    "text",
    [
        "everything is perfect but the vocal",
        "everything is fine but the kick and the snare",
        "everything louder except the kick. it's fine",
        "the kick is great but the snare needs more crack",
        "it's all good but a bit too bright",
    ],
)
def test_other_notes_are_left_as_they_are(text):
    assert about_the_one_left_out(text) == text
