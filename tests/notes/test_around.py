"""Around: what stands round what is asked, and plain ways to say that there is not enough. Answers are how the sentences are said
in English (common practice, no source)."""

from __future__ import annotations

import pytest
from tests.notes.test_all_but import HATS, KEYS, KICK, SNARE, SONG, VOX, asked
from tests.notes.test_gist import VOCABULARY

from stemwright.notes.language import read


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
        ("the kick needs more weight but not more volume", [({KICK}, "weight", 1)]),
        ("the kick needs more punch but not more weight", [({KICK}, "punch", 1)]),
        ("loud enough kick, but snare too quiet", [({SNARE}, "quiet", -1)]),
        ("the snare could be a touch louder, though not as loud as the kick", [({SNARE}, "loud", 0.5)]),
        ("make the snare brighter and louder", [({SNARE}, "bright", 1), ({SNARE}, "loud", 1)]),
        ("the hats are harsh and so are the keys", [({HATS}, "harsh", -1), ({KEYS}, "harsh", -1)]),
        ("the vocal is too quiet because the keys are too loud", [({VOX}, "quiet", -1)]),
        ("the hats don't need to be so loud", [({HATS}, "loud", -1)]),
        ("the snare doesn't need any more level, it needs more body", [({SNARE}, "body", 1)]),
        ("hats way too bright", [({HATS}, "bright", -2)]),
        ("hats way 2 bright", [({HATS}, "bright", -2)]),
        ("not the snare, the kick isn't bright enough", [({KICK}, "bright", 1)]),
        ("the kick is better now, the keys aren't loud enough though", [({KEYS}, "loud", 1)]),
        ("more weight instead of more highs on the kick", [({KICK}, "weight", 1)]),
        ("the vocal is neither loud enough nor bright enough", [({VOX}, "loud", 1), ({VOX}, "bright", 1)]),
        ("neither of the hats is loud enough", [({HATS}, "loud", 1)]),
        ("the keys could stand to lose some low mids", [({KEYS}, "body", -0.7)]),
        ("turn up the kick and the snare a touch", [({KICK, SNARE}, "loud", 0.5)]),
        ("turn up the kick, and the snare a lot", [({KICK}, "loud", 1), ({SNARE}, "loud", 2)]),
        ("vocal up 1 dB, keys up half that", [({VOX}, "loud", 1), ({KEYS}, "loud", 0.5)]),
        ("vocal up 1 dB pls, keys down the same amount", [({VOX}, "loud", 1), ({KEYS}, "loud", -1)]),
        ("i want the kick brighter. the keys aren't loud enough", [({KICK}, "bright", 1), ({KEYS}, "loud", 1)]),
    ],
)
def test_only_what_is_asked_is_done_and_all_of_it(text, asks):
    assert asked(text) == asks


@pytest.mark.parametrize(
    "text",
    [
        "the keys aren\u2019t too loud",
        "the keys aren't too loud",
        "the kick isn't too bright, i like it",
        "the kick is not too loud for me",
    ],
)
def test_what_is_not_too_much_stays(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.asks
    assert "it says what is not so" in found.problems[0][1]


def test_all_go_back_but_for_one():
    (back,) = read("everything was better before except the vocal", SONG, VOCABULARY).backs
    assert set(back.stems) == {KICK, SNARE, HATS, KEYS}


@pytest.mark.parametrize(
    "text", ["keep the snare and put everything else back", "Keep the snare from this version, put everything else back"]
)
def test_what_is_kept_does_not_go_back(text):
    found = read(text, SONG, VOCABULARY)
    assert [set(back.stems) for back in found.backs] == [{KICK, HATS, KEYS, VOX}]
    assert found.kept_off == [SNARE]


def test_than_before_takes_nothing_back():
    assert not read("did you change the keys? They sound harsher than before", SONG, VOCABULARY).backs
    assert read("the keys were better than before", SONG, VOCABULARY).backs


def test_in_front_of_another_is_wished():
    (held,) = read("put the vocal in front of the keys", SONG, VOCABULARY).relations
    assert (held.front, held.over) == ((VOX,), (KEYS,))


def test_a_level_that_stays_the_same_gets_no_figure():
    assert asked("vocal up 1 dB, the keys are the same") == [({VOX}, "loud", 1)]


@pytest.mark.parametrize(
    "text", ["either bring the vocal up or the keys down", "turn the snare up or the kick down, whatever works"]
)
def test_a_choice_of_two_is_none(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.asks
    assert "the choice of two" in found.problems[0][1]


@pytest.mark.parametrize(
    ("text", "share"),
    [("that's too much on the hats", 0.67), ("a bit less of that on the hats", 0.67), ("more of that on the hats", 1.5)],
)
def test_that_is_what_was_done(text, share):
    found = read(text, SONG, VOCABULARY)
    assert [(back.way, back.stems, back.share) for back in found.backs] == [
        ("scale", (HATS,), pytest.approx(share, abs=0.01))
    ]


def test_a_stem_that_is_kept_stays_off():
    found = read("keep the snare, can you brighten the kick", SONG, VOCABULARY)
    assert [(set(ask.stems), ask.word) for ask in found.asks] == [({KICK}, "bright")]
    assert found.kept_off == [SNARE]
    assert not found.problems
