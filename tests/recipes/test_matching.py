"""Which recipe takes which name: phrases, what decides between them, folders, what a song shares, and doubt."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright.recipes.deciding import Doubt, Match
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library
from stemwright.recipes.matching import match, match_all

RECIPES = {
    "hats": "names: [hat, hats, hi hat, hihat], not: [that]",
    "kick": "names: [kick]",
    "clap": "names: [clap]",
    "snare": "names: [snare]",
    "drums": "names: [kick snare, drums]",
    "lead vocal": "names: [vocals, lead vox], not: [fx]",
}


@pytest.fixture
def library(tmp_path):
    for name, stems in RECIPES.items():
        (tmp_path / f"{name}.yaml").write_text(
            f"recipe: {name}\nabout: a\nstems: {{{stems}}}\nmoves: []\n", encoding="utf-8"
        )
    return load_library([tmp_path])


TAKEN = [
    ("HiHat 01_PRINT.wav", "hats", "its name has 'hi hat'"),
    ("hihat.wav", "hats", "its name has 'hihat'"),
    ("Kick_01.wav", "kick", "its name has 'kick'"),
    ("Kick+Snare.wav", "drums", "its name has 'kick snare'"),
    ("Snare (kick bleed).wav", "snare", "its name has 'snare'"),
    ("Vocals/01.wav", "lead vocal", "its folder's name has 'vocals'"),
    ("Vocals/Kick.wav", "kick", "its name has 'kick'"),
    ("kicks.wav", "kick", "its name has 'kicks', read as 'kick'"),
    ("Snare Roll Hatz.wav", "hats", "its name has 'hatz', read as 'hat'"),
    ("snare, no kick.wav", "snare", "its name has 'snare'"),
    ("lead 02 vox.wav", "lead vocal", "its name has 'lead 02 vox'"),
]


@pytest.mark.parametrize(("stem", "recipe", "why"), TAKEN)
def test_a_name_is_taken_by_the_last_of_its_longest_phrases(library, stem, recipe, why):
    found = match(stem, library)
    assert isinstance(found, Match)
    assert (found.recipe.name, found.why) == (recipe, why)


@pytest.mark.parametrize("stem", ["That hat.wav", "Audio 07.wav", "Vocals/fx 2.wav", "no kick.wav", "hat/x/07.wav", ".wav"])
def test_a_name_without_a_phrase_or_with_a_veto_is_taken_by_nobody(library, stem):
    assert match(stem, library) is None


def recipe_file(folder, name, stems, move="[]"):
    text = f"recipe: {name}\nabout: a\nstems: {{{stems}}}\nmoves: {move}\n"
    (folder / f"{name}.yaml").write_text(text, encoding="utf-8")


def test_a_phrase_of_two_recipes_is_a_doubt_with_both(tmp_path):
    recipe_file(tmp_path, "one", "names: [bowl]")
    recipe_file(tmp_path, "two", "names: [bowl]")
    found = match("bowl.wav", load_library([tmp_path]))
    assert isinstance(found, Doubt)
    assert [each.recipe.name for each in found.readings] == ["one", "two"]


def test_the_last_word_does_not_decide_where_its_recipe_would_cut_off_the_other(tmp_path):
    recipe_file(tmp_path, "thud", "names: [thud]", "[{high_pass: {freq: 24 Hz}}]")
    recipe_file(tmp_path, "tap", "names: [ting]", "[{high_pass: {freq: 200 Hz}}]")
    library = load_library([tmp_path])
    assert isinstance(match("thud ting.wav", library), Doubt)
    assert isinstance(match("ting thud.wav", library), Match)


def test_a_general_phrase_decides_only_where_no_other_does(tmp_path):
    recipe_file(tmp_path, "wood", "general: [block]")
    recipe_file(tmp_path, "bell", "names: [bell]")
    library = load_library([tmp_path])
    assert [match(name, library).recipe.name for name in ("bell block", "block")] == ["bell", "wood"]


def test_a_recipe_of_ones_own_comes_before_the_house_by_any_phrase_even_one_the_house_has(tmp_path):
    recipe_file(tmp_path, "mine", "names: [dusty, zither]")
    library = load_library([tmp_path, house_dir()])
    found = match("dusty piano.wav", library)
    assert (found.recipe.name, found.why) == ("mine", "its name has 'dusty'")
    assert match("zither.wav", library).recipe.name == "mine"
    assert match("piano.wav", library).recipe.name == "piano"


def test_what_stands_beside_a_phrase_of_ones_own_recipe_changes_nothing(tmp_path):
    recipe_file(tmp_path, "loop", "names: [loop]")
    recipe_file(tmp_path, "mine", "names: [bell]")
    library = load_library([tmp_path, house_dir()])
    assert [match(name, library).recipe.name for name in ("girls loop.wav", "sfx bell.wav")] == ["loop", "mine"]


def test_a_recipe_of_ones_own_comes_before_a_guide_and_before_what_stands_in_front_of_with(tmp_path):
    names = ["guide lute.wav", "choir with lutes.wav"]
    library = load_library([house_dir()])
    assert [match(name, library).recipe.name for name in names] == ["reference", "choir"]
    recipe_file(tmp_path, "mine", "names: [lute]")
    library = load_library([tmp_path, house_dir()])
    assert [match(name, library).recipe.name for name in names] == ["mine", "mine"]


def test_a_vague_word_decides_only_where_nothing_else_in_the_name_or_its_folder_does():
    assert roles(["drum solo.wav", "keys melody.wav", "Drums/verse.wav"]) == ["drum bus", "keys", "drum bus"]
    assert roles(["solo.wav", "melody.wav"]) == ["guitar", "synth"]


@pytest.mark.parametrize(
    ("stem", "recipe"),
    [
        ("drums fake.wav", "drum bus"), ("drums hall.wav", "drum bus"), ("bass cuts.wav", "bass"), ("piano rough.wav", "piano"),
        ("guitar mr.wav", "guitar"), ("vocal pilot.wav", "lead vocal"), ("piano gospel.wav", "piano"), ("organ dub.wav", "organ"),
        ("keys mix.wav", "keys"), ("gospel.wav", "choir"), ("rough.wav", "reference"), ("Drums/snap.wav", "snap"),
        ("Drums/tag.wav", "drum bus"),
    ],
)  # fmt: skip
def test_an_everyday_word_decides_only_where_it_stands_alone(stem, recipe):
    assert roles([stem]) == [recipe]


@pytest.mark.parametrize("stem", ["chit chat.wav", "UK garage.wav"])
def test_a_word_of_the_language_is_no_instrument(stem):
    assert match(stem, HOUSE) is None


HOUSE = load_library([house_dir()])


def roles(stems, *titles):
    found = match_all(stems, HOUSE, titles)
    return [each.recipe.name if isinstance(each, Match) else None for each in found.values()]


def test_what_all_of_a_songs_files_share_says_nothing():
    stems = [f"Bells_140_Cmin_{name}.wav" for name in ("Kick", "Clap", "Bells", "Untitled", "Bass")]
    assert roles(stems) == ["kick", "clap", "bells", None, "bass"]


def test_a_songs_own_name_says_nothing_where_most_files_have_it():
    stems = ["Ride Home kick.wav", "Ride Home 808.wav", "Ride Home pad.wav", "clap.wav"]
    assert roles(stems, "Ride Home") == ["kick", "808", "pad", "clap"]


def test_what_all_files_share_is_kept_where_nothing_else_is_said():
    assert roles([f"kick {number}.wav" for number in range(5)]) == ["kick"] * 5


def test_a_title_that_all_files_have_is_dropped_even_where_most_of_them_say_nothing_else():
    stems = [f"Kettle Drum Lane {each}.wav" for each in ("bass", "grumpy", "sunny", "misty", "???")]
    assert roles(stems, "Kettle Drum Lane") == ["bass", None, None, None, None]


def test_two_letters_are_read_as_the_songs_others_are():
    assert roles(["bd.wav", "ch.wav", "cp.wav", "cb.wav"]) == ["kick", "hats", "clap", "percussion"]
    assert roles(["vln.wav", "vla.wav", "vc.wav", "cb.wav"]) == ["strings"] * 4


def test_a_bare_lead_is_sung_only_where_somebody_sings_and_no_lead_is_named():
    assert roles(["kick.wav", "lead.wav"]) == ["kick", "synth lead"]
    assert roles(["bgv.wav", "lead.wav"]) == ["backing vocals", None]
    assert roles(["vox.wav", "lead.wav"]) == ["lead vocal", "synth lead"]
    assert roles(["Vocals/lead.wav", "Synths/lead.wav"]) == ["lead vocal", "synth lead"]


MEANT = {
    "guitr": "guitar",
    "Basss": "bass",
    "rhythem_gtr": "guitar",
    "LdVxDT": "doubles",
    "guitarra_ritmica": "guitar",
    "Schlagzeug": "drum bus",
    "violons": "strings",
    "VoxSamp": "vocal sample",
    "Vox_One_Shot": "vocal sample",
    "PNO_keys": "piano",
    "Organ_Lead": "organ",
    "808_Snare": "snare",
    "Snare_Roll_Hat": "hats",
    "Gtr_Samp": "guitar",
    "hornsection": "brass",
    "drums_nokick": "drum bus",
    "bckng vcls": "backing vocals",
    "prcsn": "percussion",
    "supersaww": "synth",
    "MPKick": "kick",
    "leadvox": "lead vocal",
    "drums closed": "hats",
    "drums T1": "toms",
    "메인보컬": "lead vocal",
    "アコギ": "acoustic guitar",
    "Vocals/Bass": "backing vocals",
    "Keys/Upright": "piano",
}
ONE_MEANING = list(MEANT)


def test_misspelt_foreign_short_and_joined_words_are_understood():
    assert roles(ONE_MEANING) == list(MEANT.values())


@pytest.mark.parametrize(
    "name", ["strong", "sweet", "sampler 1", "local", "chart", "snapshot", "the one", "chair", "quick", "Inst 3", "conge"]
)
def test_a_word_that_is_only_near_another_is_not_taken_for_it(name):
    assert match(name, HOUSE) is None


def test_every_reading_and_reason_is_the_same_whatever_the_hash_seed():
    code = (
        "from tests.recipes.test_matching import HOUSE, ONE_MEANING, match_all;"
        "print(match_all([*ONE_MEANING, 'Kick Clap', 'bgv', 'lead'], HOUSE))"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in ("0", "1", "2")
    }
    assert len(runs) == 1


def test_parts_of_a_choir_are_voices_where_somebody_sings_and_winds_where_somebody_blows():
    assert roles(["sop.wav", "alt.wav", "ten.wav", "bass.wav", "piano.wav"]) == ["choir"] * 4 + ["piano"]
    assert roles(["sop.wav", "alto.wav", "tenor.wav", "bass.wav", "drums.wav"]) == ["choir"] * 3 + ["bass", "drum bus"]
    assert roles(["alto.wav", "tenor.wav", "trumpet.wav"]) == ["woodwinds", "woodwinds", "brass"]
    assert roles(["alto.wav", "kick.wav"]) == [None, "kick"]


def test_of_two_kinds_of_uprights_the_one_the_song_has_not_is_meant():
    assert roles(["upright.wav", "piano.wav"]) == ["bass", "piano"]
    assert roles(["upright.wav", "bass.wav"]) == ["piano", "bass"]
    assert roles(["upright.wav", "kick.wav"]) == [None, "kick"]


def test_a_short_form_means_what_it_means_beside_the_songs_others():
    assert roles(["db DI.wav", "kick.wav"]) == ["bass", "kick"]
    assert roles(["db.wav", "viola.wav"]) == ["strings", "strings"]
    assert roles(["ld vcl.wav", "strings.wav"]) == ["lead vocal", "strings"]


def test_an_oh_beside_a_kits_microphones_is_an_overhead_whatever_else_it_says():
    assert roles(["oh ribbon left.wav", "floor.wav", "snare top.wav", "hh.wav"])[0] == "cymbals"
    assert roles(["oh.wav", "hh.wav", "808.wav"])[0] == "hats"
    for mic in ("floor", "rack", "sd bot", "rm mono"):  # and the CH of a chorus is no closed hat
        assert roles(["oh sr.wav", f"{mic}.wav", "bd in.wav", "hh.wav", "hi harm ch.wav"])[0] == "cymbals"
    assert roles(["oh.wav", "ch.wav", "bd.wav", "cp.wav", "tom.wav"])[0] == "hats"


def test_letters_that_may_be_initials_are_a_kick_only_where_nothing_else_is_said():
    assert roles(["kd.wav", "snare.wav"])[0] == "kick"
    assert roles(["vox hook kd.wav", "snare.wav"])[0] == "lead vocal"


def test_a_letter_and_a_number_beside_a_bass_are_no_bass():
    song = ["k.wav", "g.wav", "v.wav", "ag.wav", "bass.wav", "b3.wav"]
    assert roles(song)[-2:] == ["bass", None]


@pytest.mark.parametrize(
    ("name", "role"), [("tops.wav", "drum loop"), ("top.wav", None), ("ends.wav", "doubles"), ("end.wav", None)]
)
def test_what_only_many_name_is_not_meant_by_one(name, role):
    assert roles([name, "keys.wav"])[0] == role


def test_folders_of_folders_are_read_where_they_do_not_hold_every_file():
    stems = ["Song/Vox/Lead/comp.wav", "Song/Drums/Kick/in.wav", "Song/Gtrs/Rhythm/L.wav", "Song/Synths/Lead/1.wav"]
    assert roles(stems) == ["lead vocal", "kick", "guitar", "synth lead"]


def test_a_name_that_says_only_all_or_print_is_no_part_of_the_song():
    assert roles(["main.wav", "Bass/main.wav", "kick.wav"]) == ["reference", "bass", "kick"]


def test_what_may_be_a_guitars_is_one_only_beside_guitars():
    assert roles(["slide.wav", "gtr clean.wav", "808.wav"]) == ["guitar", "guitar", "808"]
    assert roles(["slide 3.wav", "sub bass.wav", "clap.wav"]) == ["808", "sub bass", "clap"]
    assert roles(["slide.wav", "clap.wav"]) == [None, "clap"]
    assert roles(["quads.wav", "rhythm guitar.wav", "brass.wav"]) == ["guitar", "guitar", "brass"]
    assert roles(["quads.wav", "tuba.wav"]) == ["toms", "brass"]
    assert roles(["quads.wav", "pad.wav"]) == [None, "pad"]


def test_a_solo_is_sung_only_where_all_sing_and_nobody_plays_a_guitar():
    singers = ["sop.wav", "alto.wav", "tenor.wav"]
    assert roles([*singers, "solo.wav"]) == ["choir"] * 3 + ["lead vocal"]
    assert roles([*singers, "ac gtr.wav", "solo.wav"]) == ["choir"] * 3 + ["acoustic guitar", "guitar"]
    assert roles(["vox.wav", "solo.wav"]) == ["lead vocal", "guitar"]


def test_a_scream_leads_where_nobody_else_does():
    assert roles(["scream.wav", "gang vox.wav"]) == ["lead vocal", "backing vocals"]
    assert roles(["scream.wav", "gang vox.wav", "lead vox.wav"]) == ["backing vocals", "backing vocals", "lead vocal"]


def test_a_room_is_the_drums_only_where_the_song_has_drums():
    played = ["fiddle.wav", "banjo.wav", "bass.wav", "lead vox.wav", "accordion.wav"]
    assert roles([*played, "room mic.wav", "rooms L.wav"])[-2:] == [None, None]
    assert roles([*played, "snare.wav", "room mic.wav"])[-1] == "drum bus"
    assert roles([*played, "drums room.wav", "room mic.wav"])[-1] == "drum bus"
    assert roles(["kick.wav", "choir room mic.wav"])[-1] != "drum bus"


def test_a_room_says_what_it_is_where_a_song_says_too_little():
    assert roles(["room.wav"]) == ["drum bus"]


def test_a_word_for_the_mix_that_most_files_have_says_nothing():
    stems = [f"MX {part}.wav" for part in ("drums", "bass", "kids", "strings", "harp")]
    assert roles([*stems, "thunder.wav"]) == ["drum bus", "bass", "choir", "strings", "pluck", "effects"]
    assert roles([*stems, "thunder.wav", "MX.wav"])[-1] == "reference"


def test_a_singer_called_tom_is_no_drum():
    assert roles(["harm tom.wav", "bgv tom 2.wav", "choir tom.wav", "low tom.wav", "pad.wav"]) == [
        "harmonies", "backing vocals", "choir", "toms", "pad",
    ]  # fmt: skip


def test_two_letterings_that_tie_are_read_where_they_agree():
    assert roles(["k.wav", "s.wav", "h.wav", "pad.wav"]) == ["kick", "snare", "hats", "pad"]
    assert roles(["k.wav", "s.wav", "h.wav", "b.wav"]) == ["kick", "snare", "hats", "bass"]
    assert roles(["cp.wav", "rs.wav", "lt.wav", "eh.wav", "ca.wav", "tu.wav", "cl.wav"])[-1] is None


def test_short_forms_of_a_kit_and_an_orchestra_are_read_beside_its_others():
    assert roles(["T1.wav", "T2.wav", "FT.wav", "kick.wav"]) == ["toms"] * 3 + ["kick"]
    assert roles(["T1.wav", "pad.wav"]) == [None, "pad"]
    assert roles(["gc.wav", "cc.wav"]) == ["kick", "snare"]
    assert roles(["violin.wav", "Ob Klar.wav", "Cl Bn.wav", "Pos Tb.wav"]) == ["strings", "woodwinds", "woodwinds", "brass"]


def test_left_in_italian_is_a_saxophone_only_without_a_right():
    assert roles(["chitarra sx.wav", "chitarra dx.wav"]) == ["guitar", "guitar"]
    assert roles(["sx.wav", "keys.wav"]) == ["woodwinds", "keys"]


@pytest.mark.parametrize(
    ("stem", "recipe"),
    [
        ("synth plux.wav", "pluck"), ("strings gesamt.wav", "strings"), ("drums komplett.wav", "drum bus"),
        ("komplett.wav", "reference"),
        ("whispers.wav", "ad libs"), ("susurros.wav", "ad libs"), ("lead whisper.wav", "lead vocal"), ("school singers.wav", "choir"),
        ("vox chop rev.wav", "vocal sample"), ("reverse vocal.wav", "effects"), ("batteria/ambience.wav", "drum bus"),
        ("ambience.wav", "effects"), ("box drum.wav", "percussion"), ("pitch pipe.wav", "reference"),
        ("acc gtr 2.wav", "acoustic guitar"),
        ("felt upright.wav", "piano"), ("upright bs.wav", "bass"), ("bvs track 4.wav", "backing vocals"),
        ("organ lead verse 2.wav", "organ"), ("sax lead hook.wav", "woodwinds"), ("trumpet lead verse.wav", "brass"),
        ("lead verse 2.wav", "lead vocal"), ("lead refrain.wav", "lead vocal"), ("bridge lead.wav", "lead vocal"),
        ("vox 24bit 48k.wav", "lead vocal"), ("8 bit lead.wav", "synth lead"), ("snap 8va.wav", "snap"), ("riser 8vb.wav", "effects"),
    ],
)  # fmt: skip
def test_the_noun_decides_over_how_much_of_it_which_way_round_and_where(stem, recipe):
    assert roles([stem]) == [recipe]


IN_COMPANY = [
    "slide.wav", "quads.wav", "solo.wav", "scream.wav", "room.wav", "upright.wav", "lead.wav", "T1.wav", "FT.wav", "gtr.wav", "808.wav",
    "sop.wav", "alto.wav", "gang vox.wav", "piano.wav", "snare.wav",
]  # fmt: skip


@given(order=st.permutations(IN_COMPANY), case=st.sampled_from([str.lower, str.upper]))
def test_the_order_and_the_case_of_a_songs_files_change_no_reading(order, case):
    plain = dict(zip(IN_COMPANY, roles(IN_COMPANY), strict=True))
    found = roles([case(name) for name in order])
    assert dict(zip(order, found, strict=True)) == plain


PARTS = (
    "kick in", "snare top", "hi hat", "floor tom", "shaker", "claps", "bass di", "pno", "ac gtr", "lead vox", "bgv", "ad libs",
    "vox chop", "warm pad", "synth lead", "strings", "horns", "flute", "organ", "riser", "perc loop", "click",
)  # fmt: skip
PLAIN = roles([f"{part}.wav" for part in PARTS])


@given(
    case=st.sampled_from([str.lower, str.upper, str.title]),
    separator=st.sampled_from([" ", "_", "-", ".", " - ", "__"]),
    noise=st.permutations(["take 2", "bounce", "v3", "dry"]),
    many=st.integers(0, 4),
    number=st.sampled_from(["", "01 ", "7 "]),
    prefix=st.sampled_from(["", "bells 140 ", "kick rocks cmin ", "vox populi "]),
)
def test_case_separators_noise_numbers_and_what_all_share_change_no_reading(case, separator, noise, many, number, prefix):
    names = [case(f"{number}{prefix}{' '.join((part, *noise[:many]))}").replace(" ", separator) for part in PARTS]
    assert roles([f"{name}.wav" for name in names]) == PLAIN
