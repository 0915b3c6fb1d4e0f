"""Around: what stands round what is asked, and plain ways to say that there is not enough. Answers are how the sentences are said
in English (common practice, no source)."""

from __future__ import annotations

import pytest
from tests.notes.test_all_but import HATS, KEYS, KICK, SNARE, SONG, VOX
from tests.notes.test_gist import VOCABULARY

from stemwright.notes.language import read


def asked(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.problems
    return [(set(ask.stems), ask.word, ask.gain_db or ask.amount) for ask in found.asks]


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("turn the keys down because i can't hear the snare", [({KEYS}, "loud", -1)]),
        ("the hats need more air cause I can barely hear the snare", [({HATS}, "air", 1)]),
        ("can you brighten the hats without touching the kick", [({HATS}, "bright", 1)]),
        ("i want the vocal brighter without changing the keys", [({VOX}, "bright", 1)]),
        ("the kick isn't bright enough so the keys can breathe", [({KICK}, "bright", 1)]),
        ("big improvement! the kick is too loud, don't change anything else", [({KICK}, "loud", -1)]),
        ("the kick is too loud, that's all", [({KICK}, "loud", -1)]),
        ("the snare is a bit less bright than i'd like", [({SNARE}, "bright", 1)]),
        ("the snare isn't as bright as we wanted", [({SNARE}, "bright", 1)]),
        ("the snare is brighter than i'd like", [({SNARE}, "bright", -1)]),
        ("the vocal isn't loud enough", [({VOX}, "loud", 1)]),
        ("the keys lack air, the vocal isn't bright enough thanks", [({KEYS}, "air", 1), ({VOX}, "bright", 1)]),
        ("more bite on the keys. Also the vocal isn't loud enough", [({KEYS}, "bite", 1), ({VOX}, "loud", 1)]),
        (
            "can you brighten the keys, can you brighten the kick, the rest is great",
            [({KEYS}, "bright", 1), ({KICK}, "bright", 1)],
        ),
        ("i like the keys now. the snare isn't bright enough", [({SNARE}, "bright", 1)]),
        ("the hats aren't loud enough, the kick is a little harsh", [({HATS}, "loud", 1), ({KICK}, "harsh", -0.7)]),
    ],
)
def test_only_what_is_asked_is_done_and_all_of_it(text, asks):
    assert asked(text) == asks


@pytest.mark.parametrize(
    "text", ["the keys aren't too loud", "the kick isn't too bright, i like it", "the kick is not too loud for me"]
)
def test_what_is_not_too_much_stays(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.asks
    assert "it says what is not so" in found.problems[0][1]


def test_a_stem_that_is_kept_stays_off():
    found = read("keep the snare, can you brighten the kick", SONG, VOCABULARY)
    assert [(set(ask.stems), ask.word) for ask in found.asks] == [({KICK}, "bright")]
    assert found.kept_off == [SNARE]
    assert not found.problems
