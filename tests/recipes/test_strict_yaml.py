"""The strict reader: places, and everything it refuses, message by message."""

from __future__ import annotations

import pytest

from stemwright.recipes import strict_yaml
from stemwright.recipes.problems import Problems
from stemwright.recipes.strict_yaml import Items, Scalar, Table, decode, load


def refused(text):
    problems = Problems()
    load(text, "x.yaml", problems)
    return problems.lines()


def test_every_value_knows_its_line_and_column():
    node = load("é:\n  - {a: ü, b: [1, x]}\n", "x.yaml", Problems())
    assert isinstance(node, Table)
    items = node.values["é"]
    assert isinstance(items, Items)
    inner = items.items[0]
    assert isinstance(inner, Table)
    b = inner.values["b"]
    assert isinstance(b, Items)
    assert [(place.line, place.column) for place in (items, inner, inner.keys["b"], b, b.items[1])] == [
        (2, 3),
        (2, 5),
        (2, 12),
        (2, 15),
        (2, 19),
    ]


def test_the_words_on_and_off_are_fine_as_keys():
    node = load("off: true\non: 1\n", "x.yaml", Problems())
    assert isinstance(node, Table)
    assert {key: value.value for key, value in node.values.items() if isinstance(value, Scalar)} == {"off": True, "on": 1}


def test_quotes_make_text_of_anything():
    assert refused("a: ['yes', \"010\", '12:30']\n") == []


MESSAGES = [
    ("a: 1\nb: 2\na: 3\n", "x.yaml:3:1: a: this key is here a second time, first in line 1; keep one of them"),
    ("a: &x [1]\n", "x.yaml:1:4: a: anchors (&x) are not used here; take it out"),
    ("a: *x\n", "x.yaml:1:4: a: aliases (*x) are not used here; write the value out"),
    ("a: !!float 1\n", "x.yaml:1:4: a: tags (tag:yaml.org,2002:float) are not used here; take it out"),
    ("a: 1\n---\nb: 2\n", "x.yaml:2:1: a second document begins here; one file holds one"),
    ("%YAML 1.1\n---\na: 1\n", "x.yaml:1:1: directives (%) are not used here; take them out"),
    ("<<: {a: 1}\n", "x.yaml:1:1: merge keys (<<) are not used here; a recipe builds on another one by based_on"),
    ("? [a]\n: b\n", "x.yaml:1:3: a key must be a word, not a list, a mapping or an alias"),
    ("?\n: b\n", "x.yaml:1:2: a key is missing before this colon"),
    (
        "a: yes\n",
        (
            "x.yaml:1:4: a: some readers take this for true or false (yes); "
            'write true or false, or "yes" in quotes for the word'
        ),
    ),
    ("a: 010\n", "x.yaml:1:4: a: a leading zero means base 8 to some readers (010); leave it out, or put it in quotes"),
    ("a: [x, 12:30]\n", "x.yaml:1:8: a[2]: some readers take this for base 60 (12:30); put it in quotes"),
    ("a: 1_000\n", "x.yaml:1:4: a: some readers take this for a number (1_000); write plain digits, or put it in quotes"),
    ("a:\n\t- b\n", "x.yaml:2:1: a tab; indent with spaces"),
    ("a: @b\n", "x.yaml:1:4: a value cannot begin with this character (@); put the value in quotes"),
    ("a: b: c\n", "x.yaml:1:5: a second colon in one line; put text that has a colon in quotes"),
    ('a: "b\n', "x.yaml:2:1: a quote is opened here and not closed"),
    ("a: [1\nb: 2\n", "x.yaml:2:2: a comma or the list's closing ] is missing before this"),
    ("a: \x07\n", "x.yaml:1:4: a character YAML does not allow (U+0007); take it out"),
    ("a: \ud800\n", "x.yaml:1:4: half of a surrogate pair; save it as UTF-8"),
]


@pytest.mark.parametrize(("text", "message"), MESSAGES, ids=[text.strip() for text, _ in MESSAGES])
def test_what_is_refused_is_said_with_its_place(text, message):
    assert refused(text) == [message]


def test_an_alias_bomb_is_refused_before_it_grows():
    # Nine lines that a lenient reader makes 10^9 entries of.
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 9)]
    assert refused("\n".join(lines))[2] == "x.yaml:2:10: a1[1]: aliases (*a0) are not used here; write the value out"


def test_a_cyclic_alias_is_refused():
    assert refused("&a [*a]\n")[1] == "x.yaml:1:5: [1]: aliases (*a) are not used here; write the value out"


def test_a_file_nested_a_hundred_thousand_deep_is_refused():
    assert refused("[" * 100_000) == ["x.yaml:1:1001: nested far too deep; nothing here goes so deep"]


def test_a_file_nested_too_deep_is_refused_where_it_gets_so():
    where = "[1]" * 12
    assert refused("[" * 100 + "]" * 100) == [
        f"x.yaml:1:13: {where}: nested deeper than 12 levels; nothing here goes so deep"
    ]


def test_a_byte_order_mark_is_fine_and_not_part_of_the_text():
    assert decode(b"\xef\xbb\xbfa: 1\n", "x.yaml", Problems()) == "a: 1\n"


def test_bytes_that_are_not_utf_8_are_placed():
    problems = Problems()
    decode(b"a: 1\nb: caf" + b"\xe9\n", "x.yaml", problems)
    assert problems.lines() == ["x.yaml:2:7: not UTF-8 (byte 0xe9); save it as UTF-8"]


def test_a_file_over_one_mebibyte_is_refused():
    problems = Problems()
    assert decode(b"#" * (2**20 + 1), "x.yaml", problems) is None
    assert problems.lines() == ["x.yaml:1:1: larger than 1 MiB; that is no recipe or session sheet"]


def test_the_pure_python_parser_gives_the_same_places(monkeypatch):
    text = "a: ü\nb:\n  - {c: '😀', d: 1}\n  - |\n    text\n"
    fast = load(text, "x.yaml", Problems())
    monkeypatch.setattr(strict_yaml, "_LOADER", strict_yaml.yaml.SafeLoader)
    assert load(text, "x.yaml", Problems()) == fast
