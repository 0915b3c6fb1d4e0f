"""Which stem a person means: by name, part of it, number or role; and what is said where that is several."""

from __future__ import annotations

import pytest

from stemwright.errors import SongError
from stemwright.stems.asked import find

ROLES = {
    "drums/Kick 01.wav": "kick",
    "Gtr muted_L.wav": "guitar",
    "Gtr muted_R.wav": "guitar",
    "HiHat 01_PRINT.wav": "hats",
    "hat_02.wav": "hats",
    "pno chords FINAL2.wav": "piano",
    "piano pad.wav": "pad",
    "Audio 07_1.wav": None,
    "Café.wav": None,
}
ONE = {
    "HiHat 01_PRINT.wav": "HiHat 01_PRINT.wav",
    "drums/Kick 01": "drums/Kick 01.wav",
    "kick 01": "drums/Kick 01.wav",
    "chords": "pno chords FINAL2.wav",
    "audio 7": "Audio 07_1.wav",
    "07": "Audio 07_1.wav",
    "kicks": "drums/Kick 01.wav",
    "hats 2": "hat_02.wav",
    "hats 1": "HiHat 01_PRINT.wav",
    "pad": "piano pad.wav",
    "PRIN": "HiHat 01_PRINT.wav",
    "Cafe\u0301": "Café.wav",
    "cafe": "Café.wav",
    "afé": "Café.wav",
    "afe": "Café.wav",
    "chórds": "pno chords FINAL2.wav",
}


@pytest.mark.parametrize(("said", "meant"), ONE.items())
def test_a_distinctive_part_a_number_or_a_role_finds_the_stem(said, meant):
    assert find(said, ROLES, "this song") == (meant,)


def test_a_name_with_its_accent_comes_before_one_without():
    assert find("café", {"Cafe.wav": None, "Café.wav": None}, "this song") == ("Café.wav",)
    with pytest.raises(SongError, match="fits several stems"):
        find("café", {"Cafe 1.wav": None, "Café 2.wav": None}, "this song")


def test_both_sides_of_a_pair_are_one_answer():
    assert find("guitar", ROLES, "this song") == ("Gtr muted_L.wav", "Gtr muted_R.wav")


# Whoever mixes says "vocal"; only where no name has it, a role that does.
def test_a_word_of_a_role_is_enough_where_no_name_has_it():
    roles = {"LD VOX main.wav": "lead vocal", "kick.wav": "kick"}
    assert find("vocal", roles, "this song") == ("LD VOX main.wav",)
    assert find("vocal", {**roles, "vocal chop.wav": "vocal sample"}, "this song") == ("vocal chop.wav",)
    with pytest.raises(SongError, match=r"^'vocal' fits several stems of this song; give one of: LD VOX main.wav, BV.wav$"):
        find("vocal", {**roles, "BV.wav": "backing vocal"}, "this song")


def test_what_fits_several_lists_them_and_no_others():
    message = r"^'piano' fits several stems of this song; give one of: pno chords FINAL2.wav, piano pad.wav$"
    with pytest.raises(SongError, match=message):
        find("piano", ROLES, "this song")


@pytest.mark.parametrize("said", ["oboe", "", "-", "at"])
def test_what_fits_none_lists_all(said):
    with pytest.raises(SongError, match=r"is no stem of this song; give one of: drums/Kick 01.wav, .*, Café.wav$"):
        find(said, ROLES, "this song")
