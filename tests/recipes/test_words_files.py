"""Words files: what they may say, where an error stands, and in which order they are searched."""

from __future__ import annotations

import contextlib
import json
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from stemwright.errors import RecipeError
from stemwright.recipes.folders import house_dir, search_dirs
from stemwright.recipes.library import load_library
from stemwright.recipes.moves import Move
from stemwright.recipes.problems import Problems
from stemwright.recipes.recipe import read_draft
from stemwright.recipes.schema import read_schema
from stemwright.recipes.strict_yaml import Items, Scalar, load
from stemwright.recipes.words import Meaning, Word, WordError
from stemwright.recipes.words_library import load_vocabulary, words_dirs
from stemwright.recipes.words_reading import read_words
from stemwright.recipes.words_schema import build_words_schema
from stemwright.recipes.words_writing import write_words

HOUSE = load_vocabulary(words_dirs(None, []))
ROLES = {(recipe.role, recipe.family) for recipe in load_library(search_dirs(None, [])).recipes.values()}
FILES = sorted((house_dir() / "words").glob("*.yaml"))
SCHEMA = read_schema("words")


def plain(node):
    if isinstance(node, Scalar):
        return node.value
    return (
        [plain(each) for each in node.items]
        if isinstance(node, Items)
        else {key: plain(value) for key, value in node.values.items()}
    )


def problems_of(text):
    problems = Problems()
    read_words(text, "words.yaml", "house", problems)
    return problems.lines()


def test_there_are_at_least_thirty_house_words_and_those_the_approvers_use():
    wanted = (
        "bite bright dark warm thin full muddy boomy boxy nasal harsh shrill edge presence air crisp "
        "punch attack weight body "
        "tight smooth open louder quieter forward back ringing"
    )
    assert len(HOUSE.words) >= 30
    assert not [word for word in wanted.split() if (word,) not in HOUSE.forms]


@pytest.mark.parametrize("name", sorted(HOUSE.words))
def test_every_house_word_has_its_reason_and_its_opposite_and_speaks_of_every_role(name):
    word = HOUSE.words[name][0]
    assert word.why
    assert word.opposite in HOUSE.words
    for role, family in ROLES:
        assert HOUSE.understand(name, role, family).meaning


@pytest.mark.parametrize("name", sorted(HOUSE.words))
def test_a_house_word_moves_no_more_than_an_engineer_would_accept(name):
    # Common practice, no source: a word at a plain "more" is heard and forgiven, between 1 and 3 dB.
    for meaning in HOUSE.words[name][0].means:
        assert meaning.rings_percent is not None or 1.0 <= meaning.largest_db <= 3.0


def test_house_words_speak_of_roles_that_there_are():
    said = {to for words in HOUSE.words.values() for word in words for meaning in word.means for to in meaning.to}
    assert said <= {role for role, _ in ROLES} | {"drums", "music", "vocals"}


def test_a_word_and_its_opposite_are_each_other_turned_round():
    for role, family in ROLES:
        for name, words in HOUSE.words.items():
            one, other = HOUSE.understand(name, role, family), HOUSE.understand(words[0].opposite, role, family)
            assert (one.name, one.sign, one.meaning) == (other.name, -other.sign, other.meaning)


def test_the_shipped_schema_is_the_one_the_table_of_moves_gives():
    assert json.loads(json.dumps(build_words_schema())) == SCHEMA
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_house_files_pass_their_schema_and_name_it(path):
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# yaml-language-server: $schema=../../src/stemwright/recipes/schemas/words.schema.json\n")
    assert Draft202012Validator(SCHEMA).is_valid(plain(load(text, path.name, Problems())))


GOOD = "why: w, opposite: dark, means: [{moves: [{bell: {freq: 3 kHz, gain: +2 dB}}]}]"


@pytest.mark.parametrize(
    ("text", "line", "in_schema"),
    [
        (
            "words: {bite: {opposite: dark}}",
            "words.yaml:1:15: words.bite: why is missing; say what the approver hears, and why these moves answer it",
            True,
        ),
        (
            "words: {bite: {why: w}}",
            "words.yaml:1:15: words.bite: neither means nor opposite; write its moves, or the word it turns round",
            True,
        ),
        (
            "words: {bite: {why: w, means: [{moves: [{bell: {freq: 3, gain: 2}}]}]}}",
            "words.yaml:1:55: words.bite.means[1].moves[1].bell.freq: out of range (3); allowed: 10 Hz to 80 kHz",
            True,
        ),
        (
            "words: {bite: {why: w, means: [{moves: [{high_pass: {freq: 3 kHz}}]}]}}",
            (
                "words.yaml:1:41: words.bite.means[1].moves[1]: high_pass cannot be scaled and turned round; "
                "a word is made of low_shelf, high_shelf, bell, gain"
            ),
            True,
        ),
        (
            "words: {bite: {why: w, means: [{moves: [{gain: 0 dB}]}]}}",
            "words.yaml:1:41: words.bite.means[1].moves[1]: out of range (+0 dB); allowed: up to 12 dB each way, and not 0",
            False,
        ),
        (
            "words: {bite: {why: w, means: [{moves: [{gain: 13 dB}]}]}}",
            "words.yaml:1:41: words.bite.means[1].moves[1]: out of range (+13 dB); allowed: up to 12 dB each way, and not 0",
            False,
        ),
        (
            "words: {bite: {why: w, means: [{moves: [], rings: 25 %}]}}",
            "words.yaml:1:32: words.bite.means[1]: write either moves, or rings with a percentage",
            True,
        ),
        (
            "words: {bite: {why: w, means: [{to: [drums], rings: 25 %}, {to: [drums], rings: 5 %}]}}",
            "words.yaml:1:60: words.bite.means[2]: a second meaning for drums, beside words.bite.means[1]; keep one",
            False,
        ),
        (
            f"words: {{more: {{{GOOD}}}}}",
            "words.yaml:1:9: words.more: a word of the note language itself (more); take another form",
            False,
        ),
        (
            f"words: {{Bite: {{{GOOD}}}}}",
            "words.yaml:1:9: words.Bite: not a word in small letters (Bite); write bite",
            False,
        ),
        (
            "words: [bite]",
            "words.yaml:1:8: words: a list is not allowed here; write a mapping of words, each with why, opposite and means",
            True,
        ),
        ("bite: {}", "words.yaml:1:1: bite: unknown key (bite); allowed: by, words", True),
    ],
)
def test_what_is_wrong_is_said_with_its_place(text, line, in_schema):
    assert line in problems_of(text)
    if in_schema:
        assert not Draft202012Validator(SCHEMA).is_valid(plain(load(text, "words.yaml", Problems())))


def write(folder, text, name="own.yaml"):
    (folder / "words").mkdir(parents=True, exist_ok=True)
    (folder / "words" / name).write_text(text, encoding="utf-8")
    return folder


def bell(freq_hz, head=""):
    means = f"[{{moves: [{{bell: {{freq: {freq_hz} Hz, gain: 1 dB}}}}]}}]"
    return f"{head}words: {{bite: {{why: own, opposite: blunt, means: {means}}}}}\n"


def bite_hz(dirs, by=None):
    return load_vocabulary(dirs, by).understand("bite", "piano", "music").meaning.moves[0].settings["freq_hz"]


def test_the_person_comes_first_then_the_song_the_folders_asked_for_the_environment_and_the_house(tmp_path, monkeypatch):
    song, asked, team = (tmp_path / name for name in ("song", "asked", "team"))
    for folder in (song, asked, team):
        folder.mkdir()
    monkeypatch.setenv("STEMWRIGHT_RECIPES", str(team))
    assert bite_hz(words_dirs(song, [asked])) == 3000.0
    write(team, bell(1000))
    assert bite_hz(words_dirs(song, [asked])) == 1000.0
    write(asked, bell(2000))
    assert bite_hz(words_dirs(song, [asked])) == 2000.0
    write(song, bell(4000))
    assert bite_hz(words_dirs(song, [asked])) == 4000.0
    write(team, bell(5000, "by: Ann B.\n"), "ann.yaml")
    assert bite_hz(words_dirs(song, [asked]), "ann b") == 5000.0
    assert bite_hz(words_dirs(song, [asked]), "Bob") == 4000.0


def test_a_role_counts_before_a_family_before_everything():
    text = (
        "words: {bite: {why: w, opposite: blunt, means: [{moves: [{gain: 1 dB}]}, {to: [drums], moves: [{gain: 2 dB}]}, "
        "{to: [kick], moves: [{gain: 3 dB}]}]}}"
    )
    from stemwright.recipes.words import Vocabulary

    words = read_words(text, "w", "house", Problems())
    found = [
        Vocabulary(words).understand("bite", *stem).meaning.largest_db
        for stem in (("kick", "drums"), ("hats", "drums"), ("x", None))
    ]
    assert found == [3.0, 2.0, 1.0]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "words:\n  aa: {why: w, opposite: bb}\n  bb: {why: w, opposite: aa}\n",
            ":2:3: words.aa.opposite: a circle (aa -> bb -> aa); one of them needs means",
        ),
        ("words:\n  aa: {why: w, opposite: aa}\n", ":2:3: words.aa.opposite: a circle (aa -> aa); one of them needs means"),
        (
            "words:\n  aa: {why: w, opposite: brigt}\n",
            ":2:3: words.aa.opposite: no such word (brigt); did you mean bright? ",
        ),
        (
            "words:\n  bitey: {why: w, opposite: dark}\n  aa: {why: w, opposite: dark, also: [bitey]}\n",
            ":3:3: words.aa: bitey is a form of bitey already; keep it in one of them",
        ),
    ],
)
def test_circles_and_unknown_opposites_are_found(tmp_path, text, message):
    with pytest.raises(RecipeError) as caught:
        load_vocabulary(words_dirs(write(tmp_path, text), []))
    assert message in str(caught.value)


def test_a_word_twice_in_one_folder_is_refused(tmp_path):
    write(tmp_path, bell(1000))
    write(tmp_path, bell(2000), "two.yaml")
    with pytest.raises(RecipeError, match=r"words.bite: defined twice, also in own.yaml; keep one"):
        load_vocabulary(words_dirs(tmp_path, []))


def test_an_unknown_word_is_answered_with_the_nearest():
    with pytest.raises(
        WordError, match=r"^no such word \(brigt\); did you mean bright\? all of them: stemwright words list$"
    ):
        HOUSE.get("brigt")


NAMES = st.from_regex(r"[a-z]{2,8}x", fullmatch=True)
GAINS = st.floats(-12, 12).map(lambda value: round(value, 2)).filter(bool)
MOVES = st.builds(
    lambda freq, gain, q: Move("bell", "bell", "", off=False, settings={"freq_hz": freq, "gain_db": gain, "q": q}),
    st.floats(10, 80_000), GAINS, st.floats(0.1, 60),
)  # fmt: skip
MEANINGS = st.one_of(
    st.builds(lambda move: Meaning(moves=(move,)), MOVES),
    st.builds(lambda to, share: Meaning(to=(to,), rings_percent=float(share)), NAMES, st.integers(1, 100)),
)


@given(
    NAMES,
    st.text(min_size=1, max_size=30).filter(lambda text: text.isprintable() and text.strip()),
    st.lists(MEANINGS, min_size=1, max_size=1),
)
def test_words_written_read_back_as_the_same_words(name, why, means):
    word = Word(name=name, why=" ".join(why.split()), opposite="dark", means=tuple(means), also=("yy zz",))
    problems = Problems()
    found = read_words(write_words("Ann: B #1", [word]), "w.yaml", "", problems)
    assert problems.lines() == []
    import unicodedata

    assert [(each.name, each.by, each.means, each.also) for each in found] == [(name, "Ann: B #1", word.means, word.also)]
    assert found[0].why == unicodedata.normalize("NFC", word.why)


def a_word(number):
    return "x" + "".join("abcdefghij"[int(digit)] for digit in str(number))


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("words:\n" + "".join(f"  {a_word(n)}: {{why: a, means: [{{rings: 10 %}}]}}\n" for n in range(2001)),
         "words.yaml:2002:3: words: 2001 words; allowed: 2000"),
        ("words:\n  bright:\n    why: a\n    means:\n" + "".join(f"      - {{to: [r{n}], rings: 10 %}}\n" for n in range(257)),
         "words.yaml:261:9: words.bright.means: 257 meanings; allowed: 256"),
        ("words:\n  bright:\n    why: a\n    means:\n      - moves:\n" + "          - gain: 1 dB\n" * 257,
         "words.yaml:262:13: words.bright.means[1].moves: 257 moves; allowed: 256"),
        ("words: {}\n" + "#" * (1 << 20), "words.yaml:1:1: larger than 1 MiB"),
    ],
    ids=["words", "meanings", "moves", "bytes"],
)  # fmt: skip
def test_a_words_file_has_limits_as_a_recipe_has(tmp_path, monkeypatch, text, problem):
    (tmp_path / "words.yaml").write_text(text)
    monkeypatch.chdir(tmp_path)
    with pytest.raises(RecipeError) as caught:
        load_vocabulary([("here", tmp_path)])
    assert [line for line in caught.value.problems if line.startswith(problem)]


@pytest.mark.parametrize(
    "opposites",
    [lambda n: a_word(n + 1), lambda _: a_word(0), lambda n: f"no{a_word(n)}"],
    ids=["a chain", "all of one", "unknown"],
)
def test_checking_words_takes_steps_in_proportion_to_their_number(tmp_path, opposites):
    def steps(number):
        words = [f"  {a_word(n)}: {{why: a, opposite: {opposites(n)}}}\n" for n in range(1, number)]
        (tmp_path / "words.yaml").write_text(f"words:\n  {a_word(0)}: {{why: a, means: [{{moves: []}}]}}\n" + "".join(words))
        return count_steps(lambda: load_vocabulary([("here", tmp_path)]))

    # Each size against one half as large, both past the fifty problems that are shown with a hint: 2 if linear, 4 if quadratic.
    assert steps(1600) / steps(800) < 2.5


def test_checking_moves_takes_steps_in_proportion_to_their_number():
    def steps(number):
        text = "recipe: x\nstems: {names: [x]}\nmoves:\n" + "  - gain: 1 dB\n    why: a\n" * number
        return count_steps(lambda: read_draft(text, "x.yaml", Problems()))

    assert steps(4000) / steps(2000) < 2.5


def count_steps(work):
    """Count the lines of Python that are run: a machine that others use has no say in it."""
    count = 0

    def trace(*_):
        nonlocal count
        count += 1
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        with contextlib.suppress(RecipeError):
            work()
    finally:
        sys.settrace(before)
    return count
