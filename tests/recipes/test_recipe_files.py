"""Recipe files: what they mean, and every mistake in them at once with its place."""

from __future__ import annotations

import hashlib

import pytest

from stemwright.errors import RecipeError
from stemwright.recipes.library import load_library
from stemwright.recipes.moves import Move

HATS = """\
recipe: hats
version: 3
about: Keep the crisp part, lose everything under it.
family: drums
stems:
  names: [hat, hats, hi hat, hihat, hh]
  not: [that]
moves:
  - high_pass: {freq: 250 Hz, slope: 12 dB/oct}
    why: nothing useful under the stick
  - high_shelf: {freq: 30 kHz, gain: +4 dB}
    name: air
  - rings: {from: 2 kHz, to: 10 kHz, at_most: 2, take: 50 %, deepest: 6 dB}
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def load(folder, **texts):
    for name, text in texts.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return load_library([folder])


def problems(folder, **texts):
    with pytest.raises(RecipeError) as caught:
        load(folder, **texts)
    return list(caught.value.problems)


def with_move(move):
    return f"recipe: x\nabout: a\nstems: {{names: [x]}}\nmoves:\n  - {move}\n"


def test_a_recipe_is_read_to_explicit_numbers(folder):
    recipe = load(folder, hats=HATS).get("hats")
    assert (recipe.version, recipe.role, recipe.family, recipe.path) == (3, "hats", "drums", "hats.yaml")
    assert recipe.names == (("hat",), ("hats",), ("hi", "hat"), ("hihat",), ("hh",))
    assert recipe.not_names == (("that",),)
    assert recipe.moves == (
        Move(
            "high_pass",
            "high_pass",
            "nothing useful under the stick",
            off=False,
            settings={"freq_hz": 250.0, "slope_db_oct": 12.0},
        ),
        Move("high_shelf", "air", "", off=False, settings={"freq_hz": 30000.0, "gain_db": 4.0, "q": 0.7071}),
        Move(
            "rings",
            "rings",
            "",
            off=False,
            settings={
                "from_hz": 2000.0,
                "to_hz": 10000.0,
                "at_most": 2.0,
                "take_percent": 50.0,
                "deepest_db": 6.0,
                "least_db": 4.0,
                "only_offered": 0.0,
            },
        ),
    )


def test_its_hash_is_that_of_the_file(folder):
    recipe = load(folder, hats=HATS).get("hats")
    assert recipe.sha256 == hashlib.sha256((folder / "hats.yaml").read_bytes()).hexdigest()


def test_a_recipe_with_five_mistakes_gives_exactly_five_lines(folder):
    text = HATS.replace("drums", "drum").replace("not:", "nto:").replace("250 Hz", "5 Hz")
    text = text.replace("+4 dB", "+4 kHz").replace("take:", "taek:")
    assert problems(folder, hats=text) == [
        "hats.yaml:4:9: family: not allowed here (drum); did you mean drums? allowed: drums, music, vocals",
        "hats.yaml:7:3: stems.nto: unknown key (nto); did you mean not? allowed: names, general, not, sounds, deep",
        "hats.yaml:9:23: moves[1].high_pass.freq: out of range (5 Hz); allowed: 10 Hz to 40 kHz",
        "hats.yaml:11:38: moves[2].high_shelf.gain: wrong unit (+4 kHz); write a gain in dB, as in +4 dB or -1.5 dB",
        (
            "hats.yaml:13:50: moves[3].rings.taek: unknown key (taek); did you mean take? "
            "allowed: from, to, at_most, take, deepest, least, verdict"
        ),
    ]


def test_the_mistakes_of_all_files_come_in_file_order(folder):
    lines = problems(folder, b=HATS + "mvoes: []\n", a=HATS.replace("version: 3", "version: 0"))
    assert lines == [
        "a.yaml:2:10: version: not allowed here (0); allowed: whole numbers from 1 to 1000000",
        "b.yaml:1:9: recipe: another file here has this name (hats), a.yaml; give one of them another",
        (
            "b.yaml:14:1: mvoes: unknown key (mvoes); did you mean moves? "
            "allowed: recipe, version, about, role, family, stems, based_on, change, drop, moves"
        ),
    ]


MOVES = [
    ("gain: -3 dB", Move("gain", "gain", "", off=False, settings={"gain_db": -3.0})),
    ("gain: {gain: -3}", Move("gain", "gain", "", off=False, settings={"gain_db": -3.0})),
    ("polarity: flip", Move("polarity", "polarity", "", off=False, settings={})),
    (
        "{bell: {freq: 3 kHz, gain: -2 dB}, off: true, name: mud}",
        Move("bell", "mud", "", off=True, settings={"freq_hz": 3000.0, "gain_db": -2.0, "q": 1.0}),
    ),
    (
        "notch: {freq: 1 kHz, gain: -6 dB}",
        Move("notch", "notch", "", off=False, settings={"freq_hz": 1000.0, "gain_db": -6.0, "q": 30.0}),
    ),
    (
        "compress: {threshold: -18 dB, ratio: 4:1, attack: 30 ms, release: 1.5 s}",
        Move(
            "compress",
            "compress",
            "",
            off=False,
            settings={"threshold_db": -18.0, "ratio": 4.0, "attack_ms": 30.0, "release_ms": 1500.0, "makeup_db": 0.0},
        ),
    ),
]


@pytest.mark.parametrize(("written", "move"), MOVES)
def test_a_move_is_read_with_its_defaults(folder, written, move):
    assert load(folder, x=with_move(written)).get("x").moves == (move,)


WRONG = [
    (
        "bel: {freq: 3 kHz}",
        (
            "5: moves[1].bel: unknown key (bel); did you mean bell? allowed: high_pass, low_pass, low_shelf, "
            "high_shelf, bell, notch, rings, de_ess, compress, ride, gain, polarity, name, why, off, when, if_there, only"
        ),
    ),
    ("notch: {freq: 1 kHz, gain: 3 dB}", "32: moves[1].notch.gain: out of range (3 dB); allowed: -48 dB to 0 dB"),
    ("notch", "5: moves[1]: a move without its numbers (notch); write notch: {freq: 250 Hz, gain: -6 dB}"),
    ("bell: {gain: 3 dB}", "11: moves[1].bell: freq is missing; write a frequency, as in 250 Hz"),
    (
        "high_pass: {freq: 100, slope: 13}",
        ("35: moves[1].high_pass.slope: out of range (13); did you mean 12 dB/oct? allowed: 6, 12, 18, 24, 36, 48 dB/oct"),
    ),
    ("rings: {from: 3 kHz, to: 2 kHz}", "30: moves[1].rings: from must lie under to (from 3 kHz, to 2 kHz)"),
    (
        "rings: {from: 1 kHz, to: 2 kHz, at_most: 1.5}",
        ("46: moves[1].rings.at_most: not a whole number (1.5); write a whole number, as in 2"),
    ),
    ("polarity: flop", "15: moves[1].polarity: not allowed here (flop); did you mean flip? allowed: flip"),
    ("{gain: 1, why: ''}", "20: moves[1].why: empty; write the reason for this move"),
    ("{gain: 1, off: 1}", "20: moves[1].off: not allowed here (1); allowed: true, false"),
    ("{gain: 1, polarity: flip}", "15: moves[1].polarity: a second move in one entry; begin it with '- polarity:'"),
    ("{name: a}", "5: moves[1]: no move here; write a move, such as {bell: {freq: 3 kHz, gain: -2 dB}}"),
    ("gain: .nan", "11: moves[1].gain: not a number (.nan); write a gain in dB, as in +4 dB or -1.5 dB"),
    ("gain: [1]", "11: moves[1].gain: a list is not allowed here; write one value, such as -48 dB"),
    (
        "bell: {freq: 3 kHz, gain: yes}",
        (
            "31: moves[1].bell.gain: some readers take this for true or false (yes); "
            'write true or false, or "yes" in quotes for the word'
        ),
    ),
]


@pytest.mark.parametrize(("written", "message"), WRONG, ids=[written for written, _ in WRONG])
def test_a_wrong_move_is_said_with_its_place_and_what_is_allowed(folder, written, message):
    assert problems(folder, x=with_move(written)) == [f"x.yaml:5:{message}"]


HEADS = [
    ("", ["1:1: empty; write a recipe: 'recipe: NAME' first, then about, stems and moves"]),
    ("- a\n", ["1:1: a list is not allowed here; write a recipe: 'recipe: NAME' first, then about, stems and moves"]),
    (
        "version: 1\n",
        [
            "1:1: recipe is missing; write its name, such as recipe: hats",
            "1:1: about is missing; write in a sentence what the recipe is for",
            "1:1: stems is missing; write which stems it takes, such as stems: {names: [hat, hats]}",
            "1:1: moves is missing; write the moves in order; moves: [] leaves stems as received",
        ],
    ),
    (
        "recipe: x\nabout: a\nstems: {names: [--, x], not: [X]}\nmoves:\ndrop: [a]\n",
        [
            "3:17: stems.names[1]: no letter or digit in it (--); write a word or phrase, such as hi hat",
            "3:31: stems.not: also in names (x), so it could never match",
            "4:7: moves: empty; write a list of moves; [] for none",
            "5:1: drop: needs based_on, the name of the recipe whose moves it alters",
        ],
    ),
]


@pytest.mark.parametrize(("text", "messages"), HEADS)
def test_a_wrong_head_is_said_whole(folder, text, messages):
    assert problems(folder, x=text) == [f"x.yaml:{message}" for message in messages]


def test_a_recipe_without_moves_is_legal(folder):
    text = "recipe: x\nabout: Left as received.\nstems: {names: [x]}\nmoves: []\n"
    assert load(folder, x=text).get("x").moves == ()


def test_the_same_kind_again_is_numbered_and_written_names_come_first(folder):
    bells = ["{gain: 1}", "{gain: 2}", "{gain: 3, name: gain}", "{gain: 4}"]
    text = with_move("\n  - ".join(bells))
    assert [move.name for move in load(folder, x=text).get("x").moves] == ["gain 2", "gain 3", "gain", "gain 4"]


def test_two_moves_of_one_name_are_a_problem(folder):
    text = with_move("{gain: 1, name: a}\n  - {gain: 2, name: a}")
    assert problems(folder, x=text) == ["x.yaml:6:21: moves[2].name: two moves have this name (a); give this one another"]


def test_a_number_without_quotes_is_a_phrase_as_written(folder):
    text = "recipe: x\nabout: a\nstems: {names: [808, 808s]}\nmoves: []\n"
    assert load(folder, x=text).get("x").names == (("808",), ("808", "s"))


def test_a_file_with_very_many_mistakes_ends_in_a_count(folder):
    lines = problems(folder, x="recipe: x\nabout: a\nstems: {names: [x]}\nmoves:\n" + "  - gain: loud\n" * 60)
    assert (len(lines), lines[-1]) == (51, "x.yaml: and 10 problems more")
