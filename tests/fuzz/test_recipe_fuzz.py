"""Whatever is in a file, the recipe language answers with problems and never with a crash."""

from __future__ import annotations

import tempfile
from pathlib import Path

import yaml
from hypothesis import given
from hypothesis import strategies as st

from stemwright.errors import RecipeError
from stemwright.recipes.library import load_library
from stemwright.recipes.session import load_session
from stemwright.stems.names import words_of

KEYS = ["recipe", "version", "about", "role", "family", "stems", "names", "not", "moves", "based_on", "change", "drop"]
KEYS += [
    "bell",
    "freq",
    "gain",
    "q",
    "rings",
    "from",
    "to",
    "polarity",
    "name",
    "why",
    "off",
    "deliver",
    "bits",
    "leave",
    "skip",
]
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from([*KEYS, "x", "3 kHz", "+4 dB", "4:1", "flip"])
)
TREES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=6), inner, max_size=5)
    ),
    max_leaves=25,
)
PIECES = st.lists(
    st.sampled_from(
        [*KEYS, *":-{}[],&*!|>'\"%@`#?~\t\n", ": ", "\n  ", "- ", "<<", "yes", "010", ".nan", "é", "\ufeff", "---\n"]
    ),
    max_size=40,
).map("".join)
WHOLE = "recipe: x\nabout: a\nstems: {names: [x]}\nmoves:\n  - bell: {freq: 3 kHz, gain: +1 dB}\n    name: a\n"


def survives(raw):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "session.yaml").write_bytes(raw)
        for read in (lambda: load_library([folder]), lambda: load_session(folder)):
            try:
                read()
            except RecipeError as error:
                assert error.problems  # noqa: PT017 - a sound file raises nothing
                assert all("\n" not in line and line.isprintable() for line in error.problems)  # noqa: PT017


@given(st.binary())
def test_any_bytes(raw):
    survives(raw)


@given(st.text())
def test_any_text(text):
    survives(text.encode("utf-8", "surrogatepass"))


@given(PIECES)
def test_pieces_of_yaml(text):
    survives(text.encode())


@given(TREES)
def test_any_tree(tree):
    survives(yaml.safe_dump(tree, allow_unicode=True).encode("utf-8", "surrogatepass"))


@given(st.integers(0, len(WHOLE)), st.integers(0, len(WHOLE)), PIECES)
def test_a_good_recipe_with_a_hole_in_it(first, last, piece):
    first, last = sorted((first, last))
    survives((WHOLE[:first] + piece + WHOLE[last:]).encode())


@given(st.dictionaries(st.sampled_from(["a", "b", "c", "d"]), st.sampled_from(["a", "b", "c", "d"])))
def test_any_parentage(parents):
    with tempfile.TemporaryDirectory() as name:
        for child, parent in parents.items():
            (Path(name) / f"{child}.yaml").write_text(f"recipe: {child}\nbased_on: {parent}\n", encoding="utf-8")
        try:
            load_library([Path(name)])
        except RecipeError as error:
            assert error.problems  # noqa: PT017 - none is only right where there is no file
        else:
            assert parents == {}


@given(st.text())
def test_any_name(name):
    assert all(words_of(name))
