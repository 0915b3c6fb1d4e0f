"""Left out: a later part of a sentence goes on about the sound of the part before it. Answers are how the sentences are said in
English; what stays a level is common practice, no source."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import VOCABULARY, Stem

from stemwright.notes.language import read
from stemwright.notes.left_out import with_what_is_left_out
from stemwright.notes.tagging import Tagger
from stemwright.notes.targets import targets_of
from stemwright.notes.tokens import tokens_of

SONG = targets_of(
    [
        Stem("Kick.wav", "kick", "drums"),
        Stem("Snare.wav", "snare", "drums"),
        Stem("Bass.wav", "bass", "music"),
        Stem("Keys.wav", "keys", "music"),
        Stem("Gtr.wav", "guitar", "music"),
        Stem("Lead Vox.wav", "lead vocal", "vocals"),
    ]
)
VOX, GTR, KEYS, SNARE, BASS = "Lead Vox.wav", "Gtr.wav", "Keys.wav", "Snare.wav", "Bass.wav"


def asked(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.problems
    return [(ask.stems, ask.word, ask.amount) for ask in found.asks if ask.exact is None]


def words(text):
    tagger = Tagger(SONG, VOCABULARY)
    return " ".join(item.text for item in with_what_is_left_out(tagger.items(tokens_of(text)[1])))


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("boost the highs on the vocal and cut them on the guitar", [(VOX, "bright", 1), (GTR, "bright", -1)]),
        ("boost the air on the vocal and cut it on the guitar", [(VOX, "air", 1), (GTR, "air", -1)]),
        ("cut the lows on the keys and boost them on the snare", [(KEYS, "weight", -1), (SNARE, "weight", 1)]),
        ("bring the highs up on the vocal and down on the guitar", [(VOX, "bright", 1), (GTR, "bright", -1)]),
        ("more air on the vocal, less on the guitar", [(VOX, "air", 1), (GTR, "air", -1)]),
        ("more air on the vocal. less on the guitar", [(VOX, "air", 1), (GTR, "air", -1)]),
        ("the keys need more air and the guitar needs less", [(KEYS, "air", 1), (GTR, "air", -1)]),
        ("the keys need more air, the guitar less", [(KEYS, "air", 1), (GTR, "air", -1)]),
        ("the guitar could be less bright, the snare could be more", [(GTR, "bright", -1), (SNARE, "bright", 1)]),
        ("keys brighter, the snare less so", [(KEYS, "bright", 1), (SNARE, "bright", -1)]),
        ("less mud on the guitar, and on the keys too", [(GTR, "muddy", -1), (KEYS, "muddy", -1)]),
        ("more lows on the snare, the keys as well", [(SNARE, "weight", 1), (KEYS, "weight", 1)]),
        ("keys brighter. The guitar too.", [(KEYS, "bright", 1), (GTR, "bright", 1)]),
        ("more low end on the snare, less on the bass", [(SNARE, "weight", 1), (BASS, "weight", -1)]),
        ("keys brighter; guitar: the same", [(KEYS, "bright", 1), (GTR, "bright", 1)]),
        ("keys: brighter, guitar: same", [(KEYS, "bright", 1), (GTR, "bright", 1)]),
        ("take some air out of the keys, and a bit out of the snare", [(KEYS, "air", -1), (SNARE, "air", -0.7)]),
    ],
)
def test_what_a_later_part_leaves_out_is_the_sound_before_it(text, asks):
    assert asked(text) == [((stem,), word, pytest.approx(amount)) for stem, word, amount in asks]


@pytest.mark.parametrize(
    ("text", "gains_db"),
    [
        ("+2 dB at 3k on the guitar and -2 on the snare", {GTR: 2.0, SNARE: -2.0}),
        ("cut 3k on the guitar by 2 dB and boost it on the snare by 1", {GTR: -2.0, SNARE: 1.0}),
        ("cut 3k on the guitar by 2 dB and on the snare by 1", {GTR: -2.0, SNARE: -1.0}),
        ("boost 3k on the guitar by 2, the snare by 1", {GTR: 2.0, SNARE: 1.0}),
        ("cut 2 dB at 3k on the guitar, 3 on the snare", {GTR: -2.0, SNARE: -3.0}),
    ],
)
def test_a_frequency_is_left_out_too(text, gains_db):
    asks = read(text, SONG, VOCABULARY).asks
    moves = {ask.stems[0]: dict(ask.exact.settings) for ask in asks}
    assert {stem: (move["freq_hz"], move["gain_db"]) for stem, move in moves.items()} == {
        stem: (3000.0, gain_db) for stem, gain_db in gains_db.items()
    }


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("more air on the vocal, less guitar", [(VOX, "air", 1), (GTR, "loud", -1)]),
        ("more air on the vocal and turn the guitar down", [(VOX, "air", 1), (GTR, "loud", -1)]),
        ("keys brighter, snare up", [(KEYS, "bright", 1), (SNARE, "loud", 1)]),
        ("keys down, snare up", [(KEYS, "loud", -1), (SNARE, "loud", 1)]),
        ("keys louder, guitar less", [(KEYS, "loud", 1), (GTR, "loud", -1)]),
        ("more air on the vocal, less mud on the guitar", [(VOX, "air", 1), (GTR, "muddy", -1)]),
    ],
)
def test_what_names_a_level_or_a_sound_is_taken_at_its_word(text, asks):
    assert asked(text) == [((stem,), word, amount) for stem, word, amount in asks]


@pytest.mark.parametrize(
    "text",
    [
        "more air on the vocal, less on the vocal",  # of the same stem: not another one's
        "more air on the vocal, but not more on the guitar",
        "more air on the vocal, less reverb on the guitar",
        "low shelf on the keys at 200 +2, -2 dB on the guitar",
        "kick brighter and -2 on the snare",
        "more air and bite on the vocal, less on the guitar",  # which?
        "more air on the vocal, keys great, less on the guitar",
        "louder vocal, less on the guitar",
        "more air on the vocal, and the zither on the guitar less",
        "more air on the vocal, 3k on the guitar",
        "that's it, cut it",
        "-2 @ 300 +1 @ 8k on the keys and -1 on the snare",  # at which?
        "more airy bite on the vocal, less on the guitar",  # less of which?
    ],
)
def test_nothing_is_added_where_another_thing_may_be_meant(text):
    tagger = Tagger(SONG, VOCABULARY)
    assert words(text) == " ".join(item.text for item in tagger.items(tokens_of(text)[1]))


def test_air_is_put_into_the_bass_as_into_any_other_stem():
    assert asked("add air to the bass and also to the snare") == [((BASS, SNARE), "air", 1.0)]
    assert asked("take some mud out of the bass and the keys") == [((BASS, KEYS), "muddy", -1.0)]
    assert asked("the low end up on the guitar") == [((GTR,), "weight", 1.0)]


@pytest.mark.parametrize("lacks", ["not bright enough", "isn't bright enough"])
def test_two_stems_held_against_each_other_by_one_word(lacks):
    assert asked(f"the keys are too bright and the snare {lacks}") == [((KEYS,), "bright", -1.0), ((SNARE,), "bright", 1.0)]


@pytest.mark.parametrize(
    "text",
    ["less lows, more highs on the keys", "less lows and more highs on the keys", "more highs and less lows on the keys"],
)
def test_a_part_without_a_name_is_of_the_stem_behind_the_next(text):
    assert sorted(asked(text)) == [((KEYS,), "bright", 1.0), ((KEYS,), "weight", -1.0)]
