"""Turns of speech: who is meant by a side, an owner or a person, what only tells, and which way a sentence points."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from stemwright.notes import language
from stemwright.notes.language import NoteError, parse, read
from stemwright.notes.targets import targets_of
from stemwright.recipes.words_library import load_vocabulary, words_dirs


@pytest.fixture(autouse=True)
def _word_by_word(monkeypatch):
    """Hold how words are followed one by one; what the whole of a note adds to that is held in test_weighing."""
    monkeypatch.setattr(language, "gist_of", lambda *_: None)
    monkeypatch.setattr(language, "weighed", lambda reading, *_: reading)


@dataclass(frozen=True)
class Stem:
    stem: str
    role: str | None
    family: str | None
    status: str = "prepped"
    deliver_as: object = "a file"


VOCABULARY = load_vocabulary(words_dirs(None, []))
BAND = (
    Stem("K In.wav", "kick", "drums"),
    Stem("K Out.wav", "kick", "drums"),
    Stem("Toms.wav", "toms", "drums"),
    Stem("HATS.wav", "hats", "drums"),
    Stem("OPENHAT.wav", "hats", "drums"),
    Stem("Bass DI.wav", "bass", "music"),
    Stem("Gtr Ida.wav", "guitar", "music"),
    Stem("Gtr Olle.wav", "guitar", "music"),
    Stem("Gtr solo.wav", "guitar", "music"),
    Stem("BV Olle.wav", "backing vocals", "vocals"),
    Stem("Nylon_L.wav", "acoustic guitar", "music"),
    Stem("Nylon_R.wav", "acoustic guitar", "music"),
    Stem("Trumpets.wav", "brass", "music"),
    Stem("Winds.wav", "woodwinds", "music"),
    Stem("riser fx.wav", "effects", "effects"),
    Stem("lofi drum loop.wav", "drum loop", "drums"),
    Stem("vox chop.wav", "vocal sample", "vocals"),
    Stem("LdVox.wav", "lead vocal", "vocals"),
)
HATS, OPEN, BASS, VOX, NYLON = "HATS.wav", "OPENHAT.wav", "Bass DI.wav", "LdVox.wav", ("Nylon_L.wav", "Nylon_R.wav")


def reading(text, stems=BAND):
    return read(text, targets_of(stems), VOCABULARY)


def asked(text, stems=BAND):
    return [
        ((*ask.stems,), ask.word, ask.amount > 0 if ask.exact is None else dict(ask.exact.settings)["gain_db"] > 0)
        for ask in parse(text, targets_of(stems), VOCABULARY).asks
    ]


# Whom an engineer would take these to mean, and which way: common practice, no source.
@pytest.mark.parametrize(
    ("text", "stems", "word", "more"),
    [
        ("Olle's guitar brighter", ("Gtr Olle.wav",), "bright", True),
        ("Olle's backing vocal is boxy", ("BV Olle.wav",), "boxy", False),
        ("open hat stabs me in the ear", (OPEN,), "harsh", False),
        ("hats way too loud", (HATS,), "loud", False),
        ("kick in needs more thud", ("K In.wav",), "punch", True),
        ("solo up a bit", ("Gtr solo.wav",), "loud", True),
        ("the horns are too loud", ("Trumpets.wav",), "loud", False),
        ("cut the loop 2 dB at 300 Hz", ("lofi drum loop.wav",), "bell", False),
        ("I'd only like the bass a bit louder", (BASS,), "loud", True),
        ("a bit more breath and air in the trumpets", ("Trumpets.wav",), "air", True),
        ("toms make 4k quite harsh", ("Toms.wav",), "bell", False),
        ("the toms were so harsh everybody looked up", ("Toms.wav",), "harsh", False),
        ("turn the bass up its buried", (BASS,), "buried", False),
        ("the trumpets were louder than everything", ("Trumpets.wav",), "loud", False),
        ("trumpets louder than the toms please", ("Trumpets.wav",), "loud", True),
        ("trumpets louder than the vocal, should be the other way round", ("Trumpets.wav",), "loud", False),
        ("the toms are super loud", ("Toms.wav",), "loud", False),
        ("bass: I just hear the low end", (BASS,), "weight", False),
        ("the toms lost their ring", ("Toms.wav",), "ringing", True),
        ("the bass got no growl no more", (BASS,), "mids", True),
        ("when I solo the bass I notice a ring in the toms", ("Toms.wav",), "ringing", False),
        ("when you solo the bass it sounds boxy", (BASS,), "boxy", False),
        ("could the trumpets give up some 3k", ("Trumpets.wav",), "bell", False),
        ("not so much treble on me", (VOX,), "bright", False),
        ("I can't hear myself", (VOX,), "buried", False),
        ("the vocal sounds a bit small", (VOX,), "thin", False),
        ("the bass is boomy, as if it were played in a cellar", (BASS,), "boomy", False),
        ("my wife tried it in the kitchen; bass too boomy", (BASS,), "boomy", False),
        ("on the little bluetooth box, the bass is boomy", (BASS,), "boomy", False),
        ("we watched the rehearsal twice; bass too boomy", (BASS,), "boomy", False),
        ("I get tired ears here: the trumpets are harsh", ("Trumpets.wav",), "harsh", False),
        ("the trumpets: bell +2 dB at 900 Hz, wide", ("Trumpets.wav",), "bell", True),
        ("it wins on everything but the bass is boomy", (BASS,), "boomy", False),
        ("trumpets louder than the vocal?? flip that", ("Trumpets.wav",), "loud", False),
        ("clean the bass, please", (BASS,), "clear", True),
        ("Team feedback below.\n- bass: boomy", (BASS,), "boomy", False),
        ("From yesterday:\n1) bass: boomy", (BASS,), "boomy", False),
    ],
)
def test_one_thing_is_asked_of_those_who_are_meant(text, stems, word, more):
    assert asked(text) == [(stems, word, more)]


def test_a_side_alone_is_refused_and_both_are_taken():
    for text in ("left nylon is boomy", "Nylon_L: darker", "Nylon_L.wav brighter"):
        with pytest.raises(NoteError, match="are the two sides of one stem, and get the same moves; name both"):
            parse(text, targets_of(BAND), VOCABULARY)
    assert asked("nylon L and R darker") == [(NYLON, "dark", True)]
    assert asked("Nylon_L and Nylon_R darker") == [(NYLON, "dark", True)]


def test_a_side_of_stems_that_are_no_pair_is_that_stem():
    stems = (Stem("Ac L mix.wav", "acoustic guitar", "music"), Stem("Ac R mix.wav", "acoustic guitar", "music"))
    assert asked("the right acoustic is too bright", stems) == [(("Ac R mix.wav",), "bright", False)]
    assert asked("acoustics too bright", stems)[0][0] == ("Ac L mix.wav", "Ac R mix.wav")


def test_an_instrument_of_another_kind_is_no_effect():
    assert asked("bass boomy, the crowd will love it") == [((BASS,), "boomy", False)]


def test_palm_mutes_are_the_rhythm_guitars():
    stems = (Stem("Rhythm gtr.wav", "guitar", "music"), Stem("Lead gtr.wav", "guitar", "music"))
    assert asked("palm mutes are boomy", stems) == [(("Rhythm gtr.wav",), "boomy", False)]


@pytest.mark.parametrize(
    ("text", "front", "over"),
    [
        ("trumpets too loud, nobody can hear the bass", BASS, "Trumpets.wav"),
        ("the toms distract from the vocal", VOX, "Toms.wav"),
        ("can the vocal sit a bit on top of the trumpets", VOX, "Trumpets.wav"),
        ("the trumpets are drowning me out", VOX, "Trumpets.wav"),
    ],
)
def test_who_is_in_the_way_of_whom(text, front, over):
    (relation,) = reading(text).relations
    assert (relation.front, relation.over) == ((front,), (over,))


@pytest.mark.parametrize(
    "text", ["my daughter could be louder", "my sister is too loud", "the mood is there; my brother should be brighter"]
)
def test_a_person_that_no_stem_is_named_after_is_asked_for(text):
    with pytest.raises(NoteError, match=r"who is (my )?(daughter|sister|brother)\? name the stem"):
        parse(text, targets_of(BAND), VOCABULARY)


@pytest.mark.parametrize(
    "text",
    [
        "we're really pleased with the groove and the toms. Bass too boomy",
        "I take it all back. Bass too boomy",
    ],
)
def test_who_is_pleased_takes_nothing_back(text):
    found = reading(text)
    assert [ask.stems for ask in found.asks] == [(BASS,)]
    assert all(not back.stems for back in found.backs)


def test_evening_out_is_a_ride_of_voices_and_of_nobody_else():
    assert [(ask.stems, ask.word) for ask in reading("even out the vocal").asks] == [((VOX,), "ride")]
    assert [(ask.stems, ask.word) for ask in reading("level the vocal out, please").asks] == [((VOX,), "ride")]
    for text in ("even out the toms", "even out the vocal and the toms"):
        assert reading(text).asks == []
        assert [each.kind.name for each in reading(text).not_ours] == ["dynamics"]


@pytest.mark.parametrize("text", ["the bass, the vocal: ride it", "vocal, bass: ride it", "the vocal, the bass need riding"])
def test_a_list_of_stems_is_ridden_whole(text):
    assert [(set(ask.stems), ask.word) for ask in reading(text).asks] == [({VOX, BASS}, "ride")]


def test_and_what_is_asked_before_it_is_asked():
    assert [(ask.stems, ask.word) for ask in reading("bass down, vocal: ride it").asks] == [
        ((BASS,), "loud"),
        ((VOX,), "ride"),
    ]


def test_a_heading_that_names_a_stem_or_asks_is_no_heading():
    assert asked("bass:\n- less boomy") == [((BASS,), "boomy", False)]
    assert [piece for piece, _ in reading("a bit more zing.\n- bass: boomy").problems] == ["a bit more zing"]
    assert [piece for piece, _ in reading("harsh:\n- bass: boomy").problems] == ["harsh"]


def test_a_low_pass_of_the_sub_is_the_filter():
    (ask,) = parse("SUB low-pass 80 Hz 24 dB/oct", targets_of((Stem("SUB.wav", "sub bass", "music"),)), VOCABULARY).asks
    assert ask.exact is not None
    assert (ask.exact.kind, dict(ask.exact.settings)) == ("low_pass", {"freq_hz": 80.0, "slope_db_oct": 24.0})


def test_what_was_done_too_much_is_undone():
    (back,) = reading("what you did to the bass was too much").backs
    assert (back.stems, back.way) == ((BASS,), "before")


def test_a_reason_beside_a_way_back_asks_for_nothing():
    for text in ("undo the toms, lost the dust", "bass: take that notch off again, it killed the tone"):
        found = reading(text)
        assert len(found.backs) == 1
        assert (found.asks, found.problems) == ([], [])


def test_a_filter_is_not_cut_out_of_the_song():
    assert not reading("remove the filter from the bass").not_ours
    assert reading("cut the cough").not_ours


def test_more_of_a_word_nobody_knows_is_never_passed_over():
    found = reading("bass too boomy. more zorble")
    assert [piece for piece, _ in found.problems] == ["more zorble"]
