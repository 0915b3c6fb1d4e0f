"""Plain notes, a sound, a way and a stem, stand as written whatever the whole makes of them. Common practice, no source."""

from __future__ import annotations

import pytest
from tests.notes.test_gist import VOCABULARY, Stem

import stemwright.notes.gist.reading as gists
from stemwright.notes import weighing
from stemwright.notes.language import NoteError, parse, read
from stemwright.notes.plainly import is_plain, is_plain_amid_talk
from stemwright.notes.targets import targets_of

SONG = targets_of(
    [
        Stem("Kick.wav", "kick", "drums"),
        Stem("Bass.wav", "bass", "music"),
        Stem("Hats.wav", "hats", "drums"),
        Stem("Keys.wav", "keys", "music"),
        Stem("Gtr.wav", "guitar", "music"),
        Stem("Lead.wav", "lead vocal", "vocals"),
    ]
)
NAMES = {"bass": "Bass.wav", "hats": "Hats.wav", "keys": "Keys.wav", "guitar": "Gtr.wav", "vocal": "Lead.wav"}
SOUNDS = {
    "lows": "weight", "low end": "weight", "bottom end": "weight", "lo-end": "weight", "sub": "sub", "low mids": "body", "body": "body",
    "mids": "mids", "upper mids": "presence", "high mids": "presence", "presence": "presence", "bite": "bite", "attack": "attack",
    "highs": "bright", "hi end": "bright", "top": "bright", "treble": "bright", "air": "air", "warmth": "warm",
}  # fmt: skip
MORE = (
    "more {n} on the {s}", "{s}: more {n}", "bring the {n} of the {s} up", "turn up the {n} on the {s}", "add some {n} to the {s}",
    "boost the {n} on the {s}", "{n} up on the {s}", "the {s} could use some {n}", "bring out the {n} of the {s}", "{s} {n} up",
    "bump the {n} on the {s}", "can you lift the {n} of the {s}, please?",
)  # fmt: skip
LESS = (
    "less {n} on the {s}", "{s}: less {n}", "bring the {n} of the {s} down", "turn the {n} down on the {s}",
    "take some {n} out of the {s}",
    "cut the {n} on the {s}", "{n} down on the {s}",
    "reduce the {n} of the {s}", "the {n} on the {s} could come down", "tame the {n} of the {s}",
    "soften the {n} on the {s}", "nudge down the {n} on the {s}", "trim some {n} from the {s}", "get rid of some {n} in the {s}",
    "take out some of the {n} in the {s}", "give the {s} less {n}",
)  # fmt: skip


def items(text: str):
    return gists.items_of(text, SONG, VOCABULARY)[1]


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("more bite on the guitar", True),
        ("more bite on the guitar - thanks", True),
        ("guitar - more bite", True),
        ("the bottom of the keys up", True),
        ("keys brighter", True),
        ("thin out the keys", True),
        ("the keys are thin", False),
        ("more bite", False),
        ("", False),
        ("more bite on the guitar, the keys down", True),  # the level of the keys
        ("careful not to add bite to the guitar", False),
        ("add some strings to the guitar", False),
        ("not more bite on the guitar", False),
        ('"no such.wav": more bite on the guitar', False),
    ],
)
def test_what_is_plain(text, plain):
    assert is_plain(items(text)) == plain


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("hello there my friend, more bite on the guitar", True),
        ("otherwise we are happy. more bite on the guitar", True),
        ("no problem, more bite on the guitar", True),
        ("hello there my friend", False),
        ("unless the label minds, more bite on the guitar", False),
        ("we met at 5 today, more bite on the guitar", False),
        ("the keys, more bite on the guitar", False),
        ("keep it, more bite on the guitar", False),
        ("it is not so, more bite on the guitar", False),
    ],
)
def test_what_is_plain_amid_talk(text, plain):
    assert is_plain_amid_talk(items(text)) == plain


@pytest.fixture
def never_asked(monkeypatch):
    def never(_):
        raise AssertionError

    monkeypatch.setattr(gists, "answer", never)


def asked(text: str):
    return [(ask.stems, ask.word, ask.amount > 0.0) for ask in parse(text, SONG, VOCABULARY).asks]


@pytest.mark.usefixtures("never_asked")
@pytest.mark.parametrize("sound", SOUNDS)
@pytest.mark.parametrize(("forms", "more"), [(MORE, True), (LESS, False)], ids=["more", "less"])
def test_a_sound_is_turned_by_any_plain_verb(sound, forms, more):
    for form in forms:
        for name, stem in NAMES.items():
            assert asked(form.format(n=sound, s=name)) == [((stem,), SOUNDS[sound], more)], form


@pytest.mark.usefixtures("never_asked")
@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("more bite on the guitar, less on the keys", [(("Gtr.wav",), "bite", True), (("Keys.wav",), "bite", False)]),
        ("more bite on the guitar and the keys", [(("Gtr.wav", "Keys.wav"), "bite", True)]),
        ("keys a bit brighter; the guitar warmer please", [(("Keys.wav",), "bright", True), (("Gtr.wav",), "warm", True)]),
        ("hats: less top; keys: more body", [(("Hats.wav",), "bright", False), (("Keys.wav",), "body", True)]),
        ("thin out the keys", [(("Keys.wav",), "thin", True)]),
        ("can you thin the keys out a bit", [(("Keys.wav",), "thin", True)]),
        ("guitar - less fullness", [(("Gtr.wav",), "full", False)]),
        ("attenuate the fullness on the guitar", [(("Gtr.wav",), "full", False)]),
        ("give the bass more low end", [(("Bass.wav",), "weight", True)]),
        ("increase the body of the guitar", [(("Gtr.wav",), "body", True)]),
    ],
)
def test_lists_of_them(text, asks):
    assert asked(text) == asks


@pytest.mark.usefixtures("never_asked")
@pytest.mark.parametrize(
    "text",
    [
        "the keys are a bit like a wasp",  # an image
        "more bite on the guitar, I think",  # more than is needed
        "not more bite on the guitar",
        "more bite and a wasp on the guitar",  # a part without a name
        "more bite",
        "more gloom on the guitar",
        "the guitar",
        "more reverb on the guitar",
        "more punchy bite on the guitar",
        "less bite on the guitar. like a wasp, the keys",
        "hear the keys through the guitar",
    ],
)
def test_of_anything_else_the_whole_is_asked(text):
    with pytest.raises(AssertionError):
        parse(text, SONG, VOCABULARY)


def moves(text: str):
    return [
        (ask.stems, ask.word, ask.gain_db, ask.exact and dict(ask.exact.settings))
        for ask in parse(text, SONG, VOCABULARY).asks
    ]


@pytest.mark.usefixtures("never_asked")
@pytest.mark.parametrize(
    ("text", "freq_hz", "gain_db"),
    [
        ("add 2 dB at 400 Hz on the keys", 400.0, 2.0),
        ("lift 250 Hz by 3 dB on the keys", 250.0, 3.0),
        ("give the keys 2 dB at 10k", 10_000.0, 2.0),
        ("cut 300 by 2 on the keys", 300.0, -2.0),
        ("keys -3 at 250", 250.0, -3.0),
    ],
)
def test_figures_stand_as_written(text, freq_hz, gain_db):
    ((stems, word, _, settings),) = moves(text)
    assert (stems, word, settings["freq_hz"], settings["gain_db"]) == (("Keys.wav",), "bell", freq_hz, gain_db)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("vocal up 1 dB and 2 dB more air", [("loud", 1.0), ("air", 2.0)]),
        ("Vocal up 1 decibel, 2 decibels more air", [("loud", 1.0), ("air", 2.0)]),
        ("the vocal is 2 dB too loud", [("loud", -2.0)]),
        ("the vocal is 2 loud", [("loud", None)]),
        ("vocal up 2 dB and 1 dB warmer", [("loud", 2.0), ("warm", 1.0)]),
    ],
)
def test_db_are_heard_wherever_they_stand(text, asks):
    assert [(word, gain) for _, word, gain, _ in moves(text)] == asks


@pytest.mark.parametrize(
    ("text", "word", "freq_hz", "gain_db"),
    [
        ("3k on the keys is stabbing me, take out 2 dB there", "bell", 3000.0, -2.0),
        ("the keys are piercing around 3k, pull it 3-4 dB there", "bell", 3000.0, -3.5),
        ("the keys got a bark at 800 Hz, dip it about 2", "bell", 800.0, -2.0),
        ("at 120 Hz there is a build up on the keys, take a dB or two from the keys there", "bell", 120.0, -1.5),
        ("keys: 120 Hz is building up, take a dB or two from the keys there", "bell", 120.0, -1.5),
        ("something sits at 2.5k on the keys that hurts, take 3 dB off there", "bell", 2500.0, -3.0),
        ("around 5k the keys bite me, 2 dB less there", "bell", 5000.0, -2.0),
        ("around 5k the keys bites me, 2 dB less there", "bell", 5000.0, -2.0),
        ("the keys whistle around 4k. A 3 dB dip there would do it", "notch", 4000.0, -3.0),
        ("the keys have a hum at 120 Hz. Pull that 10 dB", "notch", 120.0, -10.0),
        ("keys: I hear a resonance close to 1.2 kHz. Please notch it; 4 dB should suffice", "notch", 1200.0, -4.0),
        ("keys: a small bell on 220 Hz, +2", "bell", 220.0, 2.0),
        ("keys: bell at 400, -2 dB", "bell", 400.0, -2.0),
        ("low shelf on the keys at 200, -2", "low shelf", 200.0, -2.0),
        ("dip the keys about 2 at 400", "bell", 400.0, -2.0),
        ("cut the keys about 2 at about 9k", "bell", 9000.0, -2.0),
        ("two or three dB out of the keys at 2k", "bell", 2000.0, -2.5),
        ("cut 2 at around 9 on the keys", "bell", 9000.0, -2.0),
        ("at 400 Hz, take 3 dB off the keys", "bell", 400.0, -3.0),
        ("high shelf on the keys, minus 3 dB from 9k up", "high shelf", 9000.0, -3.0),
        ("everything above 8k on the keys down 2 dB", "high shelf", 8000.0, -2.0),
        ("everything below 200 Hz on the keys up 2 dB", "low shelf", 200.0, 2.0),
    ],
)
def test_db_behind_a_fault_at_a_frequency_are_its_depth(text, word, freq_hz, gain_db):
    ((stems, found, _, settings),) = moves(text)
    assert (stems, found, settings["freq_hz"], settings["gain_db"]) == (("Keys.wav",), word, freq_hz, gain_db)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("keys: bell at 400, +2, guitar louder", [("Keys.wav", "bell", None), ("Gtr.wav", "loud", None)]),
        (
            "low shelf on the keys at 200 +2, -2 dB on the guitar",
            [("Keys.wav", "low shelf", None), ("Gtr.wav", "loud", -2.0)],
        ),
        ("dip 400 on the keys, take 2 dB off the guitar", [("Keys.wav", "bell", None), ("Gtr.wav", "loud", -2.0)]),
        ("dip 400 on the keys, take 2 dB off the guitar there", [("Keys.wav", "bell", None), ("Gtr.wav", "bell", None)]),
        ("keys up 1 dB so the guitar has to come down 2 dB", [("Keys.wav", "loud", 1.0), ("Gtr.wav", "loud", -2.0)]),
        ("keys down a dB and a half", [("Keys.wav", "loud", -1.5)]),
        ("keys menos 2 dB, guitar más 1", [("Keys.wav", "loud", -2.0), ("Gtr.wav", "loud", 1.0)]),
        ("hats off to you, keys louder", [("Keys.wav", "loud", None)]),
    ],
)
def test_db_of_another_stem_are_its_own(text, asks):
    assert [(stems[0], word, gain) for stems, word, gain, _ in moves(text)] == asks


@pytest.mark.parametrize(
    ("text", "kind", "freq_hz"),
    [
        ("roll off the highs above 9k on the hats", "low pass", 9000.0),
        ("roll off the lows below 100 on the hats", "high pass", 100.0),
        ("roll off the low end under 100 Hz on the hats", "high pass", 100.0),
        ("take out the rumble below 100 Hz on the hats", "high pass", 100.0),
        ("roll the hats off above 9k", "low pass", 9000.0),
        ("roll off the mids below 400 on the hats", "bell", 400.0),  # no end of the spectrum: a dip there
        ("cut the highs above 9k on the hats", "bell", 9000.0),
    ],
)
def test_the_ends_of_the_spectrum_are_rolled_off(text, kind, freq_hz):
    ((stems, word, _, settings),) = moves(text)
    assert (stems, word, settings["freq_hz"]) == (("Hats.wav",), kind, freq_hz)


def test_a_filter_for_all_but_some_is_not_doubted():
    ((stems, word, _, settings),) = moves("high-pass everything except the kick and the bass at 80")
    assert (stems, word, settings["freq_hz"]) == (("Hats.wav", "Keys.wav", "Gtr.wav", "Lead.wav"), "high pass", 80.0)


@pytest.mark.parametrize(
    ("text", "ask"),
    [
        ("de-ess the vocal", ("Lead.wav", "sibilant", False)),
        ("please de-ess the vocal a bit", ("Lead.wav", "sibilant", False)),
        ("the vocal needs some de-essing", ("Lead.wav", "sibilant", False)),
        ("the low end of the bass is too loud", ("Bass.wav", "weight", False)),
        ("the sub on the kick is too quiet", ("Kick.wav", "sub", True)),
        ("the body of the keys is a bit loud", ("Keys.wav", "body", False)),
        ("the highs on the vocal could be louder", ("Lead.wav", "bright", True)),
        ("instead of boosting the highs on the vocal, cut the highs on the guitar", ("Gtr.wav", "bright", False)),
        ("cut the highs on the guitar so the vocal has more air", ("Gtr.wav", "bright", False)),
        ("cut the lows on the keys to make space for the bass", ("Keys.wav", "weight", False)),
        ("no more mud on the bass please", ("Bass.wav", "muddy", False)),
        ("bump the bottom on the keys", ("Keys.wav", "weight", True)),
        ("trim the highs on the hats", ("Hats.wav", "bright", False)),
        ("soften the top of the hats", ("Hats.wav", "bright", False)),
        ("bump the kick", ("Kick.wav", "loud", True)),
        ("the bump the kick has is boomy", ("Kick.wav", "boomy", False)),
        ("soften the kick", ("Kick.wav", "soft", True)),
        ("keys up", ("Keys.wav", "loud", True)),
        ("less low end on the bass", ("Bass.wav", "weight", False)),
        ("low end up on the keys", ("Keys.wav", "weight", True)),
    ],
)
def test_words_that_are_verbs_here(text, ask):
    stem, word, more = ask
    assert asked(text) == [((stem,), word, more)]


def test_the_low_end_alone_is_those_who_make_it():
    assert asked("low end up")[0][0] == ("Kick.wav", "Bass.wav")


@pytest.mark.parametrize(
    "text",
    [
        "hey, hope you are well! more bite on the guitar - appreciate it",
        "ok one last thing, more bite on the guitar, then we are there",
        "Really nice. Only thing: more bite on the guitar. Otherwise we are happy",
        "thanks: guitar - more bite",
    ],
)
def test_plain_asks_stand_amid_talk_that_the_whole_makes_nothing_of(text, monkeypatch):
    monkeypatch.setattr(weighing, "SURE", 2.0)  # never sure of anything
    assert asked(text) == [(("Gtr.wav",), "bite", True)]


@pytest.mark.parametrize(
    "text",
    [
        "unless the label says no, I think more bite on the guitar would be what the song wants",
        "the singer says nothing today and we think more bite on the guitar perhaps",
        "I was in the car with my mother when she asked for more bite on the guitar",
        "unless it is too late for the label to care, more bite on the guitar",
        "keep that as it was in the old days, more bite on the guitar",
    ],
)
def test_what_else_is_said_may_change_them(text, monkeypatch):
    monkeypatch.setattr(weighing, "SURE", 2.0)
    monkeypatch.setattr(weighing, "BELIEVED", 2.0)
    monkeypatch.setattr(weighing, "CERTAIN", 2.0)
    found = read(text, SONG, VOCABULARY)
    assert found.problems or not found.asks


def test_all_but_one_are_as_written():
    assert asked("all the instruments but the vocal quieter")[0][0] == (
        "Kick.wav", "Bass.wav", "Hats.wav", "Keys.wav", "Gtr.wav",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("You added bite to the keys, love it", "fine"),
        ("You cut the highs on the guitar and I like it", "fine"),
        ("we added some body to the guitar and it's great now", "fine"),
        ("the kick has more sub now, nice", "fine"),
        ("the vocal is brighter than before and I like it", "fine"),
        ("the guitar was too boxy, now it's fine", "fine"),
        ("I thought the bass was muddy but it isn't", "fine"),
        ("she wanted more air on the vocal but it's fine", "fine"),
        ("he says the guitar is harsh but I like it", "fine"),
        ("the singer wants more air, but I disagree", "fine"),
        ("Thanks for the extra bite on the keys", "thanks"),
        ("the guitar used to be boxy", "what was"),
        ("the kick is nice and loud", "what is fine"),
        ("the guitar's nice and warm now", "what is fine"),
        ("the kick comes through loud and clear", "what is fine"),
        ("if the hats get louder, take some top off them", "only if"),
    ],
)
def test_what_is_told_and_fine_asks_for_nothing(text, why):
    with pytest.raises(NoteError, match=f"{why}.*asks for no change"):
        parse(text, SONG, VOCABULARY)


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("more bite on the keys, love it", [("Keys.wav", "bite")]),
        ("cut the highs on the guitar, nice", [("Gtr.wav", "bright")]),
        ("the keys were great, now they are too bright", [("Keys.wav", "bright")]),
        ("you added bite to the keys and it's great, but the bass is too boomy", [("Bass.wav", "boomy")]),
        ("if you can, more bite on the keys", [("Keys.wav", "bite")]),
    ],
)
def test_what_is_asked_beside_praise_is_asked(text, asks):
    assert [(stem, ask.word) for ask in read(text, SONG, VOCABULARY).asks for stem in ask.stems] == asks


@pytest.mark.parametrize("text", ["no more bite on the keys please", "no more air on the vocal, thanks"])
def test_no_more_of_what_is_no_fault_is_enough_of_it(text):
    assert not read(text, SONG, VOCABULARY).asks


def test_db_in_brackets_are_said_once():
    assert [(word, gain) for _, word, gain, _ in moves("keys: less low mids (2 dB), more highs (1 dB)")] == [
        ("body", -2.0),
        ("bright", 1.0),
    ]


def test_a_cure_as_it_is_offered_stands():
    ((_, word, _, settings),) = [
        (ask.stems, ask.word, ask.gain_db, dict(ask.exact.settings))
        for ask in read('"Gtr.wav": -3.5 dB at 1.25 kHz q 0.7', SONG, VOCABULARY).asks
        if ask.exact
    ]
    assert (word, settings["freq_hz"], settings["q"]) == ("bell", 1250.0, 0.7)


def test_what_a_filter_lacks_is_not_taken_from_another_stem():
    found = read("high-pass the keys, -2 dB on the guitar", SONG, VOCABULARY)
    assert found.problems or all("Keys.wav" not in ask.stems for ask in found.asks)
