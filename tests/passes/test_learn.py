"""What a word turned out to mean on several stems of a role: the mean of how much of it was left standing."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from stemwright.errors import SongError
from stemwright.passes.learn import Lesson, _file_name, _lesson, learn, lessons
from stemwright.plan.items import NoteMark, PlannedMove, Said
from stemwright.recipes.moves import Move
from stemwright.recipes.words import Meaning, Vocabulary, Word
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


@pytest.mark.parametrize(("amount", "percent"), [(0.305, 30.5), (0.30567, 30.6), (0.001, 1.0), (1.2, 100.0), (1.0, 100.0)])
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


def noted(stem, role, *moves, family="music"):
    return SimpleNamespace(stem=stem, role=role, family=family, moves=moves)


def read_off(by, *items):
    return lessons(SimpleNamespace(items=lambda: list(items)), by)


def said_by(name, *, word="bite"):
    mark = bite(1.0).note
    return replace(bite(1.0), note=replace(mark, word=word, said=(replace(mark.said[0], by=name),)))


def test_only_what_a_person_said_first_is_theirs_however_the_name_is_written():
    own = PlannedMove(kind="gain", name="recipe's", why="", settings={"gain_db": 1.0})
    items = [noted("piano.wav", "keys", own, said_by("Bea"), said_by(None, word="bright"), said_by("Ann", word="boomy"))]
    assert [each.word for each in read_off("ANN", *items)] == ["boomy"]
    assert [each.word for each in read_off("Bea", *items)] == ["bite"]
    assert read_off("Cleo", *items) == []
    # Of two who spoke, the first counts: what a second person turned is still the first one's word.
    both = replace(
        bite(1.0).note, said=(replace(bite(1.0).note.said[0], by="Ann"), replace(bite(1.0).note.said[0], by="Bea"))
    )
    assert [each.word for each in read_off("Ann", noted("a.wav", "keys", replace(bite(1.0), note=both)))] == ["bite"]
    assert read_off("Bea", noted("a.wav", "keys", replace(bite(1.0), note=both))) == []


def test_stems_of_one_role_are_one_lesson_and_of_two_roles_two():
    found = read_off(
        "Ann", noted("a.wav", "keys", bite(1.0)), noted("b.wav", "keys", bite(2.0)), noted("c.wav", "pad", bite(1.0))
    )
    assert [(each.role, each.stems, each.factor) for each in found] == [
        ("keys", ("a.wav", "b.wav"), 1.5), ("pad", ("c.wav",), 1.0),
    ]  # fmt: skip
    assert {each.family for each in found} == {"music"}
    (nobody,) = read_off("Ann", noted("a.wav", None, bite(1.0), family=None))
    assert (nobody.role, nobody.family, nobody.meaning) == ("", None, None)


MEANS_2_DB = Meaning(
    to=("keys",), moves=(Move("bell", "bell", "", off=False, settings={"freq_hz": 3000.0, "gain_db": 2.0, "q": 1.0}),)
)
LESSON = Lesson(
    word="bite", role="keys", family="music", stems=("a.wav",), factor=0.5, meaning=MEANS_2_DB, said=("more bite",)
)
HOUSE = Word(name="bite", why="the front of a note", opposite="blunt", means=(Meaning(),))


def written_by(tmp_path, *found, known=(HOUSE,), by="Ann"):
    path, learned = learn(found, by, tmp_path, Vocabulary(known), "a song pass-02")
    return path, learned, path.read_text(encoding="utf-8") if path.exists() else None


def test_what_is_learned_is_written_with_its_reason_and_the_opposite_it_has(tmp_path):
    path, learned, text = written_by(tmp_path, LESSON)
    assert (path, learned) == (tmp_path / "words" / "ann.yaml", [LESSON])
    assert "learned from a song pass-02, where x0.5 was approved after: more bite" in text
    assert 'opposite: "blunt"' in text
    assert 'to: ["keys"]' in text
    assert written_by(tmp_path, LESSON)[1] == []  # it is known now
    louder = replace(LESSON, meaning=replace(MEANS_2_DB, moves=(replace(MEANS_2_DB.moves[0], settings={
        "freq_hz": 3000.0, "gain_db": 3.0, "q": 1.0}),)))  # fmt: skip
    assert written_by(tmp_path, louder)[1] == [louder]


def test_what_another_role_means_by_the_word_stays(tmp_path):
    written_by(tmp_path, LESSON)
    pad = replace(LESSON, role="pad", meaning=replace(MEANS_2_DB, to=("pad",)))
    text = written_by(tmp_path, pad)[2]
    assert 'to: ["keys"]' in text
    assert 'to: ["pad"]' in text
    again = replace(LESSON, meaning=Meaning(to=("keys",), rings_percent=30.0))
    text = written_by(tmp_path, again)[2]
    assert text.count('to: ["keys"]') == 1
    assert "30" in text


def test_rings_that_mean_as_much_already_are_not_learned_again(tmp_path):
    rings = replace(LESSON, word="ringing", meaning=Meaning(to=("keys",), rings_percent=30.0))
    assert written_by(tmp_path, rings)[1] == [rings]
    assert written_by(tmp_path, rings)[1] == []
    more = replace(rings, meaning=Meaning(to=("keys",), rings_percent=40.0))
    assert written_by(tmp_path, more)[1] == [more]


def test_what_taught_nothing_is_not_written(tmp_path):
    assert written_by(tmp_path, replace(LESSON, meaning=None, skipped="it was asked for in dB")) == (
        tmp_path / "words" / "ann.yaml", [], None,
    )  # fmt: skip


def test_a_word_known_by_its_opposite_alone_is_learned(tmp_path):
    # "blunt" is "bite" turned round: nobody said yet what more of it means by itself.
    turned = [HOUSE, Word(name="blunt", why="the other way", opposite="bite")]
    same = replace(LESSON, word="blunt", meaning=Meaning())
    assert written_by(tmp_path, same, known=turned)[1] == [same]
    house = replace(LESSON, word="bite", meaning=Meaning())
    assert written_by(tmp_path, house, known=turned, by="Bea")[1] == []


def test_a_file_that_cannot_be_written_is_said(tmp_path):
    (tmp_path / "words").write_text("a file where the folder goes", encoding="utf-8")
    with pytest.raises(SongError, match=r"ann\.yaml: cannot be written \(.*\); nothing was changed$"):
        learn([LESSON], "Ann", tmp_path, Vocabulary([HOUSE]), "a song")


def test_a_reason_of_many_notes_is_cut_so_that_the_file_can_be_read_again(tmp_path):
    long = replace(LESSON, said=tuple(f"note {number}: {'more bite ' * 20}" for number in range(50)))
    text = written_by(tmp_path, long)[2]
    (why,) = [line for line in text.splitlines() if "learned from" in line]
    assert len(why.partition("learned from")[2]) < 1500
    assert written_by(tmp_path, long)[1] == []
