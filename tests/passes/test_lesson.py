"""What a word turned out to mean on several stems of a role: the mean of how much of it was left standing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stemwright.errors import SongError
from stemwright.passes.learn import _file_name, _lesson
from stemwright.plan.items import NoteMark, PlannedMove, Said
from stemwright.recipes.words_reading import MOST_DB


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


# A meaning is so much at most and never nothing (0.01 dB); of rings 1 to 100 % of the excess.
@pytest.mark.parametrize(
    ("amount", "base_db", "gain_db"),
    [(1.0, 0.004, 0.01), (1.0, -0.004, 0.01), (9.0, 4.0, MOST_DB), (9.0, -4.0, -MOST_DB), (1.333, 1.5, 2.0)],
)
def test_what_is_learned_is_a_gain_that_a_word_may_have(amount, base_db, gain_db):
    found = _lesson("bite", "keys", [("piano.wav", [bite(amount, base_db=base_db)])])
    assert [move.settings["gain_db"] for move in found.meaning.moves] == [gain_db]
    assert found.meaning.moves[0].settings["freq_hz"] == 3000.0


@pytest.mark.parametrize(("amount", "percent"), [(0.305, 30.5), (0.001, 1.0), (1.2, 100.0), (1.0, 100.0)])
def test_of_rings_a_share_is_learned(amount, percent):
    ring = replace(bite(amount), found={"asked_by": "rings"})
    found = _lesson("ringing", "keys", [("piano.wav", [ring])])
    assert (found.meaning.rings_percent, found.meaning.to, found.meaning.moves) == (percent, ("keys",), ())


def test_only_what_was_first_asked_in_db_says_nothing():
    first = Said(note=1, text="more bite", by="Ann", amount=1.0)
    second = Said(note=2, text="bite +1 dB", by="Ann", amount=0.5, exact=True)
    later = replace(bite(1.0).note, said=(first, second))
    found = _lesson("bite", "keys", [("piano.wav", [replace(bite(1.0), note=later)])])
    assert (found.skipped, found.factor) == ("", 1.0)
    assert found.said == ("more bite", "bite +1 dB")


def test_a_word_of_two_moves_alike_on_two_stems_is_one_lesson():
    both = [bite(2.0), bite(2.0, base_db=3.0)]
    found = _lesson("bite", "keys", [("piano.wav", both), ("organ.wav", both)])
    assert [move.settings["gain_db"] for move in found.meaning.moves] == [3.0, 6.0]


def test_nothing_learned_of_one_stem_turned_round_while_another_was_not():
    found = _lesson("bite", "keys", [("piano.wav", [bite(1.0)]), ("organ.wav", [bite(-0.5)])])
    assert found.skipped == "later notes turned it round, so it was another word that was meant"


@pytest.mark.parametrize(
    ("by", "name"), [("Ann", "ann"), ("Ann B. #2", "ann-b-2"), ("x" * 150, "x" * 100), ("Žofie", "žofie")]
)
def test_a_persons_words_have_a_file_of_their_name(by, name):
    assert _file_name(by) == name


def test_a_name_without_a_letter_is_refused():
    with pytest.raises(SongError, match=r"^--by '\?!': no letter or digit in it; write a name$"):
        _file_name("?!")
