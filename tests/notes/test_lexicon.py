"""The lexicon: its files are read strictly, and words are found by their roots, the longest phrase first."""

from __future__ import annotations

import re

import pytest

from stemwright.errors import RecipeError
from stemwright.notes.lexicon import house_lexicon, read_lexicon
from stemwright.notes.morphology import roots
from stemwright.notes.spelling import near
from stemwright.recipes.words_library import load_vocabulary, words_dirs


@pytest.fixture
def lexicon(tmp_path):
    def write(text):
        path = tmp_path / "speech.yaml"
        path.write_text(text, encoding="utf-8")
        return read_lexicon([path])

    return write


# English endings as a grammar lists them; the root is the dictionary's word.
@pytest.mark.parametrize(
    ("word", "root"),
    [("boomier", "boomy"), ("brightest", "bright"), ("muffled", "muffle"), ("hissing", "hiss"), ("hats", "hat"), ("bigger", "big"),
     ("fizz", "fizzy"), ("mud", "muddy"), ("honkin", "honk"), ("hatzzz", "hat"), ("boxiness", "boxy")],
)  # fmt: skip
def test_a_word_is_found_by_its_root(word, root):
    assert root in dict(roots(word))


def test_the_longest_phrase_counts_and_a_word_as_it_stands_before_its_forms(lexicon):
    found = lexicon("speech: {talk: [too], direction: {less: [too much], more: [much]}, praise: [loved], like: [love]}")
    assert [(sense.tag, sense.value) for sense in found.match(["too", "much", "top"])[1]] == [("direction", "less")]
    assert [sense.tag for sense in found.match(["loved"])[1]] == ["praise"]


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("speech: {tak: [a]}", "speech.yaml:1:10: speech.tak: unknown key"),
        ("speech: {talk: {a: [b]}}", "speech.talk: a list of phrases"),
        ("speech: {amount: [a touch]}", "speech.amount: a mapping of values"),
        ("speech: {talk: [no]}", 'write true or false, or "no" in quotes'),
        ('speech: {talk: ["--"]}', "speech.talk[1]: no word in it (--)"),
    ],
)
def test_a_slip_in_a_file_of_speech_is_an_error_with_its_place(lexicon, text, where):
    with pytest.raises(RecipeError, match=re.escape(where)):
        lexicon(text)


def test_a_slip_of_the_keys_is_forgiven_in_long_words_that_can_be_one_only(lexicon):
    known = lexicon("speech: {talk: [aggressive, brittle, brattle, harsh]}")
    assert near("agressive", known) == "aggressive"
    assert near("aggresisve", known) == "aggressive"
    assert near("harhs", known) is None
    assert near("brettle", known) is None


def test_a_phrase_that_stands_twice_in_a_list_is_an_error_with_its_place(lexicon):
    with pytest.raises(RecipeError, match=re.escape("speech.talk[2]: stands in this list already (I mean)")):
        lexicon("speech: {talk: [i mean, I mean]}")


def test_no_image_is_a_form_of_a_word_of_sound_or_stands_under_two():
    forms = load_vocabulary(words_dirs(None, [])).forms
    under = {}
    for phrases in house_lexicon().by_first.values():
        for phrase, senses in phrases.items():
            under[phrase] = [sense.value for sense in senses if sense.tag == "image"]
    assert [phrase for phrase, values in under.items() if values and phrase in forms] == []
    assert [phrase for phrase, values in under.items() if len(values) > 1] == []


def test_every_image_stands_under_a_word_of_sound():
    words = set(load_vocabulary(words_dirs(None, [])).words)
    values = {sense.value for phrases in house_lexicon().by_first.values() for senses in phrases.values() for sense in senses
              if sense.tag == "image"}  # fmt: skip
    assert values - words == set()


def test_every_phrase_can_be_said_a_number_in_it_is_read_as_a_figure():
    figures = {" ".join(phrase) for phrases in house_lexicon().by_first.values() for phrase, senses in phrases.items()
               if any(word.isdigit() for word in phrase) and {sense.tag for sense in senses} != {"ordinal"}}  # fmt: skip
    assert figures == {"808"}
