"""Names as words, and sides of pairs."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright.stems.names import pairs, side_of, split_words, words_of

WORDS = [
    ("HiHat 01_PRINT.wav", "hi hat 01 print"),
    ("HHat.wav", "hhat"),
    ("BVs.wav", "bvs"),
    ("BGVs 2.aif", "bgvs 2"),
    ("808s.wav", "808 s"),
    ("Lead VOX.flac", "lead vox"),
    ("leadVox.wav", "lead vox"),
    ("KICKIN.wav", "kickin"),
    ("OH_L.wav", "oh l"),
    ("Drums/Kick.01.wav", "kick 01"),
    ("Kick.01", "kick 01"),
    ("Gtr (DI)-2.W64", "gtr di 2"),
    ("Cajón.wav", "cajón"),
    ("STRASSE groß.wav", "strasse gross"),
    ("03.mp3", "03"),
    ("__.wav", ""),
]


@pytest.mark.parametrize(("name", "words"), WORDS)
def test_a_name_is_split_into_words(name, words):
    assert " ".join(words_of(name)) == words


def test_an_accent_counts_the_same_composed_or_not():
    # Unicode Standard Annex 15: NFC and NFD are canonically equivalent; one file system stores one, the next the other.
    assert words_of(unicodedata.normalize("NFD", "Cajón.wav")) == words_of(unicodedata.normalize("NFC", "Cajón.wav"))


@given(st.text())
def test_words_joined_by_spaces_are_the_same_words(text):
    words = split_words(text)
    assert split_words(" ".join(words)) == words


@given(st.text())
def test_words_hold_no_spaces_and_are_never_empty(text):
    assert all(word and not any(char.isspace() for char in word) for word in split_words(text))


@given(st.text("aAbB09 _-.(\0\t"))
def test_a_name_in_plain_letters_has_the_words_it_has_beside_any_others(text):
    assert split_words(f"{text} é") == (*split_words(text), "é")


PAIRS = [
    ("Gtr_L.wav", "Gtr_R.wav"),
    ("Gtr L.wav", "Gtr R.wav"),
    ("Gtr-l.wav", "Gtr-r.wav"),
    ("Gtr.L.wav", "Gtr.R.wav"),
    ("Gtr (L).wav", "Gtr (R).wav"),
    ("Gtr [L].wav", "Gtr [R].wav"),
    ("Room Left.wav", "Room Right.wav"),
    ("Room_LEFT.wav", "Room_RIGHT.wav"),
    ("OHL.wav", "OHR.wav"),
    ("Gtr2L.wav", "Gtr2R.wav"),
    ("RoomLeft.wav", "RoomRight.wav"),
    ("drums/OH L.flac", "drums/OH R.flac"),
]


@pytest.mark.parametrize(("left", "right"), PAIRS)
def test_left_and_right_are_partners(left, right):
    assert pairs([left, right, "Kick.wav"]) == {left: right, right: left}


ALONE = [
    ["vocal.wav", "vocar.wav"],
    ["Gtr_L.wav", "Gtr R.wav"],
    ["Gtr_L.wav", "Gtr_Right.wav"],
    ["a/Gtr_L.wav", "b/Gtr_R.wav"],
    ["Gtr_L.wav", "Gtr_R.aif"],
    ["Gtr_L.wav"],
    ["Gtr_L.wav", "gtr_l.wav", "Gtr_R.wav"],
    ["L.wav", "R.wav"],
]


@pytest.mark.parametrize("names", ALONE)
def test_other_names_are_no_pair(names):
    assert pairs(names) == {}


def test_a_side_has_a_key_that_both_share():
    left, right = side_of("x/Gtr_L.wav"), side_of("x/Gtr_R.wav")
    assert left is not None
    assert right is not None
    assert (left[0], right[0], left[1] == right[1]) == ("L", "R", True)


@given(st.lists(st.text()))
def test_partners_are_mutual(names):
    found = pairs(names)
    assert all(found[found[name]] == name != found[name] for name in found)
