"""The note language: what each sentence asks of which stems, and that nothing is guessed."""

from __future__ import annotations

import re
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright.notes.language import LONGEST_NOTE, NoteError, parse
from stemwright.notes.targets import TargetError, targets_of
from stemwright.recipes.words_library import load_vocabulary, words_dirs


@dataclass(frozen=True)
class Stem:
    stem: str
    role: str | None
    family: str | None
    status: str = "prepped"
    deliver_as: object = "a file"


SONG = (
    Stem("Piano 01.wav", "piano", "music"),
    Stem("HiHat 01_PRINT.wav", "hats", "drums"),
    Stem("kick.wav", "kick", "drums"),
    Stem("Lead Vox.wav", "lead vocal", "vocals"),
    Stem("gtr_L.wav", "guitar", "music"),
    Stem("gtr_R.wav", "guitar", "music"),
    Stem("old loop.wav", None, None, status="skipped", deliver_as=None),
)
VOCABULARY = load_vocabulary(words_dirs(None, []))
PIANO, HATS, KICK, VOX, LEFT, RIGHT = (stem.stem for stem in SONG[:6])


def asks(text, stems=SONG):
    return [(set(ask.stems), ask.word, ask.amount, ask.gain_db) for ask in parse(text, targets_of(stems), VOCABULARY)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("piano: more bite", [({PIANO}, "bite", 1.0, None)]),
        ("more bite on the piano", [({PIANO}, "bite", 1.0, None)]),
        ("a bit more bite on the keys", [({PIANO}, "bite", 0.5, None)]),
        ("vox: more bite", [({VOX}, "bite", 1.0, None)]),
        ("guitars: more bite", [({LEFT, RIGHT}, "bite", 1.0, None)]),
        ("Hats less harsh.", [({HATS}, "harsh", -1.0, None)]),
        ("the hats are too harsh", [({HATS}, "harsh", -1.0, None)]),
        ("the hats are a bit too harsh", [({HATS}, "harsh", -0.5, None)]),
        ("the piano's not bright enough; kick: not so boomy", None),
        ("piano: not enough bite", [({PIANO}, "bite", 1.0, None)]),
        ("kick: not so boomy", [({KICK}, "boomy", -1.0, None)]),
        ("piano: a touch more bite", [({PIANO}, "bite", 0.25, None)]),
        ("piano: a lot more bite", [({PIANO}, "bite", 2.0, None)]),
        ("piano: much less bite", [({PIANO}, "bite", -2.0, None)]),
        ("piano: a little more bite, but subtle", [({PIANO}, "bite", 0.25, None)]),
        ("piano: more bite, less muddy and brighter", [
            ({PIANO}, "bite", 1.0, None), ({PIANO}, "muddy", -1.0, None), ({PIANO}, "bright", 1.0, None)]),
        ("piano: bite +2 dB", [({PIANO}, "bite", 1.0, 2.0)]),
        ("piano: 2 dB less bite", [({PIANO}, "bite", -1.0, -2.0)]),
        ("piano: bite \u22121.5dB", [({PIANO}, "bite", 1.0, -1.5)]),
        ("piano -2 dB", [({PIANO}, "loud", 1.0, -2.0)]),
        ("turn the piano down by 2 dB", [({PIANO}, "quiet", 1.0, 2.0)]),
        ("bring the vocals forward", [({VOX}, "forward", 1.0, None)]),
        ("drums: tighter", [({HATS, KICK}, "tight", 1.0, None)]),
        ("everything but the piano and the kick: darker", [({HATS, VOX, LEFT, RIGHT}, "dark", 1.0, None)]),
        ("all: louder", [({PIANO, HATS, KICK, VOX, LEFT, RIGHT}, "loud", 1.0, None)]),
        ("piano and kick: warmer", [({PIANO, KICK}, "warm", 1.0, None)]),
        ("gtr_L: brighter", [({LEFT, RIGHT}, "bright", 1.0, None)]),
        ('"HiHat 01_PRINT.wav": darker', [({HATS}, "dark", 1.0, None)]),
        ("HiHat 01_PRINT: darker", [({HATS}, "dark", 1.0, None)]),
        ("piano: more bite\nkick: less boomy. Hats: smoother", [
            ({PIANO}, "bite", 1.0, None), ({KICK}, "boomy", -1.0, None), ({HATS}, "smooth", 1.0, None)]),
    ],
)  # fmt: skip
def test_what_a_note_asks(text, expected):
    if expected is None:
        with pytest.raises(NoteError, match=r"not understood"):
            parse(text, targets_of(SONG), VOCABULARY)
    else:
        assert asks(text) == expected


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("piano: more bight", "bight: did you mean bright or tight or light?"),
        ("pinao: more bite", "pinao: did you mean piano or piano 01?"),
        ("more bite", "no stem, role or family in it; write for whom it is, as in piano: a little more bite"),
        ("piano: bite", "bite without a direction; write more bite, less bite or bite +2 dB"),
        (
            "piano more",
            "more: more or less of what? write a word, as in piano: a little more bite, or louder, quieter, +2 dB",
        ),
        ("piano:", "nothing is asked of Piano 01.wav; say what, as in piano: a little more bite"),
        ("piano: more bite less muddy", "bite and muddy side by side; put a comma or 'and' between two things asked for"),
        ("piano: a little more bite +2 dB", "an amount in words and one in dB (+2 dB); keep one of them"),
        ("piano: -2 dB more bite", "-2 dB and more point two ways; leave one of them out"),
        ("piano: bite +1,5 dB", "+1,5 dB: a comma in a number; write a decimal point"),
        ("piano: bite +13 dB", "+13 dB in one go; a note may ask for up to 12 dB"),
        ("piano: more bite: less mud", "two colons; put a semicolon between the two parts"),
        (
            "hats darker kick brighter",
            "two targets with something asked between them; put a semicolon between the two parts",
        ),
        ("piano but piano: darker", "no stem is left after the exceptions"),
    ],
)
def test_what_is_not_understood_stops_the_whole_note_and_says_what_was(text, reason):
    with pytest.raises(NoteError) as caught:
        parse(f"kick: less boomy; {text}", targets_of(SONG), VOCABULARY)
    assert str(caught.value) == (
        "the note is not understood as a whole, so nothing was done\n"
        f"  understood: kick: less boomy\n  not understood: {text}\n    {reason}"
    )


def test_a_name_that_is_a_stem_and_a_word_asks_for_a_colon():
    song = (Stem("Punch.wav", "clap", "drums"), *SONG)
    with pytest.raises(NoteError, match=r"punch: a target and a word at once; begin the clause with its target and a colon"):
        asks("punch louder", song)
    assert asks("punch: more punch", song) == [({"Punch.wav"}, "punch", 1.0, None)]


def test_a_name_that_means_two_sets_of_stems_is_refused_until_it_is_said_which():
    song = (Stem("piano.wav", "piano", "music"), Stem("piano 2.wav", "piano", "music"))
    with pytest.raises(
        NoteError, match=re.escape("the stem piano.wav (piano.wav) and the role piano (piano 2.wav, piano.wav)")
    ):
        asks("piano: darker", song)
    assert asks("role piano: darker", song)[0][0] == {"piano.wav", "piano 2.wav"}
    assert asks("piano.wav: darker", song)[0][0] == {"piano.wav"}


def test_a_note_of_ten_thousand_words_is_refused_in_one_line():
    with pytest.raises(
        NoteError, match=rf"^a note has at most {LONGEST_NOTE} characters, this one has 49999 \(10000 words\)"
    ):
        asks(" ".join(["bite"] * 10_000))


@pytest.mark.parametrize("text", ["", "  ", ";;", "\n.\n", "\N{RIGHT-TO-LEFT OVERRIDE}"])
def test_an_empty_note_is_refused(text):
    with pytest.raises(NoteError):
        asks(text)


def test_keep_finds_stems_by_the_same_names():
    targets = targets_of(SONG)
    assert targets.find("drums") == ("HiHat 01_PRINT.wav", "kick.wav")
    assert targets.find("gtr_R.wav") == ("gtr_L.wav", "gtr_R.wav")
    with pytest.raises(TargetError, match=r"^no stem, role or family has this name \(kik\); did you mean kick\?"):
        targets.find("kik")


WORDS = st.sampled_from(["piano", "hats", "more", "less", "bite", "muddy", "a little", "but", "and", ",", ":", ";", ".", "+2 dB", "the",
                         "everything", "except", "too", "x", "louder", '"', "\n"])  # fmt: skip


@given(st.one_of(st.text(max_size=60), st.lists(WORDS, max_size=14).map(" ".join)))
def test_any_text_is_either_understood_or_refused_with_a_reason(text):
    try:
        found = parse(text, targets_of(SONG), VOCABULARY)
    except NoteError:
        return
    assert found
    for ask in found:
        assert ask.stems
        assert set(ask.stems) <= {stem.stem for stem in SONG}
        assert ask.amount != 0


def test_a_role_of_that_very_name_counts_before_what_several_are_called():
    song = (*SONG, Stem("EP soft.wav", "keys", "music"))
    assert asks("keys: more bite", song) == [({"EP soft.wav"}, "bite", 1.0, None)]
    assert asks("group keys: more bite", SONG) == [({PIANO}, "bite", 1.0, None)]
