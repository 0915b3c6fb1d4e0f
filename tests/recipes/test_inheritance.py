"""A recipe that builds on another: what it takes, changes, drops and adds, and when it cannot."""

from __future__ import annotations

import pytest

from stemwright.errors import RecipeError
from stemwright.recipes.library import load_library

BASE = """\
recipe: base
version: 2
about: The base.
role: thing
family: music
stems: {names: [thing], not: [nothing]}
moves:
  - high_pass: {freq: 100 Hz}
    name: roll-off
    why: rumble
  - bell: {freq: 3 kHz, gain: +1 dB}
    name: bite
    off: true
  - rings: {from: 2 kHz, to: 5 kHz}
"""


@pytest.fixture
def load(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def write_and_load(*layers):
        folders = []
        for number, layer in enumerate(layers, start=1):
            folder = tmp_path / f"d{number}"
            folder.mkdir()
            for name, text in layer.items():
                (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
            folders.append(folder)
        return load_library(folders)

    return write_and_load


def problems(load, *layers):
    with pytest.raises(RecipeError) as caught:
        load(*layers)
    return list(caught.value.problems)


def child(text):
    return f"recipe: child\nbased_on: base\n{text}"


def test_what_is_not_written_is_the_parents(load):
    recipe = load({"base": BASE, "child": child("")}).get("child")
    parent = recipe.parents[0]
    assert (recipe.about, recipe.role, recipe.family, recipe.names, recipe.not_names, recipe.version) == (
        "The base.",
        "thing",
        "music",
        (("thing",),),
        (("nothing",),),
        1,
    )
    assert [move.name for move in recipe.moves] == ["roll-off", "bite", "rings"]
    assert (parent.name, parent.version, parent.text) == ("base", 2, BASE)
    assert recipe.sources == (recipe.source, parent)


def test_change_alters_numbers_reason_and_the_switch_and_nothing_else(load):
    text = child("change:\n  bite: {gain: 2 dB, off: false}\n  roll-off: {why: hum}\n")
    library = load({"base": BASE, "child": text})
    base, recipe = library.get("base"), library.get("child")
    assert [(move.off, move.why, move.settings) for move in recipe.moves] == [
        (False, "hum", {"freq_hz": 100.0, "slope_db_oct": 12.0}),
        (False, "", {"freq_hz": 3000.0, "gain_db": 2.0, "q": 1.0}),
        (False, "", base.moves[2].settings),
    ]


def test_drop_takes_moves_out_and_moves_come_after(load):
    text = child(
        "drop: [bite]\nmoves:\n  - bell: {freq: 1 kHz, gain: 1}\n    name: bite\n  - rings: {from: 1 kHz, to: 2 kHz}\n"
    )
    recipe = load({"base": BASE, "child": text}).get("child")
    assert [move.name for move in recipe.moves] == ["roll-off", "rings", "bite", "rings 2"]


def test_a_chain_of_any_length_is_followed(load):
    files = {"r0": BASE.replace("recipe: base", "recipe: r0")}
    files |= {f"r{n}": f"recipe: r{n}\nbased_on: r{n - 1}\nmoves: [gain: -1]\n" for n in range(1, 250)}
    recipe = load(files).get("r249")
    assert (len(recipe.parents), len(recipe.moves), recipe.moves[-1].name) == (249, 252, "gain 249")


def test_an_own_recipe_may_build_on_the_one_it_shadows(load):
    library = load({"base": "recipe: base\nbased_on: base\nchange: {roll-off: {freq: 150 Hz}}\n"}, {"base": BASE})
    assert library.get("base").moves[0].settings["freq_hz"] == 150.0
    assert [(recipe.name, recipe.path) for recipe in library.shadowed] == [("base", "d2/base.yaml")]


def test_a_parent_is_searched_along_the_search_order(load):
    library = load({"base": BASE.replace("100 Hz", "150 Hz")}, {"base": BASE, "child": child("")})
    assert library.get("child").moves[0].settings["freq_hz"] == 150.0


WRONG = [
    (
        "change: {bit: {gain: 1}}\n",
        "3:10: change.bit: base has no move of this name (bit); did you mean bite? allowed: roll-off, bite, rings",
    ),
    ("drop: [air]\n", "3:8: drop[1]: base has no move of this name (air); allowed: roll-off, bite, rings"),
    (
        "change: {bite: {slope: 12}}\n",
        "3:17: change.bite.slope: unknown key (slope); allowed: freq, gain, q, why, off, when, if_there, only",
    ),
    ("change: {bite: {gain: 40 dB}}\n", "3:23: change.bite.gain: out of range (40 dB); allowed: -24 dB to +24 dB"),
    ("change: {rings: {to: 1 kHz}}\n", "3:22: change.rings: from must lie under to (from 2 kHz, to 1 kHz)"),
    (
        "change: {bite: 2 dB}\n",
        "3:16: change.bite: not allowed here (2 dB); write a mapping of what changes, such as {gain: +2 dB}",
    ),
    ("change: [bite]\n", "3:9: change: a list is not allowed here; write change: {NAME OF A MOVE: {gain: +2 dB}}"),
    (
        "change: {bite: {gain: 1}}\ndrop: [bite]\n",
        "4:8: drop[1]: changed and dropped at once (bite); keep one of the two",
    ),
    (
        "moves:\n  - gain: 1\n    name: bite\n",
        "5:11: moves[1].name: two moves have this name (bite); give this one another",
    ),
]


@pytest.mark.parametrize(("text", "message"), WRONG, ids=[text.strip() for text, _ in WRONG])
def test_a_wrong_change_is_said_with_its_place(load, text, message):
    assert problems(load, {"base": BASE, "child": child(text)}) == [f"d1/child.yaml:{message}"]


def test_a_parent_that_is_not_there_is_said_with_the_nearest(load):
    assert problems(load, {"base": BASE, "child": child("").replace("based_on: base", "based_on: bass")}) == [
        "d1/child.yaml:2:11: based_on: no recipe has this name (bass); did you mean base? allowed: base"
    ]


def test_a_circle_is_shown_whole_and_once(load):
    files = {
        name: f"recipe: {name}\nbased_on: {parent}\n" for name, parent in (("a", "b"), ("b", "c"), ("c", "a"), ("d", "a"))
    }
    assert problems(load, files) == ["d1/a.yaml:2:11: based_on: a circle (a -> b -> c -> a); one of them must stand alone"]


def test_a_recipe_on_its_own_name_needs_another_further_down(load):
    assert problems(load, {"a": "recipe: a\nbased_on: a\n"}) == [
        "d1/a.yaml:2:11: based_on: no other recipe of this name (a) further down the search order"
    ]


def test_a_parents_mistake_is_not_the_childs(load):
    assert problems(load, {"base": BASE.replace("100 Hz", "1 Hz"), "child": child("drop: [air]\n")}) == [
        "d1/base.yaml:8:23: moves[1].high_pass.freq: out of range (1 Hz); allowed: 10 Hz to 40 kHz"
    ]


def test_a_file_that_cannot_be_read_makes_no_orphans(load):
    assert problems(load, {"base": "a: b: c\n", "child": child("")}) == [
        "d1/base.yaml:1:5: a second colon in one line; put text that has a colon in quotes"
    ]
