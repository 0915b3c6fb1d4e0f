"""Stems by their number, as people say it. What is meant is how it is said in English; that files begin with their track's number is
common practice, no source."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import VOCABULARY, Stem

from stemwright.notes.language import read
from stemwright.notes.numbered import of_number, of_track, with_a_number
from stemwright.notes.targets import targets_of

NAMES = {
    "01_Kick.wav": ("kick", "drums"),
    "02_Snare.wav": ("snare", "drums"),
    "03_HH 1.wav": ("hats", "drums"),
    "04_HH 2.wav": ("hats", "drums"),
    "05_Gtr Rhythm.wav": ("guitar", "music"),
    "06_Gtr Solo.wav": ("guitar", "music"),
    "07_Keys.wav": ("keys", "music"),
    "08_Adlib.wav": ("ad libs", "vocals"),
    "09_Adlib 2.wav": ("ad libs", "vocals"),
}
SONG = targets_of([Stem(name, *what) for name, what in NAMES.items()])


@pytest.mark.parametrize(
    ("called", "numbers"),
    [
        *((name, ("04",)) for name in ("hat 2", "hi-hat 2", "second hat", "hat two", "HH2", "the second hi-hat")),
        *((name, ("03",)) for name in ("hat 1", "first hat")),
        *((name, ("03", "04")) for name in ("hats", "hi-hats", "both hats")),
        *((name, ("09",)) for name in ("ad lib 2", "second adlib", "adlib two")),
        *((name, ("08",)) for name in ("first adlib", "ad lib 1")),
        *((name, ("07",)) for name in ("track 7", "stem 07", "#7", "number 7", "track seven", "the seventh stem")),
        *((name, ("05", "06")) for name in ("guitars", "gtrs", "guitar", "gtr", "both guitars")),
        *((name, ("06",)) for name in ("lead guitar", "solo guitar", "guitar solo")),
        *((name, ("05",)) for name in ("rhythm guitar",)),
        *((name, ("01", "02")) for name in ("kick/snare", "kick & snare", "kick and the snare")),
    ],
)
@pytest.mark.parametrize("said", ["{} louder", "{}: brighter", "take some mud out of the {}"])
def test_whom_a_number_or_a_part_means(called, numbers, said):
    text = said.format(called).replace("the the", "the").replace("the both", "both").replace("the #", "#")
    found = read(text.replace("the kick/snare", "kick/snare"), SONG, VOCABULARY)
    assert not found.problems
    assert sorted({stem[:2] for ask in found.asks for stem in ask.stems}) == list(numbers)


def test_a_number_that_no_stem_has_is_nobodys():
    assert of_track(NAMES, ("track", "12")) == ()
    assert of_track(["1 a.wav", "01 b.wav"], ("track", "1")) == ()
    assert of_track(NAMES, ("pass", "7")) == ()
    assert of_number(["Hat 1.wav", "Hat 2.wav"], "3") == ()
    assert of_number(["Hat 2.wav", "Hat 2 room.wav"], "2") == ()
    assert of_number(["Hat.wav", "Hat dry.wav"], "1") == ()
    assert of_number(["Hat.wav", "Hat 2.wav"], "1") == ("Hat.wav",)
    assert of_number(["Hat.wav", "Hat 2.wav"], "3") == ()
    assert of_number(["Hat 02.wav", "Hat 01.wav"], "2") == ("Hat 02.wav",)
    assert of_number(["02 Hat.wav", "03 Hat b.wav"], "2") == ()  # a track's number is not the hat's


@pytest.mark.parametrize(
    ("phrase", "said"),
    [
        (("hat",), None),
        (("second", "hat"), (("hat",), "2")),
        (("hat", "two"), (("hat",), "2")),
        (("hat", "2"), (("hat",), "2")),
        (("hat", "second"), None),
        (("twelfth", "stem"), (("stem",), "12")),
    ],
)
def test_a_phrase_and_its_number(phrase, said):
    assert with_a_number(phrase) == said


def test_a_word_of_one_stems_name_alone_takes_not_all_back():
    song = targets_of([Stem("gtr tremolo.wav", "guitar", "music"), Stem("Kick.wav", "kick", "drums")])
    for text in ("the tremolo was better before", "Tremolo was better yesterday."):
        assert all(back.stems == ("gtr tremolo.wav",) for back in read(text, song, VOCABULARY).backs)
    for text in ("it was better before", "I liked it better before"):
        assert [back.stems for back in read(text, song, VOCABULARY).backs] == [()]


def test_short_forms_of_rhythm_are_rhythm():
    song = targets_of([Stem("GTR RHY.wav", "guitar", "music"), Stem("GTR LEAD.wav", "guitar", "music")])
    assert [ask.stems for ask in read("rhythm gtr louder", song, VOCABULARY).asks] == [("GTR RHY.wav",)]


def test_the_pass_just_heard_is_praised_and_an_earlier_one_is_wanted_back():
    song = targets_of([Stem("Gtr.wav", "guitar", "music"), Stem("Kick.wav", "kick", "drums")])
    for text in ("love the last pass", "the last pass is great", "i love the last one"):
        found = read(text, song, VOCABULARY)
        assert (found.backs, found.approved) == ([], True)
    for text in (
        "the last pass was better",
        "i preferred the last mix",
        "go back to the last pass",
        "i liked the last pass better",
    ):
        assert read(text, song, VOCABULARY).backs


GUITARS = targets_of(
    [
        *(Stem(f"Gtr {number}.wav", "guitar", "music") for number in (1, 2, 3)),
        *(Stem(f"Hat {number}.wav", "hats", "drums") for number in (1, 2)),
        Stem("Snare.wav", "snare", "drums"),
        Stem("Lead Vox.wav", "lead vocal", "vocals"),
    ]
)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("guitars 1 and 3 brighter", {"Gtr 1.wav": "bright", "Gtr 3.wav": "bright"}),
        ("gtr 1/3 less mud", {"Gtr 1.wav": "muddy", "Gtr 3.wav": "muddy"}),
        ("gtr 1, 2 darker", {"Gtr 1.wav": "dark", "Gtr 2.wav": "dark"}),
        ("1st and 3rd guitar brighter", {"Gtr 1.wav": "bright", "Gtr 3.wav": "bright"}),
        ("the first two guitars are too loud", {"Gtr 1.wav": "loud", "Gtr 2.wav": "loud"}),
        ("2nd guitar darker", {"Gtr 2.wav": "dark"}),
        ("last guitar darker", {"Gtr 3.wav": "dark"}),
        ("guitar no. 2 darker", {"Gtr 2.wav": "dark"}),
        ("hat 1 louder, hat 2 darker", {"Hat 1.wav": "loud", "Hat 2.wav": "dark"}),
        ("gtr 1 brighter gtr 2 darker", {"Gtr 1.wav": "bright", "Gtr 2.wav": "dark"}),
        (
            "1. vocal louder 2. snare brighter 3. gtr 1 darker",
            {"Lead Vox.wav": "loud", "Snare.wav": "bright", "Gtr 1.wav": "dark"},
        ),
        ("1 the vocal is dull 2 the snare is harsh", {"Lead Vox.wav": "dull", "Snare.wav": "harsh"}),
    ],
)
def test_several_numbers_and_numbered_lists(text, asks):
    found = read(text, GUITARS, VOCABULARY)
    assert not found.problems
    assert {stem: ask.word for ask in found.asks for stem in ask.stems} == asks
    assert all(ask.gain_db is None for ask in found.asks)


def test_a_last_number_of_none_is_nobodys():
    assert of_number(["Hat a.wav", "Hat b.wav"], "last") == ()
    assert of_track(["1 a.wav"], ("last", "track")) == ()


@pytest.mark.parametrize("called", ["second guitar", "guitar one", "last guitar"])
def test_a_number_that_tells_nobody_apart_asks_which(called):
    song = targets_of([Stem("Gtr Rhythm.wav", "guitar", "music"), Stem("Gtr Solo.wav", "guitar", "music")])
    found = read(f"{called} louder", song, VOCABULARY)
    assert not found.asks
    assert f"{called}: which one? name one of: Gtr Rhythm.wav, Gtr Solo.wav" in found.problems[0][1]
