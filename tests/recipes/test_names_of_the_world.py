"""Names in more languages, in compounds and small forms, and what a song's language and letters settle.

Which name means which instrument is common practice, no source; songs, people and spellings are made up.
"""

from __future__ import annotations

import pytest

from stemwright.recipes.deciding import Match
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library
from stemwright.recipes.matching import match_all

HOUSE = load_library([house_dir()])


def roles(stems, *titles):
    found = match_all(stems, HOUSE, titles).values()
    return [each.recipe.name if isinstance(each, Match) else None for each in found]


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("werbelek", "snare"), ("pstryk", "snap"), ("wibrafon", "mallets"), ("zvonkohra", "bells"), ("bubnjevi", "drum bus"),
        ("тарелка", "cymbals"), ("kuplet", "lead vocal"), ("spilåpipa", "woodwinds"), ("dombjällra", "shaker"), ("haitari", "organ"),
        ("nokkahuilu", "woodwinds"), ("rézfúvósok", "brass"), ("billentyű", "keys"), ("girnata", "woodwinds"), ("ziller", "cymbals"),
        ("παλαμάκια", "clap"), ("taaliyan", "clap"), ("jaltarang", "mallets"), ("haihatto", "hats"), ("gangqin", "piano"),
        ("hwaeum", "harmonies"), ("sangban", "percussion"), ("guimbarde", "percussion"), ("gaviotas", "effects"),
        ("tammorra", "percussion"),
    ],
)  # fmt: skip
def test_words_of_more_languages_are_read(name, role):
    assert roles([f"{name}.wav"]) == [role]


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("Hausorgel", "organ"), ("Bassblockflöte", "woodwinds"), ("torpgitarr", "guitar"), ("skolekuoro", "choir"),
        ("Hofgeräusche", "effects"),
    ],
)  # fmt: skip
def test_a_compound_is_what_its_last_part_is(name, role):
    assert roles([f"{name}.wav"]) == [role]


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("clarinetito", "woodwinds"), ("pandeirinho", "percussion"), ("trompetje", "brass"),
        ("trumpetish", "brass"), ("marimbaesque", "mallets"), ("castillo", None), ("mastery", None),
    ],
)  # fmt: skip
def test_a_small_form_or_an_adjective_is_what_it_is_made_of(name, role):
    assert roles([f"{name}.wav"]) == [role]


@pytest.mark.parametrize(("name", "role"), [("Schuettelrohr", "shaker"), ("Luftfloeten", "woodwinds"), ("wokół", None)])
def test_umlauts_in_two_letters_and_letters_with_a_stroke_are_read_as_they_are_meant(name, role):
    assert roles([f"{name}.wav"]) == [role]


@pytest.mark.parametrize("word", ["recover", "swing", "console", "regent", "tribe", "gerade", "meaning", "peach", "asegura"])
def test_a_word_of_one_language_is_no_slip_of_anothers(word):
    assert roles([f"{word} thing.wav"]) == [None]


def test_a_short_word_is_of_the_language_that_the_songs_others_are_in():
    assert roles(["davul.wav", "zil.wav", "def Orhun.wav", "klavye.wav"])[1] == "cymbals"
    assert roles(["kick.wav", "zil.wav", "suzu.wav"])[1:] == [None, None]
    assert roles(["taiko.wav", "suzu.wav"])[1] == "bells"


def test_letters_of_a_beat_are_read_beside_each_other():
    beat = ["K.wav", "S.wav", "C.wav", "H.wav", "B.wav", "SB.wav", "AL.wav", "Sh.wav", "LV.wav", "P.wav"]
    assert roles(beat)[2:] == [
        "clap", "hats", "bass", "sub bass", "ad libs", "shaker", "lead vocal", "percussion",
    ]  # fmt: skip


def test_letters_of_a_band_have_an_organ_and_two_guitars():
    band = ["K.wav", "S.wav", "H.wav", "OH.wav", "R.wav", "B.wav", "G.wav", "Ga.wav", "Or.wav", "V.wav"]
    assert roles(band)[7:9] == ["acoustic guitar", "organ"]


def test_letters_of_horns_are_read_where_three_are_there():
    assert roles(["kick.wav", "Tp.wav", "Tb.wav", "As.wav"])[1:] == ["brass", "brass", "woodwinds"]
    assert roles(["kick.wav", "As.wav", "Tb.wav"])[1:] == [None, "reference"]


def test_a_word_with_a_capital_beside_a_part_of_the_song_is_somebodys():
    others = ["kick.wav", "pad.wav", "bell.wav"]
    assert roles([*others, "verse Krum.wav"])[-1] == "lead vocal"
    assert roles([*others, "verse krum.wav"])[-1] is None
    assert roles(["Kick.wav", "Pad.wav", "Bell.wav", "Krum verse.wav"])[-1] is None


def test_an_audience_on_two_sides_is_no_unnamed_track():
    assert roles(["kick.wav", "aud L.wav", "aud R.wav", "aud 3.wav"]) == ["kick", "effects", "effects", None]


def test_letters_that_end_several_names_and_given_names_do_not_hide_a_short_form():
    kit = ["xx snr-qv.wav", "xx hat-qv.wav", "xx kik-qv.wav", "xx ft-qv.wav", "bass-zz.wav", "pno.wav", "pad.wav"]
    assert roles(kit)[3] == "toms"
    assert roles(["snare.wav", "kick.wav", "ft Ingrid.wav"])[-1] == "toms"


@pytest.mark.parametrize("name", ["lady talking", "she speaks softly"])
def test_talk_is_a_sample_of_a_voice_where_nothing_else_is_said(name):
    assert roles([f"{name}.wav"]) == ["vocal sample"]
    assert roles(["talking pad.wav"]) == ["pad"]
