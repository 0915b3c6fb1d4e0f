"""What a word turned out to mean on several stems of a role: the mean of how much of it was left standing."""

from __future__ import annotations

import pytest

from stemwright.passes.learn import _lesson
from stemwright.plan.items import NoteMark, PlannedMove, Said


def bite(amount, *, base_db=1.5, said=1.0, exact=False):
    """Return a move of a note that said so much of a word, of which so much is left."""
    mark = NoteMark(
        word="bite",
        meaning="",
        amount=amount,
        base_db=base_db,
        said=(Said(note=1, text="more bite", by="Ann", amount=said, exact=exact),),
    )
    settings = {"freq_hz": 3000.0, "gain_db": base_db * amount, "q": 1.0}
    return PlannedMove(kind="bell", name="note 1: bite", why="", settings=settings, note=mark)


# Arithmetic: once and twice as much are one and a half times as much, of a base of 1.5 dB 2.25 dB.
def test_of_two_stems_the_mean_is_learned():
    found = _lesson("bite", "keys", [("piano.wav", [bite(1.0)]), ("organ.wav", [bite(2.0)])])
    assert (found.factor, found.stems, found.said) == (1.5, ("piano.wav", "organ.wav"), ("more bite",))
    assert [move.settings["gain_db"] for move in found.meaning.moves] == [2.25]


def test_how_much_was_said_is_what_is_left_held_against():
    assert _lesson("bite", "keys", [("piano.wav", [bite(1.0, said=2.0)])]).factor == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("role", "moves", "why"),
    [
        ("", [bite(1.0)], "the stem has no role"),
        ("keys", [bite(1.0, exact=True)], "it was asked for in dB"),
        ("keys", [bite(-1.0)], "later notes turned it round"),
        ("keys", [bite(0.0)], "later notes turned it round"),
        ("keys", [bite(1.0), bite(1.0, base_db=2.0)], "different moves"),
    ],
)
def test_what_says_nothing_of_the_word_is_passed_over(role, moves, why):
    found = _lesson("bite", role, [(f"{number}.wav", [move]) for number, move in enumerate(moves)])
    assert why in found.skipped
    assert found.meaning is None
