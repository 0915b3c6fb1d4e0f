"""Names as strangers write them: what a song shares, people, counts and tunings, and what the song's other files settle.

Which name means which instrument is common practice, no source; songs, people and spellings are made up.
"""

from __future__ import annotations

import pytest

from stemwright.recipes.deciding import Doubt, Match
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library
from stemwright.recipes.matching import match_all

HOUSE = load_library([house_dir()])


def found(stems, *titles):
    return list(match_all(stems, HOUSE, titles).values())


def roles(stems, *titles):
    return [each.recipe.name if isinstance(each, Match) else None for each in found(stems, *titles)]


def readings(each):
    return sorted(one.recipe.name for one in each.readings) if isinstance(each, Doubt) else None


def test_what_most_names_begin_and_end_with_says_nothing_even_where_some_lack_it():
    beat = [f"Snap Harp 90 {part} Tin Bell.wav" for part in ("kick", "clp", "pno", "sub", "flute", "riser")]
    sung = ["Vox/ld take 2.wav", "Vox/bgv.wav"]
    assert roles([*beat, *sung]) == [
        "kick",
        "clap",
        "piano",
        "sub bass",
        "woodwinds",
        "effects",
        "lead vocal",
        "backing vocals",
    ]


def test_what_one_folders_names_begin_with_says_nothing():
    beat = [f"one/0{at} Snap Harp {part}.wav" for at, part in enumerate(("kick", "pad", "pno", "thing"))]
    assert roles([*beat, "vox/ld.wav", "vox/dbl.wav", "vox/bgv.wav", "bass.wav"])[:4] == ["kick", "pad", "piano", None]


def test_what_names_of_one_family_share_is_kept_for_it_is_what_they_are():
    takes = [f"lead vox {part}.wav" for part in ("one", "two", "high", "wet")]
    assert roles([*takes, "kick.wav"]) == ["lead vocal"] * 4 + ["kick"]


def test_what_is_left_must_say_things_of_several_families_in_most_names():
    others = ["kick.wav", "snare.wav", "bass.wav", "vox.wav"]
    assert roles([*(f"one/{part} zoo pad.wav" for part in ("gtr", "pno", "bell", "organ")), *others])[:4] == ["pad"] * 4
    assert (
        roles([*(f"one/{part} zoo pad.wav" for part in ("thing", "pno", "stuff", "ooh", "blur")), *others])[:5]
        == ["pad"] * 5
    )


def test_a_word_of_nothing_that_most_names_begin_with_is_nobodys():
    assert roles([f"Qarl {part}.wav" for part in ("verse", "kick", "snare", "pad", "bgv")] + ["bass.wav"])[0] == "lead vocal"


def test_one_word_that_says_something_is_kept_though_most_names_begin_with_it():
    assert roles(["drums kick.wav", "drums loop.wav", "drums.wav", "drums vox chop.wav", "drums 7.wav"])[-1] == "drum bus"


@pytest.mark.parametrize("name", ["margit", "Paola", "Russell", "Andrea", "Courtney", "Serena"])
def test_letters_of_an_instrument_inside_a_persons_name_are_none(name):
    assert roles([f"{name} thing.wav"]) == [None]


@pytest.mark.parametrize("word", ["market", "handel", "without", "temps", "sammen", "model", "basel", "mello", "plp", "rbn"])
def test_words_that_hold_letters_of_an_instrument_are_none(word):
    assert roles([f"{word}.wav"]) == [None]


@pytest.mark.parametrize(
    ("word", "role"),
    [
        ("snaretopmic", "snare"),
        ("palmmute", "guitar"),
        ("drumoh", "cymbals"),
        ("elsynth", "synth"),
        ("crsh", "cymbals"),
        ("calp", "clap"),
    ],
)
def test_words_run_together_clipped_or_swapped_are_still_read(word, role):
    assert roles([f"{word}.wav"]) == [role]


def test_somebodys_lead_is_sung_where_no_other_lead_is_and_no_guitar_leads():
    assert roles(["kick.wav", "Ingrid lead.wav"]) == ["kick", "lead vocal"]
    assert roles(["kick.wav", "gtr.wav", "lead vox.wav", "Ingrid lead.wav"])[-1] is None
    assert roles(["kick.wav", "fizzy lead.wav"]) == ["kick", "synth lead"]


def test_a_word_that_stands_with_voices_in_two_files_is_somebodys_name():
    sung = ["Zuppo harm.wav", "Zuppo adlibs.wav", "pad.wav", "kick.wav", "snare.wav", "bell.wav"]
    assert roles([*sung, "Zuppo ld.wav"])[-1] == "lead vocal"
    assert readings(found([*sung, "Zilch ld.wav"])[-1]) == ["lead vocal", "synth lead"]
    assert readings(found([*sung, "Zilch ld 1.wav", "Zilch ld 2.wav"])[-1]) == ["lead vocal", "synth lead"]
    assert readings(found([*sung, "Zuppo pad.wav", "Zuppo ld.wav"])[-1]) == ["lead vocal", "synth lead"]


def test_initials_are_no_drum_where_a_part_of_the_song_stands_beside():
    assert roles(["snare.wav", "kd.wav", "kd hook.wav"]) == ["snare", "kick", "lead vocal"]


def test_a_part_of_the_song_is_no_voice_beside_a_word_that_is_nobodys_name():
    assert roles(["glassy verse.wav", "verse 2.wav", "Ingrid verse.wav"]) == [None, "lead vocal", "lead vocal"]


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("bass drop c", "bass"), ("bass 5 string di", "bass"), ("6str bass", "bass"), ("bass chorus fx", "bass"),
        ("5 strings", "strings"),
        ("bass fx", "effects"), ("bass drop", "effects"), ("ch 24 kick", "kick"), ("Inst 3 kick", "kick"),
        ("12 str", "acoustic guitar"),
    ],
)  # fmt: skip
def test_counts_tunings_pedals_and_channels_say_nothing_of_what_is_played(name, role):
    assert roles([f"{name}.wav"]) == [role]


def test_a_number_behind_ch_is_a_channel_only_if_it_has_two_digits():
    assert roles(["ch 2.wav", "snare.wav", "ch 17.wav"]) == ["hats", "snare", None]


@pytest.mark.parametrize("name", ["Audio 14-bip", "Spur 9", "consolidated_02", "pista 3", "Track 7"])
def test_a_workstations_name_for_any_track_is_nothing_in_a_folder_of_many(name):
    for folder, role in (("Vox", None), ("Drums", None), ("Piano", "piano")):
        assert roles([f"{folder}/{name}.wav", "kick.wav"]) == [role, "kick"]
    assert roles([f"{name}.wav"]) == [None]


def test_what_stands_behind_with_is_on_the_stem_as_well_but_does_not_name_it():
    assert roles(["mix w speech.wav", "snare with bell.wav", "rough with vox.wav"]) == ["reference", "snare", "reference"]
    assert readings(found(["hats with kick.wav"])[0]) == ["hats", "kick"]
    assert roles(["kick with hats.wav"]) == ["drum bus"]


def test_the_mix_without_something_is_the_mix():
    assert roles(["print no speech.wav", "kick.wav"]) == ["reference", "kick"]


def test_a_vague_word_decides_in_a_folder_of_drums_or_voices_for_its_own_sort_only():
    assert roles(["Drums/rack.wav", "Drums/floor 2.wav", "Drums/verse.wav", "Vox/girls.wav", "Vox/solo.wav", "Keys/melody.wav"]) == [
        "toms", "toms", "drum bus", "backing vocals", "lead vocal", "keys",
    ]  # fmt: skip


def test_a_vague_word_of_several_sorts_is_of_its_folders_there():
    assert roles(["Drums/quad.wav", "gtr.wav"]) == ["toms", "guitar"]


def test_small_words_inside_a_phrase_may_be_left_out():
    assert roles(["claquement doigts.wav", "coro ninos.wav"]) == ["snap", "choir"]


def test_a_phrase_that_its_recipe_refuses_is_read_as_nothing_else():
    assert roles(["Ld Vcl Ingrid dbl.wav", "kick.wav"]) == ["doubles", "kick"]


def test_a_voice_that_is_doubled_is_a_double_whatever_voice_it_is():
    assert roles(["vox low wild dbl.wav", "Vox/low growl dbl.wav", "gtr dbl.wav"]) == ["doubles", "doubles", "guitar"]


def test_a_doubt_is_settled_by_what_else_the_name_says():
    assert roles(["atmos rain.wav"]) == ["effects"]
    assert readings(found(["atmo.wav"])[0]) == ["effects", "pad"]


def test_parts_of_a_choir_are_voices_beside_saxophones_that_are_called_so():
    choir = ["sop.wav", "alt.wav", "ten.wav", "piano.wav"]
    assert roles([*choir, "alto sax.wav"])[:3] == ["choir"] * 3
    assert roles(["sop.wav", "alt.wav", "alto sax.wav"])[:2] == ["choir"] * 2
    assert roles(["sop.wav", "alto.wav", "sax mics.wav", "piano.wav"])[:2] == ["woodwinds"] * 2


def test_backing_voices_beside_an_orchestra_without_a_lead_are_a_choir():
    played = ["vln.wav", "vla.wav", "cello.wav", "oboe.wav"]
    assert roles([*played, "oohs.wav"])[-1] == "choir"
    assert roles([*played, "lead vox.wav", "oohs.wav"])[-1] == "backing vocals"
    assert roles(["violin.wav", "piano.wav", "oohs.wav"])[-1] == "backing vocals"
    assert roles([*played, "gtr.wav", "oohs.wav"])[-1] == "backing vocals"


def test_a_leading_harmony_is_a_guitars_where_nobody_sings_and_sung_where_nobody_plays_one():
    assert roles(["gtr.wav", "lead harm.wav"])[-1] == "guitar"
    assert roles(["vox.wav", "lead harm.wav"])[-1] == "harmonies"
    assert readings(found(["vox.wav", "gtr.wav", "lead harm.wav"])[-1]) == ["guitar", "harmonies"]


def test_a_leading_hook_is_sung_where_anybody_sings():
    assert roles(["lead vox.wav", "hook lead.wav"])[-1] == "lead vocal"
    assert roles(["kick.wav", "hook lead.wav"])[-1] == "synth lead"


def test_one_singer_in_front_of_horns_makes_no_choir_of_an_alto():
    assert roles(["lead vox.wav", "trumpet.wav", "alto.wav"])[-1] == "woodwinds"
    assert readings(found(["lead vox.wav", "bgv.wav", "trumpet.wav", "alto.wav"])[-1]) == ["choir", "woodwinds"]


def test_an_upright_is_what_the_songs_other_uprights_are():
    assert roles(["upright di.wav", "piano.wav", "upright bridge.wav"]) == ["bass", "piano", "bass"]
    assert roles(["upright piano.wav", "bass.wav", "upright bridge.wav"])[-1] == "piano"
    assert roles(["upright di.wav", "upright piano.wav", "upright bridge.wav"])[-1] is None


def test_a_name_behind_a_title_is_nobodys_instrument_where_the_rest_says_something():
    assert roles(["voz don Chelo.wav", "pastor hh.wav", "chelo.wav", "snare.wav"]) == [
        "lead vocal",
        "lead vocal",
        "strings",
        "snare",
    ]


def test_a_leading_vcl_is_never_a_cello():
    assert roles(["lead vcl mic.wav", "fiddle.wav", "vcl.wav"]) == ["lead vocal", "strings", "strings"]


def test_a_letter_that_counts_does_not_hide_a_short_form():
    played = ["stem a vln.wav", "stem b vla.wav", "stem c tbn.wav", "stem d hp.wav", "stem e cel.wav"]
    assert roles([*played, "kick.wav"])[3:5] == ["pluck", "bells"]


def test_a_slip_of_five_letters_is_one_of_a_usual_word_only():
    assert roles(["Willa vox.wav", "snaer.wav", "kymbal.wav"]) == ["lead vocal", "snare", "cymbals"]


def test_a_t_and_a_number_beside_a_kit_are_a_tom_whatever_side_its_microphone_is_on():
    assert roles(["snare.wav", "T2 trig tk 3.wav", "t.wav", "gtr t1.wav", "wide t3.wav"]) == [
        "snare",
        "toms",
        None,
        "guitar",
        None,
    ]


def test_what_a_workstation_counts_is_not_what_it_is_called():
    assert roles(["Inst 3 riff.wav", "Vox/Audio 2 hook.wav"]) == ["guitar", "lead vocal"]


def test_letters_are_read_as_a_lettering_whatever_they_say_of_how_and_where():
    assert roles(["fl close.wav", "tpt close.wav", "tbn far.wav", "hp close.wav"])[-1] == "pluck"


def test_how_it_is_played_does_not_hide_a_short_form():
    assert roles(["vln pizz.wav", "vla 1 trem.wav", "cb pizz.wav", "ob solo.wav"]) == [
        "strings",
        "strings",
        "strings",
        "woodwinds",
    ]


def test_an_oh_is_a_hat_beside_closed_ones_and_overheads_beside_toms_or_guitars():
    assert roles(["oh.wav", "ch.wav", "toms.wav", "kick.wav"])[0] == "hats"
    assert roles(["oh.wav", "kick.wav", "guitar.wav"])[0] == "cymbals"
    assert roles(["oh.wav", "kick.wav", "clap.wav", "guitar.wav"])[0] == "hats"


def test_saxophones_are_read_by_their_letters_beside_a_band_of_horns():
    assert roles(["trumpet.wav", "trombone.wav", "ts.wav", "as mic.wav"]) == ["brass", "brass", "woodwinds", "woodwinds"]
    assert roles(["kick.wav", "ts.wav"]) == ["kick", None]


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("Besen", "snare"), ("Schüttler", "shaker"), ("Holzblock", "percussion"), ("Stimmfetzen", "vocal sample"),
        ("Knistern", "effects"),
        ("œuf", "shaker"), ("grelots", "shaker"), ("perc bois", "percussion"), ("bois", "woodwinds"), ("craquements", "effects"),
        ("rasgueos", "guitar"), ("cencerro", "percussion"), ("violonchelos", "strings"), ("escaleta", "woodwinds"), ("metais", "brass"),
        ("panoramici", "cymbals"), ("fisarmoniche", "organ"), ("missaggio", "reference"), ("koortjes", "backing vocals"),
        ("viool", "strings"),
        ("basstromme", "kick"), ("fløyte", "woodwinds"), ("werbel", "snare"), ("smyczki", "strings"), ("laulu", "lead vocal"),
    ],
)  # fmt: skip
def test_words_of_other_languages_are_read(name, role):
    assert roles([f"{name}.wav"]) == [role]


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("Flgl", "brass"), ("bs cl", "woodwinds"), ("mba", "mallets"), ("rk 1 flr", "toms"), ("glsp", "bells"), ("hpsi", "keys"),
        ("trpts", "brass"), ("asax", "woodwinds"), ("acdn", "organ"), ("psg", "guitar"), ("btbn", "brass"), ("clt", "woodwinds"),
    ],
)  # fmt: skip
def test_short_forms_of_scores_and_track_sheets_are_read(name, role):
    assert roles([f"{name}.wav", "snare.wav"])[0] == role


def test_a_word_of_material_says_what_is_struck_and_no_section():
    assert roles(["perk blech.wav", "blech.wav"]) == ["percussion", "brass"]


# What follows is common practice, no source.
@pytest.mark.parametrize(
    ("names", "role"),
    [
        (["bass vox.wav", "lead vox.wav"], "backing vocals"), (["drummer vox.wav", "lead vox.wav"], "backing vocals"),
        (["bass player vox.wav", "bass.wav"], "backing vocals"), (["Bass Choir.wav", "kick.wav"], "choir"),
        (["vox synth.wav", "vox.wav"], "synth"),
    ],
)  # fmt: skip
def test_whose_voice_it_is_makes_it_no_instrument(names, role):
    assert roles(names)[0] == role


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("saz close.wav", "acoustic guitar"), ("santur.wav", "mallets"), ("pizz.wav", "strings"), ("cello pizz.wav", "strings"),
        ("upright pizz.wav", "bass"), ("djembe loop.wav", "percussion"), ("perc loop.wav", "drum loop"), ("snare rim.wav", "rim"),
    ],
)  # fmt: skip
def test_an_instrument_is_what_it_is_however_it_is_played(name, role):
    assert roles([name]) == [role]


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("nylon licks.wav", "acoustic guitar"), ("diva reversed.wav", "vocal sample"), ("synth riff loop.wav", "synth"),
        ("keys loop.wav", "keys"), ("amb tunnel bed.wav", "effects"), ("fills.wav", "drum bus"), ("reversed.wav", "effects"),
        ("bed.wav", "pad"), ("guitar swell.wav", "guitar"),
    ],
)  # fmt: skip
def test_what_was_done_to_a_source_and_what_it_plays_say_what_it_is_only_alone(name, role):
    assert roles([name]) == [role]


def test_what_was_done_to_it_says_nothing_beside_a_word_that_nobody_knows():
    assert roles(["glorp loop.wav", "glorp riff.wav", "snorf con delay.wav"]) == [None] * 3
    assert roles(["loop 3.wav", "riff.wav", "delay L.wav"]) == ["loop", "guitar", "effects"]
    assert roles(["Ingrid riff.wav", "kick.wav"]) == ["guitar", "kick"]  # somebody's
    some = [
        f"{part} zibbo {at}.wav" for at, part in enumerate(("kick", "snare", "hat", "riff"))
    ]  # in many files: the song's
    assert roles([*some, "tuba.wav", "bass.wav", "pno.wav", "oboe.wav"])[3] == "guitar"


def test_a_voice_looped_is_a_sample_but_no_verse_and_no_bars():
    assert roles(["gospel girls loop.wav"]) == ["vocal sample"]
    assert roles(["loop 4 bars.wav", "verse loop.wav", "dub loop.wav", "loop.wav", "kick.wav"])[:4] == ["loop"] * 4


def test_a_drums_bass_is_the_low_one_and_a_mallets_may_be_either():
    assert roles(["surdo bass.wav", "frame drum basse.wav", "tom basse.wav"]) == ["percussion", "percussion", "toms"]
    assert [readings(each) for each in found(["vibes bass.wav", "piano bassi.wav"])] == [
        ["bass", "mallets"],
        ["bass", "piano"],
    ]
    assert roles(["piano bass.wav", "synth bass.wav", "organ bass.wav"]) == ["bass"] * 3


def test_what_a_thing_is_stands_before_whose_it_is_in_romance_tongues():
    assert roles(["cor d'harmonie.wav", "tapis de cuivres.wav", "piatti della batteria.wav"]) == [
        "brass",
        "pad",
        "cymbals",
    ]
    assert roles(["gtr di synth.wav"]) == ["synth"]  # a box
    assert roles(["loop de cuerdas.wav", "claquement de doigts.wav"]) == ["strings", "snap"]


def test_what_is_played_to_a_guide_is_a_guide_whatever_follows():
    assert roles(["guia voz e violao.wav", "ref gtr piano.wav", "guide.wav"]) == ["reference"] * 3
    assert roles(["gtr scratch.wav"]) == [None]


def test_a_sound_effect_is_one_whatever_sounds():
    assert roles(["sfx bell 2.wav", "bell sfx.wav"]) == ["effects", "effects"]
    assert roles(["bell no sfx.wav", "no sfx.wav"]) == ["bells", None]


def test_short_forms_of_a_machine_are_read_beside_what_was_done_to_them():
    kit = ["bd.wav", "sd.wav", "ch.wav", "cp hall.wav", "rs dly.wav", "cy hit.wav"]
    assert roles(kit)[3:] == ["clap", "rim", "cymbals"]


def test_an_oh_behind_a_machine_is_open_and_behind_an_eight_a_figure():
    kit = ["snare top.wav", "rm mono.wav", "floor.wav"]
    assert roles([*kit, "707 OH.wav", "OH.wav"])[-2:] == ["hats", "cymbals"]
    assert roles(["eight oh eight.wav", "EightOhEight.wav", "clap.wav", "ch.wav"])[:2] == ["808", "808"]


def test_somebodys_lead_is_sung_where_they_sing_and_in_doubt_where_only_others_do():
    band = ["gtr.wav", "lead vox Ada.wav"]
    assert roles([*band, "Ingrid lead.wav", "Ingrid adlib.wav"])[-2] == "lead vocal"
    assert readings(found([*band, "Ingrid lead.wav"])[-1]) == ["lead vocal", "synth lead"]
    assert readings(found(["tenor sax.wav", "trumpet.wav", "Ingrid lead.wav"])[-1]) == ["lead vocal", "synth lead"]


def test_a_growl_is_sung_where_somebody_growls_or_guitars_play_and_a_bass_beside_machines():
    assert roles(["growl.wav", "gtr.wav"])[0] == "lead vocal"
    assert roles(["growl.wav", "gtr.wav", "808.wav"])[0] == "bass"
    assert roles(["growl Ingrid.wav", "808.wav"])[0] == "lead vocal"


def test_a_drum_nobody_knows_in_the_drums_folder_is_not_the_kit():
    kit = ["Drums/kick.wav", "Drums/snare.wav", "Drums/hat.wav", "bass.wav"]
    assert roles([*kit, "Drums/glorp.wav"])[-1] is None
    assert roles([*kit, "Drums/glorp mic.wav", "Drums/Ingrid.wav", "Drums/03.wav"])[-3:] == ["drum bus"] * 3
    flat = ["Drums - kick.wav", "Drums - snare.wav", "Drums - hat.wav", "bass.wav"]
    assert roles([*flat, "Drums - glorp.wav"])[-1] is None
    assert roles(["kick.wav", "bass.wav", "Drums glorp.wav"])[-1] == "drum bus"
    assert roles(["Vocals/glorp.wav", "Loops/glorp.wav", "kick.wav"])[:2] == ["lead vocal", "loop"]


def test_an_article_and_an_episode_are_no_instrument():
    assert roles(["el zurrio.wav", "el strat.wav", "el 2.wav"]) == [None, "guitar", "guitar"]
    talk = ["ep 9 host.wav", "ep 9 glorp.wav", "kick.wav", "ep.wav"]
    assert roles(talk, "Chatter, ep 9")[1] is None
    assert roles(["ep 9.wav", "kick.wav"])[0] == "keys"


def test_short_forms_of_two_meanings_are_read_by_the_songs_others():
    assert roles(["gc.wav", "violin.wav"]) == ["percussion", "strings"]
    assert roles(["gc.wav", "cc.wav", "violin.wav"])[0] == "kick"
    assert roles(["vcl.wav", "fiddle.wav", "harsh.wav"])[0] == "lead vocal"
    assert roles(["vcl.wav", "fiddle.wav"])[0] == "strings"
    assert roles(["campana.wav", "bongo.wav"])[0] == "percussion"
    assert roles(["campana.wav", "pad.wav"])[0] == "bells"
    assert [readings(each) for each in found(["clv.wav", "backup lav.wav", "vox.wav"])[:2]] == [
        ["keys", "percussion"],
        ["backing vocals", "reference"],
    ]
    assert roles(["backup vox.wav", "vox hard pan.wav", "can.wav"]) == ["backing vocals", "lead vocal", None]


# What each language calls them is general knowledge, no source.
@pytest.mark.parametrize(
    ("names", "heard"),
    [
        (["Fidil 1 - Ada", "Feadóg", "Dordghiotár", "Guth"], ["strings", "woodwinds", "bass", "lead vocal"]),
        (["drymiau", "allweddellau", "telyn", "llais dwbl"], ["drum bus", "keys", "pluck", "doubles"]),
        (["trummid", "basskitarr", "vokaal", "taldrikud"], ["drum bus", "bass", "lead vocal", "cymbals"]),
        (["bungas", "vijole", "taustiņi"], ["drum bus", "strings", "keys"]),
        (["būgnai", "smuikas", "klavišiniai"], ["drum bus", "strings", "keys"]),
        (["ahotsa", "teklatuak", "trikitixa"], ["lead vocal", "keys", "organ"]),
        (["kassagítar", "bassatromma", "bakraddir"], ["acoustic guitar", "kick", "backing vocals"]),
        (["kinor", "psanter"], ["strings", "piano"]),
        (["biola", "suara", "tepukan"], ["strings", "lead vocal", "clap"]),
        (["sauti", "makofi", "kwaya"], ["lead vocal", "clap", "choir"]),
        (["hela trumloopen", "sång hackad", "adlibbar"], ["drum loop", "vocal sample", "ad libs"]),
    ],
)
def test_smaller_languages_are_read_too(names, heard):
    assert roles([f"{name}.wav" for name in names]) == heard


def test_short_words_are_welsh_beside_others_that_are():
    assert roles(["cor.wav", "pres.wav", "cic.wav", "llais.wav"])[:3] == ["choir", "brass", "kick"]
    assert roles(["cor.wav", "violin.wav"])[0] == "brass"


def test_a_drum_of_the_drums_is_what_it_is_and_strings_that_are_counted_are_a_guitars():
    assert roles(["DRM Snap.wav", "Twelve String.wav", "snear.wav", "yangqin.wav"]) == [
        "snap",
        "acoustic guitar",
        "snare",
        "mallets",
    ]
