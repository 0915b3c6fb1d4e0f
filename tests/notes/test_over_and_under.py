"""Over and under: a stem against all others, under another, or named behind what is asked. Answers are how the sentences are said in
English (common practice, no source)."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import VOCABULARY, Stem

from stemwright.notes.language import read
from stemwright.notes.targets import targets_of

SONG = targets_of(
    [
        Stem("Kick.wav", "kick", "drums"),
        Stem("Snare.wav", "snare", "drums"),
        Stem("Bass.wav", "bass", "music"),
        Stem("Keys.wav", "keys", "music"),
        Stem("Pad.wav", "pad", "music"),
        Stem("Lead Vox.wav", "lead vocal", "vocals"),
    ]
)
VOX, PAD, KEYS, SNARE, BASS, KICK = "Lead Vox.wav", "Pad.wav", "Keys.wav", "Snare.wav", "Bass.wav", "Kick.wav"


def asked(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.problems
    return [(set(ask.stems), ask.word, ask.gain_db or ask.amount) for ask in found.asks if ask.exact is None]


@pytest.mark.parametrize(
    ("text", "stem", "amount"),
    [
        ("the bass is drowning everybody", BASS, -1),
        ("the bass drowns out the rest", BASS, -1),
        ("the pad is washing over everything", PAD, -1),
        ("the pad is masking the mix", PAD, -1),
        ("the keys sit on top of everything", KEYS, -1),
        ("the keys shouldn't be on top of everything", KEYS, -1),
        ("put the vocal on top of the mix", VOX, 1),
        ("i want the vocal on top of everything", VOX, 1),
        ("put the vocal over everything", VOX, 1),
        ("keys behind the vocal a bit more", KEYS, -0.7),
        ("keys behind the vocal a bit less", KEYS, 0.7),
        ("pad further under the keys", PAD, -1),
        ("a bit more of the keys under the vocal", KEYS, 0.7),
        ("the keys are too loud under the vocal", KEYS, -1),
    ],
)
def test_a_stem_against_others(text, stem, amount):
    assert asked(text) == [({stem}, "loud", pytest.approx(amount))]


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("keys louder and the pad", [({KEYS, PAD}, "loud", 1)]),
        ("keys louder and the pad please", [({KEYS, PAD}, "loud", 1)]),
        ("keys brighter and also the pad", [({KEYS, PAD}, "bright", 1)]),
        ("turn the keys down 2 dB and the snare", [({KEYS, SNARE}, "loud", -2)]),
        ("keys louder and the pad, kick darker", [({KEYS, PAD}, "loud", 1), ({KICK}, "dark", 1)]),
        ("keys louder, pad and kick darker", [({KEYS}, "loud", 1), ({PAD, KICK}, "dark", 1)]),
        ("keys louder and pad and kick darker", [({KEYS}, "loud", 1), ({PAD, KICK}, "dark", 1)]),
        ("more low end on the snare and the kick pls", [({SNARE, KICK}, "weight", 1)]),
    ],
)
def test_a_name_behind_what_is_asked(text, asks):
    assert asked(text) == asks


def test_please_ends_a_list():
    (ask,) = read("roll off under 100 on the keys and the snare pls", SONG, VOCABULARY).asks
    assert set(ask.stems) == {KEYS, SNARE}


def test_drowning_under_another_holds_the_other_over_it():
    (held,) = read("the vocal is drowning under the keys", SONG, VOCABULARY).relations
    assert (held.front, held.over) == ((VOX,), (KEYS,))
    (held,) = read("the keys are drowning the vocal", SONG, VOCABULARY).relations
    assert (held.front, held.over) == ((VOX,), (KEYS,))
