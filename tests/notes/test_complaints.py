"""Complaints, what a change was, and lists: notes that say what they want in a form turned round. Answers are how the sentences are
said in English (common practice, no source); figures are those in the notes."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import VOCABULARY, Stem

from stemwright.notes.language import read
from stemwright.notes.targets import targets_of

KICK, SNARE, HATS, BASS, KEYS, VOX, ONE, TWO = (
    "Kick.wav", "Snare.wav", "Hats.wav", "Bass.wav", "Keys.wav", "Lead Vox.wav", "Gtr 1.wav", "Gtr 2.wav",
)  # fmt: skip
SONG = targets_of(
    [
        Stem(KICK, "kick", "drums"),
        Stem(SNARE, "snare", "drums"),
        Stem(HATS, "hats", "drums"),
        Stem(BASS, "bass", "music"),
        Stem(KEYS, "keys", "music"),
        Stem(VOX, "lead vocal", "vocals"),
        Stem(ONE, "guitar", "music"),
        Stem(TWO, "guitar", "music"),
    ]
)
REST = {KICK, SNARE, HATS, BASS, KEYS, ONE, TWO}


def asked(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.problems
    assert not found.backs
    return [(set(ask.stems), *_what(ask)) for ask in found.asks]


def _what(ask):
    if ask.exact is None:
        return ask.word, ask.gain_db or ask.amount
    settings = dict(ask.exact.settings)
    return ask.exact.kind, settings["freq_hz"], settings.get("gain_db")


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("the hats aren't too loud, they're too sharp", [({HATS}, "shrill", -1)]),
        ("it's not that the bass is too loud, it's just muddy", [({BASS}, "muddy", -1)]),
        ("the snare was too loud, now it's too quiet", [({SNARE}, "quiet", -1)]),
        ("the snare was 4 dB too loud, now it's 2 dB too quiet", [({SNARE}, "quiet", -2)]),
        ("neither the kick nor the snare is loud enough", [({KICK, SNARE}, "loud", 1)]),
        ("the keys are creeping up", [({KEYS}, "loud", -1)]),
        ("keys creeping up, down please", [({KEYS}, "loud", -1)]),
        ("who turned the hats up lol, they were fine before", [({HATS}, "loud", -1)]),
        ("I don't mind the kick but the snare bugs me, it's so dull", [({SNARE}, "dull", -1)]),
        ("could we hear more of the snare?", [({SNARE}, "loud", 1)]),
        ("I like the bass but can we have less of it", [({BASS}, "loud", -1)]),
        ("the keys stick out; rein it in", [({KEYS}, "loud", -1)]),
        ("We think the guitars are too dark and the vocal too bright", [({ONE, TWO}, "dark", -1), ({VOX}, "bright", -1)]),
        ("neither the bass nor the kick has enough weight", [({BASS, KICK}, "weight", 1)]),
        (
            "not so much treble on the vocal, and not so little bass on the kick",
            [({VOX}, "bright", -1), ({KICK}, "weight", 1)],
        ),
        ("more treble on the vocal, more bass on the kick", [({VOX}, "bright", 1), ({KICK}, "weight", 1)]),
        ("a little more kick wouldn't hurt", [({KICK}, "loud", 0.7)]),
        ("don't make the bass any louder, just give it more grind", [({BASS}, "bite", 1)]),
        ("the keys have gotten too loud", [({KEYS}, "loud", -1)]),
        ("our singer wants more keys", [({KEYS}, "loud", 1)]),
        ("signed off on everything besides the bass, which is too muddy", [({BASS}, "muddy", -1)]),
        ("bring the keys up in level and take some low end off it", [({KEYS}, "loud", 1), ({KEYS}, "weight", -1)]),
        ("the keys aren't needed that loud, I'd half it", [({KEYS}, "loud", -6)]),
        ("keys up, but only a little", [({KEYS}, "loud", 0.7)]),
        ("less of the whistle-y stuff on the keys", [({KEYS}, "ringing", -1)]),
        ("everything around the vocal is fine, more air on the vocal", [({VOX}, "air", 1)]),
        ("the kick goes click instead of boom", [({KICK}, "boomy", 1)]),
        ("i love the bright keys, don't lose it when you turn it down 1", [({KEYS}, "loud", -1)]),
        ("the vocal is less bright than the keys, should be the other way round", [({VOX}, "bright", 1)]),
        ("the hats couldn't be harsher", [({HATS}, "harsh", -1)]),
        ("put the vocal back up 1, it was fine before", [({VOX}, "loud", 1)]),
        ("the vocal sits perfectly, the hats less so, they're piercing", [({HATS}, "shrill", -1)]),
        ("the vocal needs presence, and if that makes it sibilant back it off", [({VOX}, "presence", 1)]),
        ("more air on the vocal, same on the keys but only half as much", [({VOX}, "air", 1), ({KEYS}, "air", 0.5)]),
        ("you took too much off the bass, give me 1 dB back", [({BASS}, "loud", 1)]),
    ],
)
def test_what_is_said_the_other_way_round_is_turned_back(text, asks):
    assert asked(text) == asks


@pytest.mark.parametrize(
    "text", ["pull everything around the vocal back", "pull everything but the vocal back", "turn all but the vocal down"]
)
def test_everything_around_a_stem_is_all_but_it(text):
    assert asked(text) == [(REST, "loud", -1)]


def test_figures_of_all_but_one_stand():
    assert asked("turn everything but the vocal down 1 dB") == [(REST, "loud", -1)]


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("kick down 2, snare the same", [({KICK}, "loud", -2), ({SNARE}, "loud", -2)]),
        ("kick louder, snare too", [({KICK}, "loud", 1), ({SNARE}, "loud", 1)]),
        ("kick 2 dB down and the snare likewise", [({KICK}, "loud", -2), ({SNARE}, "loud", -2)]),
        ("brighten the vocal, and the keys too but less so", [({VOX}, "bright", 1), ({KEYS}, "bright", 0.7)]),
        ("drop the kick, snare and keys 1 dB each", [({KICK, SNARE, KEYS}, "loud", -1)]),
        ("turn down the kick, snare and keys by 1 dB", [({KICK, SNARE, KEYS}, "loud", -1)]),
        ("snare up, kick up, keys up, all by 2", [({SNARE}, "loud", 2), ({KICK}, "loud", 2), ({KEYS}, "loud", 2)]),
        ("bass -1 kick +1 rest ok", [({BASS}, "loud", -1), ({KICK}, "loud", 1)]),
        ("kick up 2 snare down 1 keys up 1", [({KICK}, "loud", 2), ({SNARE}, "loud", -1), ({KEYS}, "loud", 1)]),
        ("kick +1, snare -1, bass 0", [({KICK}, "loud", 1), ({SNARE}, "loud", -1)]),
        ("vocal up one except the keys", [({VOX}, "loud", 1)]),
        ("I'd take 2 off the snare and give 1 to the kick", [({SNARE}, "loud", -2), ({KICK}, "loud", 1)]),
        ("all two guitars brighter", [({ONE, TWO}, "bright", 1)]),
        ("between gtr 1 and gtr 2, the latter is too loud", [({TWO}, "loud", -1)]),
        ("gtr 1 is 2 dB louder than gtr 2, even them out", [({ONE}, "loud", -2)]),
        ("turn the keys down, but not by much", [({KEYS}, "loud", -0.7)]),
        ("the vocal 0.5 louder, and if it's too much just go back", [({VOX}, "loud", 0.5)]),
    ],
)
def test_a_list_says_it_of_each(text, asks):
    assert asked(text) == asks


def test_what_stays_the_same_is_not_turned():
    found = read("kick down 2, keep the snare the same", SONG, VOCABULARY)
    assert [ask.stems for ask in found.asks] == [(KICK,)]
    assert found.kept_off == [SNARE]


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("the keys are muddy, cut 2 dB at 300", [({KEYS}, "bell", 300, -2)]),
        ("the keys are muddy and boomy, cut 2 dB at 200", [({KEYS}, "bell", 200, -2)]),
        ("the keys are boomy, high pass at 120", [({KEYS}, "high_pass", 120, None)]),
        (
            "keys are muddy; high pass at 100 and cut 2 dB at 250",
            [({KEYS}, "high_pass", 100, None), ({KEYS}, "bell", 250, -2)],
        ),
        ("the snare rings, notch it at 800", [({SNARE}, "notch", 800, -6)]),
        ("the keys have hiss above 10k, can you low pass it there", [({KEYS}, "low_pass", 10000, None)]),
        ("high pass the keys at 150, way too much rumble", [({KEYS}, "high_pass", 150, None)]),
        ("the keys are muddy, add 2 dB at 4k", [({KEYS}, "muddy", -1), ({KEYS}, "bell", 4000, 2)]),
        ("the hats are harsh, cut 2 dB at 200", [({HATS}, "harsh", -1), ({HATS}, "bell", 200, -2)]),
        ("the keys hurt at 4 k, take 3 off", [({KEYS}, "bell", 4000, -3)]),
        ("cut 300 by 2 on the keys and turn them up 1 dB", [({KEYS}, "bell", 300, -2), ({KEYS}, "loud", 1)]),
        ("cut 300 on the keys, about 2 dB", [({KEYS}, "bell", 300, -2)]),
        ("more body on the snare, about 2 dB at 180", [({SNARE}, "bell", 180, 2)]),
        ("bump 10k on the vocal by 1.5 dB, shelf", [({VOX}, "high_shelf", 10000, 1.5)]),
        ("the keys need a high pass, say 300", [({KEYS}, "high_pass", 300, None)]),
        ("hats pierce my ears whenever I turn it up, 8k or so", [({HATS}, "bell", 8000, -2)]),
    ],
)
def test_a_fault_that_is_answered_by_a_move_is_its_reason(text, asks):
    assert asked(text) == asks


@pytest.mark.parametrize(
    ("text", "way", "share"),
    [
        ("that vocal cut at 3k was too much, do half", "scale", 0.5),
        ("the vocal thing you did last time, only do like half", "scale", 0.5),
        ("the change on the vocal was right but twice as much as it needed", "scale", 0.5),
        ("nah the vocal was better before you touched it", "before", None),
    ],
)
def test_a_change_that_was_too_much_goes_back(text, way, share):
    (back,) = read(text, SONG, VOCABULARY).backs
    assert (back.way, back.stems) == (way, (VOX,))
    assert share is None or back.share == share


@pytest.mark.parametrize("text", ["the keys should sit 3 dB under the vocal", "I want the vocal 3 dB louder than the keys"])
def test_how_far_apart_two_are_to_end_is_no_move(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.asks
    assert "how far it is to move" in found.problems[0][1]


def test_what_is_left_to_the_engineer_is_no_ask():
    found = read("2 dB less hats, and whatever you think for the keys", SONG, VOCABULARY)
    assert any("not what" in why for _, why in found.problems)
    assert all(KEYS not in ask.stems for ask in found.asks)


@pytest.mark.parametrize(
    "text", ["keys: too much air, not enough air", "our drummer wants more snare and our bassist wants less"]
)
def test_more_and_less_of_one_thing_is_refused(text):
    assert any("for more and for less" in why for _, why in read(text, SONG, VOCABULARY).problems)


@pytest.mark.parametrize("text", ["the hats at the end are way too hot", "the hats are way too hot at the very beginning"])
def test_the_end_of_a_song_is_a_place(text):
    found = read(text, SONG, VOCABULARY)
    assert found.problems or found.not_ours


def test_what_covers_another_is_not_what_is_not_heard():
    found = read("the bass is swallowing the kick whole, I can feel it but I can't hear it", SONG, VOCABULARY)
    assert not found.asks
    assert [(held.front, held.over) for held in found.relations] == [((KICK,), (BASS,))]


def test_a_simile_goes_back_to_nothing():
    assert not read("the drums sound like they were recorded in a garage", SONG, VOCABULARY).backs


def test_half_way_is_half_of_it():
    (back,) = read("the last tweak to the keys was too much, meet me in the middle", SONG, VOCABULARY).backs
    assert (back.way, back.stems, back.share) == ("scale", (KEYS,), 0.5)


def test_what_drags_behind_another_is_late():
    found = read("the bass is dragging behind the keys", SONG, VOCABULARY)
    assert not found.asks
    assert [each.kind.name for each in found.not_ours] == ["timing-tuning"]


NUMBERED = targets_of(
    [
        Stem("01_Kick.wav", "kick", "drums"),
        Stem("05_Bass.wav", "bass", "music"),
        Stem("06_Gtr.wav", "guitar", "music"),
        Stem("10_Lead.wav", "lead vocal", "vocals"),
    ]
)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("05 is way too loud", [("05_Bass.wav", "loud", None)]),
        ("nudge 10 up a dB and a half", [("10_Lead.wav", "loud", 1.5)]),
        (
            "01 -1 dB, 06 +1 dB, 10 +0.5 dB",
            [("01_Kick.wav", "loud", -1), ("06_Gtr.wav", "loud", 1), ("10_Lead.wav", "loud", 0.5)],
        ),
        ("cut 05 at 400 by 2.5 and 06 at 600 by 2.5", [("05_Bass.wav", "bell", None), ("06_Gtr.wav", "bell", None)]),
    ],
)
def test_a_stem_is_meant_by_its_number_alone(text, asks):
    found = read(text, NUMBERED, VOCABULARY)
    assert not found.problems
    assert [(*ask.stems, ask.word, ask.gain_db) for ask in found.asks] == asks


@pytest.mark.parametrize(
    "text",
    [
        "I love the keys part, I just don't need it to be the loudest thing in the song!",
        "the keys are a nice idea, it just shouldn't be what I notice first",
        "I love everything, just not the hats",
    ],
)
def test_praise_that_goes_on_approves_nothing(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.approved
    assert found.problems


@pytest.mark.parametrize("text", ["snare: ease off what you did by 50%", "ease off what you did to the snare by half"])
def test_what_was_done_is_eased_off_and_the_stem_is_not(text):
    (back,) = read(text, SONG, VOCABULARY).backs
    assert (back.way, back.stems, back.share) == ("scale", (SNARE,), 0.5)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("hats down another dB", [({HATS}, "loud", -1)]),
        ("keys: notch 1.2k -4 dB Q6; also down 1 dB", [({KEYS}, "notch", 1200, -4), ({KEYS}, "loud", -1)]),
        ("-1.5 dB at 3k5 on the keys, bass -1.5 dB there too", [({KEYS}, "bell", 3500, -1.5), ({BASS}, "bell", 3500, -1.5)]),
        ("hats down 1 dB, keys the same but 2", [({HATS}, "loud", -1), ({KEYS}, "loud", -2)]),
        ("turn down the keys by 1 dB and give the hats back 1 dB", [({KEYS}, "loud", -1), ({HATS}, "loud", 1)]),
        ("snare -2 at 1k not 800, Q 3", [({SNARE}, "bell", 1000, -2)]),
        ("kick HPF 80\u2192110 Hz", [({KICK}, "high_pass", 110, None)]),
        (
            "vocal: -2.5 dB at 1.1 kHz (nasal), +1 dB at 12 kHz (air)",
            [({VOX}, "bell", 1100, -2.5), ({VOX}, "bell", 12000, 1)],
        ),
        ("Down 1 dB: hats, keys. Up 1 dB: kick.", [({HATS, KEYS}, "loud", -1), ({KICK}, "loud", 1)]),
        ("half a dB off the vocal, half a dB onto the keys", [({VOX}, "loud", -0.5), ({KEYS}, "loud", 0.5)]),
        ("the bass gets 1 dB, the kick loses 1 dB", [({BASS}, "loud", 1), ({KICK}, "loud", -1)]),
        ("the vocal is 1 dB low, the keys are 2 dB high", [({VOX}, "quiet", -1), ({KEYS}, "loud", -2)]),
        ("the hats are too bright, shelf -2 at 8k", [({HATS}, "high_shelf", 8000, -2)]),
        ("kick needs +1.5 dB at 3.5k, it isn't clicky enough", [({KICK}, "bell", 3500, 1.5)]),
        ("drop the keys 3dB and roll them off below 250", [({KEYS}, "loud", -3), ({KEYS}, "high_pass", 250, None)]),
    ],
)
def test_figures_are_for_what_they_stand_beside(text, asks):
    assert asked(text) == asks


def test_a_narrow_cut_behind_its_place_is_narrow():
    (ask,) = read("the hats hurt at 5.5k, 3 dB narrow cut", SONG, VOCABULARY).asks
    assert dict(ask.exact.settings) == {"freq_hz": 5500.0, "gain_db": -3.0, "q": 10.0}


@pytest.mark.parametrize(
    "text",
    [
        "snare up 2 dB, actually make it 1.5",
        "take the keys at 350 down 3, no make that 300",
        "kick and bass -1 and -2 dB",
        "Bring the keys down 2dB, its 1k also needs to come down 2 dB",
        "take the kick down by 1.5 dB; the bass can come up by the same amount",
        "gtr 1, bass: hp 110, 90",
        "keys up 2 dB, the vocal too but less so",
        "keys and bass could both lose some low end, the keys more so",
    ],
)
def test_figures_that_may_be_for_two_things_are_refused(text):
    assert read(text, SONG, VOCABULARY).problems


@pytest.mark.parametrize(
    ("text", "stems"),
    [
        ("don't undo the bass, undo the kick", {KICK}),
        ("keep the keys change, undo the rest", {KICK, SNARE, HATS, BASS, VOX, ONE, TWO}),
        ("undo what you did to the hats, they're dull now", {HATS}),
    ],
)
def test_what_goes_back_is_what_is_said_and_nothing_else(text, stems):
    found = read(text, SONG, VOCABULARY)
    assert [set(back.stems) for back in found.backs] == [stems]
    assert not found.asks


@pytest.mark.parametrize(
    "text",
    [
        "the keys don't sound muddy to me at all",
        "the keys are so much better, thanks",
        "oh great, even more hats",
        "I love how the keys creep up in the end",
        "nobody ever complained about too little bass before this mix",
    ],
)
def test_what_is_not_so_or_is_fine_asks_for_nothing(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.asks
    assert not found.backs
