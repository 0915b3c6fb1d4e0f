"""The house recipes: strangers' file names land on the right one, and the amounts stay a working engineer's.

Which name means which instrument is common practice, no source; the spellings are made up the way people write them.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
import yaml

from stemwright.dsp.prototypes import magnitude_db
from stemwright.recipes.deciding import Doubt, Match
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library
from stemwright.recipes.matching import match, match_all

HOUSE = sorted(house_dir().glob("*.yaml"))
LIBRARY = load_library([house_dir()])
MOVES = [(recipe.name, move) for recipe in LIBRARY.recipes.values() for move in recipe.moves]
MOVE_IDS = [f"{name}: {move.name}" for name, move in MOVES]

STRANGERS = {
    "hats": """
        HiHat 01_PRINT.wav
        HH.wav
        hh_closed.wav
        OpenHat-bounce.aif
        Hi-Hats (wet).wav
        OH 2.wav
        hat loop 140bpm.wav
        hat_04_loop.wav
        808 hat.wav
        Drums_HiHat.wav
        perc hat.wav
    """,
    "kick": """
        Kick.wav
        KICK_IN.wav
        kik 2.wav
        BD.wav
        Bass Drum.wav
        808 Kick.wav
        kick loop 90.wav
        Drums - Kick.wav
        Kick_fx.wav
        Kick Sub.wav
    """,
    "snare": """
        Snare.wav
        SNR_top.wav
        SD 3.wav
        snare roll.wav
        Clap Snare.wav
        snare+clap_v2.wav
        808 Snare.wav
        DRUMS Snare_02.wav
        snare fx.wav
    """,
    "clap": """
        Clap.wav
        claps_L.wav
        Hand Clap 2.wav
        808 clap.wav
        Clap Snap layer.wav
    """,
    "snap": """
        Snap.wav
        fingersnaps.wav
        Finger Snap_R.wav
    """,
    "rim": """
        Rimshot.wav
        rim_808.wav
        side stick.wav
    """,
    "cymbals": """
        Crash 1.wav
        Ride Cymbal.wav
        Overheads.wav
        OH_L.wav
        OHR.wav
        reverse cymbal.wav
    """,
    "toms": """
        Toms.wav
        Floor Tom.wav
        808 tom 3.wav
        Drums_Tom1.wav
    """,
    "percussion": """
        Perc 3.wav
        PERCUSSION_FULL.wav
        Congas.wav
        808cowbell.wav
        Drums - Perc 2.wav
    """,
    "shaker": """
        Shaker.wav
        SHKR 16ths.wav
        tambourine_01.wav
        Perc - Shaker.wav
        shaker loop.wav
    """,
    "drum loop": """
        Drum Loop 92.wav
        Drums_01_loop.wav
        Perc Loop_FINAL.wav
        Top Loop.wav
        breakbeat chopped.wav
    """,
    "drum bus": """
        Drums.wav
        DRUM BUS.wav
        Kick & Snare.wav
        drum fill.wav
        Drum Room.wav
    """,
    "808": """
        808.wav
        808s_v2.wav
        808 Bass (mono).wav
        Bass_808_print.wav
        Bass - 808.wav
        Kick 808.wav
        808 loop.wav
    """,
    "sub bass": """
        Sub.wav
        SubBass.wav
        Bass_Sub.wav
    """,
    "bass": """
        Bass.wav
        Bass DI.wav
        Synth Bass.wav
        bass synth 2.wav
        Bass Gtr.wav
        UprightBass.wav
        Bass loop.wav
    """,
    "piano": """
        pno chords FINAL2.wav
        Piano.wav
        Grand Piano_L.wav
        keys - piano.wav
        Piano Loop.wav
        piano lead.wav
        Piano reverse.wav
    """,
    "keys": """
        Keys.wav
        keys_02_R.wav
        EP.wav
        Electric Piano.wav
        e-piano verse.wav
        Keys Lead.wav
    """,
    "organ": """
        Organ.wav
        Keys_Organ.wav
    """,
    "guitar": """
        Guitar.wav
        EGtr_L.wav
        gtr riff dbl.wav
        Lead Guitar.wav
        guitar loop.wav
        Gtr Lead 2.wav
    """,
    "acoustic guitar": """
        AC GTR.wav
        Acoustic Guitar DI.wav
        nylon gtr.wav
        Gtr_Acoustic.wav
    """,
    "strings": """
        Strings.wav
        STRGS hi.wav
        Strings_Cello.wav
        vln 1.wav
        Synth Strings.wav
        Strings loop.wav
    """,
    "brass": """
        Brass.wav
        Horns stab.wav
        Brass - Trumpet.wav
    """,
    "woodwinds": """
        Flute.wav
        Sax_lead.wav
        Flute loop.wav
    """,
    "pluck": """
        Pluck.wav
        Arp 1.wav
        synth_arp.wav
    """,
    "bells": """
        Bells.wav
        synth bell.wav
        Bell melody 3.wav
    """,
    "synth": """
        Synth.wav
        chords.wav
        Synth 2 stabs.wav
        Melody.wav
    """,
    "synth lead": """
        Lead.wav
        Synth_Lead.wav
        LEAD SYNTH 2.wav
        lead line.wav
    """,
    "pad": """
        Pad.wav
        piano pad.wav
        Strings Pad.wav
        Synth Pad warm.wav
        Vox pad.wav
        Ambient Pad.wav
    """,
    "choir": """
        Choir.wav
        choir_vox.wav
    """,
    "vocal sample": """
        Vox chop (bounce).wav
        vocal sample.wav
        VocalChops_3.wav
        Vox_02_chop.wav
        Vocal Loop.wav
        Vocals Loop.wav
    """,
    "lead vocal": """
        Lead Vocal.wav
        LD VOX.wav
        Vox.wav
        vocals main.wav
        VOX Comp_Lead.wav
        Rap verse 1.wav
    """,
    "backing vocals": """
        BGVs.wav
        BVs_L.wav
        Vocals - BGV.wav
        BG Vox oohs.wav
    """,
    "ad libs": """
        Vox_adlibs.wav
        Ad-Lib 2.wav
        oh adlib.wav
        adlibz.wav
    """,
    "doubles": """
        Lead Vox Dbl.wav
        vox dubs L.wav
    """,
    "harmonies": """
        harmony hi.wav
        VoxHarmz.wav
    """,
    "mallets": """
        Steel Drums.wav
        marimba_2.wav
    """,
    "reference": """
        rough mix 3.wav
        Click.wav
        talkback.wav
    """,
    "loop": """
        Sample.wav
        main sample 85bpm.wav
        Loop 3.wav
        sample chop.wav
        synth loop.wav
    """,
    "effects": """
        FX.wav
        riser_01.wav
        SFX impact.wav
        FX Vocal.wav
        vox fx 2.wav
        Vinyl Crackle.wav
        bass drop.wav
        white noise sweep.wav
        FX - Perc.wav
        Producer Tag.wav
        Vocal Reverb.wav
    """,
}
CASES = [(name.strip(), recipe) for recipe, names in STRANGERS.items() for name in names.strip().splitlines()]


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_a_strangers_name_lands_on_its_recipe_without_a_tie(name, recipe):
    found = match_all([name], LIBRARY)[name]
    assert isinstance(found, Match)
    assert found.recipe.name == recipe


def test_every_house_recipe_is_reached_by_a_strangers_name():
    assert set(STRANGERS) == set(LIBRARY.recipes)


# Words that are two instruments in the trade; without the song's other stems neither is taken.
SUNG_OR_BLOWN = {"choir", "woodwinds"}
IN_DOUBT = dict.fromkeys(("soprano", "alto", "tenor", "baritone"), SUNG_OR_BLOWN) | {
    "upright": {"bass", "piano"},
    "lead": {"lead vocal", "synth lead"},
    "lead stack": {"doubles", "synth lead"},
    "slide": {"808", "guitar"},
    "scratch": {"effects", "reference"},
    "guitar scratch": {"guitar", "reference"},
    "lead harmony": {"guitar", "harmonies"},
    "lead harm": {"guitar", "harmonies"},
    "hook lead": {"lead vocal", "synth lead"},
    "atmo": {"effects", "pad"},
    "quad": {"guitar", "toms"},
    "solo": {"guitar", "lead vocal"},
    "scream": {"backing vocals", "lead vocal"},
    "growl": {"bass", "lead vocal"},
    "backup": {"backing vocals", "reference"},
    "clv": {"keys", "percussion"},
    "sample pad": {"pad", "percussion"},
}


@pytest.mark.parametrize("recipe", LIBRARY.recipes.values(), ids=lambda recipe: recipe.name)
def test_each_phrase_of_a_recipe_alone_finds_that_recipe(recipe):
    for phrase in map(" ".join, (*recipe.names, *recipe.general_names)):
        found = match(phrase, LIBRARY)
        if recipe.name in IN_DOUBT.get(phrase, ()):
            assert isinstance(found, Doubt), phrase
            assert {each.recipe.name for each in found.readings} == IN_DOUBT[phrase]
        else:
            assert isinstance(found, Match), phrase
            assert found.recipe.name == recipe.name, phrase


# Two recipes' phrases that mean the same word by word; as written each is its recipe's, and any other spelling is a doubt.
MEANT_TWICE = {
    "atmosphere", "guitar scratch", "hook lead", "lead harmony", "saxophone harmony", "string bass", "winds",
}  # fmt: skip


def test_no_two_recipes_have_phrases_that_mean_the_same_but_those_in_doubt():
    shared = {
        " ".join(phrase)
        for phrases in LIBRARY.by_first_word.values()
        for phrase, claims in phrases
        if len({claim.recipe.name for claim in claims}) > 1
    }
    assert shared == MEANT_TWICE | IN_DOUBT.keys() - {"lead harm", "atmo"}


@pytest.mark.parametrize(
    "name", ["Audio 07.wav", "Track 3.wav", "untitled.wav", "what the.wav", "chart.wav", "snapshot.wav", "kickstart.wav"]
)
def test_a_name_that_says_nothing_is_left_to_a_person(name):
    assert match(name, LIBRARY) is None


@pytest.mark.parametrize("path", HOUSE, ids=lambda path: path.stem)
def test_the_first_line_lets_an_editor_find_the_schema(path):
    first = path.read_text(encoding="utf-8").splitlines()[0]
    found = re.fullmatch(r"# yaml-language-server: \$schema=(\S+)", first)
    assert found is not None
    assert found[1] == "../src/stemwright/recipes/schemas/recipe.schema.json"


@pytest.mark.parametrize("path", HOUSE, ids=lambda path: path.stem)
def test_each_file_is_named_after_its_recipe(path):
    written = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert path.stem == str(written["recipe"]).replace(" ", "-")


@pytest.mark.parametrize("path", HOUSE, ids=lambda path: path.stem)
def test_every_move_is_written_with_its_name_and_its_own_reason(path):
    moves = yaml.safe_load(path.read_text(encoding="utf-8")).get("moves", [])
    reasons = [move["why"] for move in moves]
    names = [move["name"] for move in moves]
    assert all(len(reason) >= 20 for reason in reasons)
    assert len(set(reasons)) == len(set(names)) == len(moves)


@pytest.mark.parametrize(("recipe", "move"), MOVES, ids=MOVE_IDS)
def test_amounts_are_subtle(recipe, move):
    """A few dB at most where they are heard; only the feet of air shelves lie below 20 kHz (common practice, no source)."""
    if move.kind in ("bell", "low_shelf", "high_shelf"):
        heard = magnitude_db(move.kind, move.settings, np.geomspace(20, 20_000, 400))
        assert np.abs(heard).max() <= 2.0 + 1e-9, recipe
    if move.kind == "rings":
        assert move.settings["take_percent"] == 50
        assert move.settings["deepest_db"] <= 6
        assert move.settings["least_db"] >= 4
        assert move.settings["at_most"] <= 2


@pytest.mark.parametrize("recipe", LIBRARY.recipes.values(), ids=lambda recipe: recipe.name)
def test_no_recipe_changes_level_or_compresses_unasked(recipe):
    assert not [move for move in recipe.moves if move.kind in ("compress", "gain", "polarity") and not move.off]


def _heard_db(recipe, freq_hz):
    """Return all of a recipe's moves that are on, at one frequency."""
    kinds = ("high_pass", "low_pass", "low_shelf", "high_shelf", "bell", "notch")
    moves = [move for move in LIBRARY.get(recipe).moves if not move.off and move.kind in kinds]
    return sum(float(magnitude_db(move.kind, move.settings, np.array([freq_hz]))[0]) for move in moves)


# About the lowest useful notes of an 808 and of a kick (common practice, no source).
@pytest.mark.parametrize(("recipe", "freq_hz"), [("808", 35.0), ("sub bass", 35.0), ("kick", 50.0), ("drum bus", 50.0)])
def test_the_low_end_loses_no_weight(recipe, freq_hz):
    assert _heard_db(recipe, freq_hz) > -0.6


def test_the_air_of_the_hats_is_heard_as_one_db():
    """30 kHz, +5.5 dB gives 0.94 dB at 20 kHz, on paper (as much as 27 kHz, +4 dB; common practice, no source).

    Audio EQ Cookbook, high shelf of slope S = 1: |H|^2 = (1 + g r^4)/(1 + r^4/g), g = 10^(5.5/20), r = 20/30.
    """
    air = next(move for move in LIBRARY.get("hats").moves if move.name == "air")
    g, r = 10 ** (5.5 / 20), 20 / 30
    on_paper = 10 * np.log10((1 + g * r**4) / (1 + r**4 / g))
    assert on_paper == pytest.approx(0.941, abs=0.001)
    assert magnitude_db(air.kind, air.settings, np.array([20_000.0]))[0] == pytest.approx(on_paper, abs=0.001)


def test_a_recipe_says_where_its_stems_sound_only_where_they_sound_nowhere_else():
    said = {name: recipe.sounds for name, recipe in LIBRARY.recipes.items() if recipe.sounds}
    low = dict.fromkeys(("808", "bass", "kick", "sub bass"), "low")
    high = dict.fromkeys(("hats", "shaker", "clap", "snap"), "high")
    assert said == low | high | {"lead vocal": "open"}


def test_a_vocal_sample_is_rolled_off_more_gently_than_the_hats():
    hats, sample = (LIBRARY.get(name).moves[0].settings for name in ("hats", "vocal sample"))
    assert sample["slope_db_oct"] < hats["slope_db_oct"]
    assert sample["freq_hz"] < hats["freq_hz"]


def test_a_vocal_samples_compression_is_left_as_received_and_its_recipe_says_so():
    recipe = LIBRARY.get("vocal sample")
    assert "compression is part of the sound, so it is left as received" in recipe.about
    assert not [move for move in recipe.moves if move.kind == "compress"]


def test_the_piano_makes_room_for_the_vocal_and_keeps_bite_in_reserve():
    moves = {move.name: move for move in LIBRARY.get("piano").moves}
    assert moves["room for the vocal"].settings["gain_db"] < 0
    assert moves["bite"].off
    assert not moves["room for the vocal"].off


@pytest.mark.parametrize("recipe", ["loop", "drum loop", "effects"])
def test_what_came_finished_gets_a_roll_off_and_nothing_else(recipe):
    assert [move.name for move in LIBRARY.get(recipe).moves if not move.off] == ["roll-off"]


def test_the_example_of_an_own_recipe_builds_on_the_house_recipe_it_shadows():
    examples = Path(__file__).parents[2] / "examples" / "own-recipes"
    own, house = load_library([examples, house_dir()]).get("hats"), LIBRARY.get("hats")
    assert (own.names, own.role, own.family) == (house.names, house.role, house.family)
    assert [move.name for move in own.moves] == ["roll-off", "air", "sting"]
    assert {move.name: move.settings.get("gain_db") for move in own.moves} == {"roll-off": None, "air": 2.0, "sting": -1.0}
