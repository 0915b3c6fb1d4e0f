"""Placing: what a note means for one place of the song, and what it refuses."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from stemwright.notes.language import NoteError, parse
from stemwright.notes.targets import targets_of
from stemwright.recipes.timeline import TempoFrom, Timeline
from stemwright.recipes.times import Bars, Times
from stemwright.recipes.words_library import load_vocabulary, words_dirs


@dataclass(frozen=True)
class Stem:
    stem: str
    role: str | None
    family: str | None
    status: str = "prepped"
    deliver_as: object = "a file"


VOX, HATS, KEYS, SNARE = "Lead Vox.wav", "HiHat 01.wav", "keys.wav", "snare.wav"
SONG = (
    Stem(VOX, "lead vocal", "vocals"), Stem(HATS, "hats", "drums"), Stem(KEYS, "keys", "music"), Stem(SNARE, "snare", "drums"),
)  # fmt: skip
SHEET = Timeline(
    tempo=(TempoFrom(1, 120.0),),
    bar_one_s=0.0,
    sections={
        "hook": (Bars(21, 28), Bars(45, 52)),
        "verse 1": (Bars(5, 20),),
        "verse 2": (Bars(29, 44),),
        "bridge": (Times(150.0, 160.0),),
    },
)
VOCABULARY = load_vocabulary(words_dirs(None, []))


def test_a_voice_that_pops_has_a_fault_that_is_not_ours():
    with pytest.raises(NoteError, match=r"not ours: the vocal pops at 1:02\n"):
        placed("at 1:02 the vocal pops")


def placed(text, timeline=SHEET):
    asks = parse(text, targets_of(SONG), VOCABULARY, timeline).asks
    return [(ask.stems[0], ask.word, None if ask.when is None else ask.when.said) for ask in asks]


# What whoever says so means: common usage, no source.
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("vocal: more presence, but only in the hook", [(VOX, "presence", ("hook",))]),
        ("only in the hook: vocal brighter", [(VOX, "bright", ("hook",))]),
        ("hats from 0:45 to 1:10 too loud", [(HATS, "loud", ("0:45-1:10",))]),
        ("hats too loud between 0:45 and 1:10.5", [(HATS, "loud", ("0:45-1:10.5",))]),
        ("keys: softer in bar 5", [(KEYS, "quiet", ("bar 5",))]),
        ("hats: -2 dB in bars 21 to 28", [(HATS, "loud", ("bars 21 to 28",))]),
        ("keys brighter in the hook and the bridge", [(KEYS, "bright", ("hook", "bridge"))]),
        ("keys brighter in the second hook", [(KEYS, "bright", ("bars 45-52",))]),
        ("keys brighter in hook 1", [(KEYS, "bright", ("bars 21-28",))]),
        ("keys brighter in the last verse", [(KEYS, "bright", ("verse 2",))]),
        ("keys brighter in the verses", [(KEYS, "bright", ("verse 1", "verse 2"))]),
        ("in the hook the vocal needs more presence and the keys less mud",
         [(VOX, "presence", ("hook",)), (KEYS, "muddy", ("hook",))]),
        ("vocal: more presence and less mud, in the hook only", [(VOX, "presence", ("hook",)), (VOX, "muddy", ("hook",))]),
        ("vocal: more presence in the hook, and less mud", [(VOX, "presence", ("hook",)), (VOX, "muddy", None)]),
        ("the hats are too loud in the hook, vocal brighter", [(HATS, "loud", ("hook",)), (VOX, "bright", None)]),
        ("at 1:02 the snare pops", [(SNARE, "loud", ("1:01-1:03",))]),
        ("the hats pop in the hook", [(HATS, "loud", ("hook",))]),
        ("keys: softer from bar 5 to bar 8", [(KEYS, "quiet", ("bar 5 to bar 8",))]),
        ("hats down 2 dB in bar 9 - bar 12", [(HATS, "loud", ("bar 9 - bar 12",))]),
        ("hats darker. In the bridge: keys warmer", [(HATS, "dark", None), (KEYS, "warm", ("bridge",))]),
    ],
)  # fmt: skip
def test_a_place_holds_for_what_it_is_said_of(text, expected):
    assert placed(text) == expected


def test_a_moment_is_a_second_to_either_side_and_is_said():
    reading = parse("keys too loud at 1:02", targets_of(SONG), VOCABULARY, SHEET)
    assert (reading.asks[0].when.said, reading.readings) == (("1:01-1:03",), ["at 1:02: taken as 1:01-1:03"])


def test_a_section_that_is_not_known_refuses_with_those_there_are_and_how_to_write_one():
    with pytest.raises(NoteError) as caught:
        placed("keys brighter, but only in the chorus")
    assert str(caught.value).splitlines()[1:3] == [
        "  not understood: keys brighter but only in the chorus",
        (
            "    no section is called chorus; allowed: hook, verse 1, verse 2, bridge; in session.yaml write sections: "
            "{hook: bars 21-28} or {hook: 0:45-1:10}"
        ),
    ]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("keys brighter in the hook", "no section is called hook; session.yaml names none; "),
        ("keys brighter in bar 5", "bars need tempo and bar_one in session.yaml"),
    ],
)
def test_without_a_sheet_a_place_is_refused_and_never_taken_for_everywhere(text, reason):
    with pytest.raises(NoteError, match=reason):
        placed(text, Timeline())


@pytest.mark.parametrize("text", ["undo that in the hook", "keys brighter; in the hook keys brighter"])
def test_what_a_place_cannot_hold_for_is_refused(text):
    with pytest.raises(NoteError, match=r"leave the place out|says nothing new by itself"):
        placed(text)


def test_work_of_somebody_elses_stays_so_in_a_place_that_is_not_known():
    with pytest.raises(NoteError, match=r"\[edit-mute\]"):
        placed("mute the keys in the intro")


def test_what_is_offered_again_keeps_its_place():
    with pytest.raises(NoteError, match="the rest as one note: stemwright note SONG 'keys brighter, only in the hook'"):
        placed("keys brighter in the hook; more reverb on the vocal")


CYMBAL = (*SONG, Stem("Ride.wav", "cymbals", "drums"))


@pytest.mark.parametrize("text", ["ride the vocal", "keys: ride it", "the vocal needs riding"])
def test_a_ride_is_asked_also_where_a_cymbal_is_called_so(text):
    (ask,) = parse(text, targets_of(CYMBAL), VOCABULARY).asks
    assert ask.word == "ride"


@pytest.mark.parametrize("text", ["ride hats", "ride the vocal harder", "keys: ride"])
def test_what_may_be_the_cymbal_or_says_how_far_is_no_ride(text):
    with pytest.raises(NoteError):
        parse(text, targets_of(CYMBAL), VOCABULARY)


@pytest.mark.parametrize(
    ("text", "others"),
    [
        ("ride the vocal and a bit more bite on the keys", [(KEYS, "bite")]),
        ("more bite on the keys, ride the vocal and hats quieter", [(KEYS, "bite"), (HATS, "quiet")]),
        ("love it! can you just ride the vocal levels a bit please", []),
        ("the vocal needs some riding but the keys are dull", [(KEYS, "dull")]),
        ("ride the vocal so every word is heard and make it brighter", [(VOX, "bright")]),
    ],
)
def test_a_ride_is_asked_beside_other_wishes(text, others):
    asks = parse(text, targets_of(CYMBAL), VOCABULARY).asks
    assert [(ask.stems, ask.word) for ask in asks if ask.word == "ride"] == [((VOX,), "ride")]
    assert [(*ask.stems, ask.word) for ask in asks if ask.word != "ride"] == others


def test_a_ride_may_be_meant_for_a_section():
    assert placed("ride the vocal in the hook") == [(VOX, "ride", ("hook",))]


def test_a_cymbal_is_the_cymbal():
    (ask,) = parse("ride louder", targets_of(CYMBAL), VOCABULARY).asks
    assert (ask.stems, ask.word) == (("Ride.wav",), "loud")
