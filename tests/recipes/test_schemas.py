"""The shipped schemas say what the reader says: the table of moves, the house recipes, and thousands of made-up recipes.

The outside judge is the jsonschema package's 2020-12 validator.
"""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from stemwright.recipes.folders import house_dir
from stemwright.recipes.kinds import KINDS
from stemwright.recipes.problems import Problems
from stemwright.recipes.recipe import read_draft
from stemwright.recipes.schema import build_recipe_schema, read_schema
from stemwright.recipes.session import read_session
from stemwright.recipes.strict_yaml import Items, Scalar, load

RECIPE = Draft202012Validator(read_schema("recipe"))
SESSION = Draft202012Validator(read_schema("session"))


def plain(node):
    """Return a node as the data an editor's YAML 1.2 reader would hand to a schema."""
    if isinstance(node, Scalar):
        return node.value
    if isinstance(node, Items):
        return [plain(item) for item in node.items]
    return {key: plain(value) for key, value in node.values.items()}


@pytest.mark.parametrize("name", ["recipe", "session"])
def test_a_shipped_schema_is_valid_2020_12(name):
    Draft202012Validator.check_schema(read_schema(name))


def test_the_shipped_recipe_schema_is_the_table_of_moves():
    assert read_schema("recipe") == build_recipe_schema()


def test_the_schemas_never_use_one_of():
    assert "oneOf" not in json.dumps([read_schema("recipe"), read_schema("session")])


# The design's own list of moves and their keys, written out by hand.
DESIGN = {
    "high_pass": {"freq": (10, 40000), "slope": None, "phase": None},
    "low_pass": {"freq": (10, 40000), "slope": None},
    "low_shelf": {"freq": (10, 80000), "gain": (-24, 24), "q": (0.3, 2)},
    "high_shelf": {"freq": (10, 80000), "gain": (-24, 24), "q": (0.3, 2)},
    "bell": {"freq": (10, 80000), "gain": (-24, 24), "q": (0.1, 60)},
    "notch": {"freq": (10, 80000), "gain": (-48, 0), "q": (0.5, 100)},
    "rings": {
        "from": (20, 20000),
        "to": (20, 20000),
        "at_most": (1, 8),
        "take": (0, 100),
        "deepest": (0, 24),
        "least": (0, 24),
        "verdict": None,
    },
    "compress": {
        "threshold": (-80, 0),
        "ratio": (1, 100),
        "attack": (0.01, 1000),
        "release": (1, 10000),
        "makeup": (-24, 24),
    },
}


@pytest.mark.parametrize("kind", DESIGN)
def test_the_schema_has_the_designs_keys_and_ranges(kind):
    properties = read_schema("recipe")["$defs"][kind]["properties"]
    ranges = {key: (value["minimum"], value["maximum"]) if "minimum" in value else None for key, value in properties.items()}
    assert ranges == DESIGN[kind]


@pytest.mark.parametrize("path", sorted(house_dir().glob("*.yaml")), ids=lambda path: path.stem)
def test_every_house_recipe_fits_the_schema(path):
    data = plain(load(path.read_text(encoding="utf-8"), path.name, Problems()))
    assert [error.message for error in RECIPE.iter_errors(data)] == []


NUMBERS = st.sampled_from(
    [
        0,
        1,
        2,
        5,
        6,
        12,
        13,
        100,
        1000,
        -3,
        -60,
        0.5,
        90000,
        "250 Hz",
        "30 kHz",
        "+4 dB",
        "-3",
        "4:1",
        "30 ms",
        "1 s",
        "50 %",
        "12 dB/oct",
        "3,5 dB",
        "x",
        "0.7",
        "",
        "1.5:1",
        True,
        None,
        [],
    ]
)
NOTES = st.dictionaries(
    st.sampled_from(["name", "why", "off"]), st.sampled_from(["a", "b c", 808, True, False, "", None, []])
)


@st.composite
def moves(draw):
    kind = draw(st.sampled_from(list(KINDS)))
    keys = [field.key for field in KINDS[kind].fields] or ["freq"]
    wanted = [field.key for field in KINDS[kind].fields if field.default is None]
    fields = st.dictionaries(st.sampled_from([*keys, *keys, "frq"]), NUMBERS)
    complete = st.fixed_dictionaries(
        dict.fromkeys(wanted, NUMBERS), optional=dict.fromkeys(set(keys) - set(wanted), NUMBERS)
    )
    body = draw(complete | complete | fields | NUMBERS | st.just("flip"))
    other = draw(st.sampled_from([{}, {}, {}, {"gain": 1}, {"bel": 1}]))
    return {kind: body, **draw(NOTES), **other}


WORDS = st.lists(st.sampled_from(["hat", "hi hat", 808, "808"]), unique_by=str, max_size=3)
RECIPES = st.fixed_dictionaries(
    {},
    optional={
        "recipe": st.sampled_from(["x", 808, "", None, "y" * 81]),
        "version": st.sampled_from([1, 7, 0, "1", True, 1_000_001]),
        "about": st.sampled_from(["a", "", 1, "b c"]),
        "role": st.sampled_from(["a", 5, None]),
        "family": st.sampled_from(["drums", "music", "vocals", "drum", 1]),
        "stems": st.one_of(
            st.fixed_dictionaries({"names": WORDS}, optional={"not": st.just(["that"])}), st.just({"not": []}), st.just([])
        ),
        "moves": st.lists(moves(), max_size=2) | st.just(None),
        "based_on": st.just("parent"),
        "change": st.sampled_from([{}, {"a": {}}, [], None]),
        "drop": st.sampled_from([[], ["a"], "a", [[]]]),
        "mvoes": st.just([]),
    },
)


@st.composite
def recipes(draw):
    """Half of them complete, so that a good share is right."""
    found = draw(RECIPES)
    if draw(st.booleans()):
        found = {
            "recipe": "x",
            "about": "a",
            "stems": {"names": ["hat"]},
            "moves": draw(st.lists(moves(), max_size=2)),
            **found,
        }
    return found


UNSAID = ("must lie under", "out of range", "two moves have this name", "so it could never match")


def only_what_a_schema_cannot_say(lines):
    return lines and all(any(fragment in line for fragment in UNSAID) for line in lines)


@given(recipes())
def test_schema_and_reader_agree_on_recipes(data):
    problems = Problems()
    text = json.dumps(data)  # JSON is YAML 1.2: https://yaml.org/spec/1.2.2/#12-yaml-history
    read_draft(text, "x.yaml", problems)
    lines = problems.lines()
    fits = RECIPE.is_valid(data)
    # A range is the schema's affair for bare numbers and the reader's alone for values with a unit.
    assert fits == (not lines) or (fits and only_what_a_schema_cannot_say(lines)), lines


CHOICES = st.dictionaries(
    st.sampled_from(["role", "leave", "skip", "why", "ride", "leav"]),
    st.sampled_from(["a", "b c", True, False, "", None, []]),
    max_size=3,
)
SESSIONS = st.dictionaries(
    st.sampled_from(["song", "approver", "stem"]), st.sampled_from(["a", 1, "", None]), max_size=2
).flatmap(
    lambda head: st.fixed_dictionaries(
        {key: st.just(value) for key, value in head.items()},
        optional={
            "stems": st.dictionaries(st.sampled_from(["a", "b.wav"]), CHOICES) | st.just([]),
            "deliver": st.dictionaries(
                st.sampled_from(["overs", "bits", "bit"]), st.sampled_from(["float", "trim", 16, "24", "keep", 20, True])
            ),
        },
    )
)


@given(SESSIONS)
def test_schema_and_reader_agree_on_session_sheets(data):
    problems = Problems()
    read_session(json.dumps(data), "session.yaml", problems)
    assert SESSION.is_valid(data) == (not problems.lines()), problems.lines()
