"""Which one: stems that share a name, told apart by a word. Answers are how the sentences are said in English (common practice, no
source)."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import VOCABULARY, Stem

from stemwright.notes.language import read
from stemwright.notes.targets import targets_of

SONG = targets_of(
    [
        Stem("Kick.wav", "kick", "drums"),
        Stem("Guitar 1.wav", "guitar", "music"),
        Stem("Guitar 2.wav", "guitar", "music"),
        *(Stem(f"Pad {number}.wav", "pad", "music") for number in (1, 2, 3)),
    ]
)


def noted(text):
    return read(text, SONG, VOCABULARY)


@pytest.mark.parametrize(
    ("text", "first", "second"),
    [
        ("first guitar louder, second one darker", ["Guitar 1.wav"], ["Guitar 2.wav"]),
        ("first guitar louder, the second darker", ["Guitar 1.wav"], ["Guitar 2.wav"]),
        ("guitar 2 louder, the other one darker", ["Guitar 2.wav"], ["Guitar 1.wav"]),
        ("guitar 2 louder, the other guitar darker", ["Guitar 2.wav"], ["Guitar 1.wav"]),
        ("pad 2 louder, the other pads darker", ["Pad 2.wav"], ["Pad 1.wav", "Pad 3.wav"]),
        ("pad 2 louder, the third one darker", ["Pad 2.wav"], ["Pad 3.wav"]),
    ],
)
def test_a_word_tells_one_stem_from_those_like_it(text, first, second):
    found = noted(text)
    assert [(list(ask.stems), ask.word, ask.amount) for ask in found.asks] == [(first, "loud", 1), (second, "dark", 1)]
    assert not found.problems


@pytest.mark.parametrize(
    ("text", "choice"),
    [
        ("turn up one of the guitars", "one of the guitars: which one? name one of: Guitar 1.wav, Guitar 2.wav"),
        ("one of the pads is too loud", "one of the pads: which one? name one of: Pad 1.wav, Pad 2.wav, Pad 3.wav"),
        ("the other guitar darker", "the other guitar: which one? name one of: Guitar 1.wav, Guitar 2.wav"),
        ("pad 1 louder, the other one darker", "the other one: which one? name one of: Pad 2.wav, Pad 3.wav"),
    ],
)
def test_what_does_not_tell_is_asked_and_touches_none(text, choice):
    found = noted(text)
    assert choice in [why for _, why in found.problems]
    assert not {stem for ask in found.asks for stem in ask.stems} - {"Pad 1.wav"}


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("turn up one of the kicks", [("Kick.wav", "loud")]),
        ("guitar 1 louder, the second verse is fine", [("Guitar 1.wav", "loud")]),
        ("guitar 1 louder, the second pad darker", [("Guitar 1.wav", "loud"), ("Pad 2.wav", "dark")]),
    ],
)
def test_what_is_one_already_or_counts_something_else_stays(text, asked):
    found = noted(text)
    assert [(stem, ask.word) for ask in found.asks for stem in ask.stems] == asked
    assert not found.problems


@pytest.mark.parametrize("text", ["one thing: kick louder", "on the other hand the kick could be louder"])
def test_other_words_of_one_and_other_name_nobody(text):
    assert [(ask.stems, ask.word) for ask in noted(text).asks] == [(("Kick.wav",), "loud")]


@pytest.mark.parametrize(
    "text",
    [
        "left and right strings louder",
        "both the left and right string louder",
        "left strings and right strings louder",
        "strings L and strings R louder",
    ],
)
def test_the_left_and_the_right_one_are_both(text):
    pair = targets_of(
        [*(Stem(f"Strings {side}.wav", "strings", "music") for side in "LR"), Stem("Solo strings.wav", "strings", "music")]
    )
    assert [set(ask.stems) for ask in read(text, pair, VOCABULARY).asks] == [{"Strings L.wav", "Strings R.wav"}]
    assert read("left strings louder", pair, VOCABULARY).problems
    assert read("turn down the right strings, not the left", pair, VOCABULARY).problems


def test_also_does_not_hide_too():
    found = noted("pad 1 darker, kick also too bright")
    assert [(ask.stems, ask.word, ask.amount) for ask in found.asks] == [
        (("Pad 1.wav",), "dark", 1),
        (("Kick.wav",), "bright", -1),
    ]


def test_two_faults_of_one_stem_are_both_mended():
    found = noted("the kick is too quiet and not bright enough")
    assert [(ask.word, ask.amount) for ask in found.asks] == [("quiet", -1), ("bright", 1)]
