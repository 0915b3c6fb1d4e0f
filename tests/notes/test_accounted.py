"""Accounted: figures that are all in what is asked, each once, stand without the whole; others do not. Arithmetic on paper."""

from __future__ import annotations

import pytest
from tests.notes.test_complaints import SONG
from tests.notes.test_gist import VOCABULARY

from stemwright.notes.accounted import is_accounted, lost_hz, twice
from stemwright.notes.gist.reading import items_of
from stemwright.notes.language import NO_TIMELINE, read
from stemwright.notes.placed import PlacedConversation


def asks(text):
    return read(text, SONG, VOCABULARY).asks


def items(text):
    return [item for item in items_of(text, SONG, VOCABULARY)[1] if item is not None]


@pytest.mark.parametrize(
    ("asked", "said", "accounted"),
    [
        ("keys -2 dB at 300 Hz", "keys -2 dB at 300 Hz", True),
        ("keys -2 dB at 300 Hz", "keys -2 dB at 300 Hz, 3 dB", False),
        ("keys -2 dB at 300 Hz", "keys at 300 Hz", False),
        ("keys -2 dB at 300 Hz", "keys -2 dB at 300 Hz and 1 kHz", False),
        ("keys -2 dB", "keys -2 dB", True),
        ("keys -2 dB", "keys -2 dB there", False),
        ("keys -2 dB", "keys -2 dB at the same spot", False),
        ("keys -2 dB", "keys -2 dB, high pass", False),
        ("keys brighter", "keys brighter", False),
    ],
)
def test_figures_are_accounted_for(asked, said, accounted):
    assert is_accounted(asks(asked), items(said)) is accounted


def test_what_is_asked_twice_is_not_accounted_for():
    once = asks("keys -2 dB")
    assert list(twice(once)) == []
    assert list(twice([*once, *once])) == ['level of "Keys.wav"']
    assert not is_accounted([*once, *once], items("keys -2 dB"))


def test_a_frequency_that_nothing_has_is_lost():
    assert list(lost_hz(asks("keys -2 dB at 300 Hz"), items("keys -2 dB at 300 Hz"))) == []
    assert list(lost_hz(asks("keys -2 dB at 200 to 450 Hz"), items("keys -2 dB at 200 to 450 Hz"))) == []  # centre 300
    assert list(lost_hz(asks("keys -2 dB"), items("keys at 780 Hz, -2 dB"))) == ["780 Hz"]
    assert list(lost_hz(asks("keys -2 dB"), items("keys -2 dB in bars 21 to 28"))) == []


def test_a_note_that_would_lose_its_frequency_is_refused():
    found = read("there is a tone at 780 hz in the keys, remove 5 dB", SONG, VOCABULARY)
    assert "780 hz: of what?" in found.problems[0][1]


def test_a_move_the_other_way_answers_no_fault():
    found = PlacedConversation(SONG, VOCABULARY, NO_TIMELINE).read("the keys are muddy, add 2 dB at 300")
    assert [ask.word for ask in found.asks] == ["muddy", "bell"]
