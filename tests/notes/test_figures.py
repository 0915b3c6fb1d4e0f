"""Figures of a note as engineers write them. What they ask for is how they are said.

Sizes of plain steps are common practice, no source.
"""

from __future__ import annotations

import pytest
from tests.notes.test_gist import VOCABULARY, Stem

from stemwright.notes.language import read
from stemwright.notes.number_words import value_of, with_digits
from stemwright.notes.targets import targets_of

KICK, SNARE, KEYS, GTR, VOX, PAD = "Kick.wav", "Snare.wav", "Keys.wav", "Gtr.wav", "Lead Vox.wav", "Pad.wav"
SONG = targets_of(
    [
        Stem(KICK, "kick", "drums"),
        Stem(SNARE, "snare", "drums"),
        Stem(KEYS, "keys", "music"),
        Stem(GTR, "guitar", "music"),
        Stem(PAD, "pad", "music"),
        Stem(VOX, "lead vocal", "vocals"),
        Stem("808.wav", "808", "music"),
    ]
)


def moves(text):
    """Return (stem, kind, freq_hz, gain_db or slope, Q) of what a note asks; of a level (stem, "level", dB)."""
    found = read(text, SONG, VOCABULARY)
    assert not found.problems
    asked = []
    for ask in found.asks:
        for stem in ask.stems:
            if ask.exact is None:
                assert ask.word in ("loud", "quiet")
                asked.append((stem, "level", ask.gain_db if ask.word == "loud" else -ask.gain_db))
            else:
                settings = dict(ask.exact.settings)
                size = settings.get("gain_db", settings.get("slope_db_oct"))
                asked.append((stem, ask.exact.kind, settings["freq_hz"], size, settings.get("q")))
    return asked


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("kick +2 @ 60hz & +1 @ 3500", [(KICK, "bell", 60, 2, 1), (KICK, "bell", 3500, 1, 1)]),
        ("vocal up 1 dB and 2 dB at 10k", [(VOX, "level", 1), (VOX, "bell", 10000, 2, 1)]),
        ("vocal down 1 dB and 2 dB at 10k", [(VOX, "level", -1), (VOX, "bell", 10000, -2, 1)]),
        ("vocal up 1 dB at 10k and 2 dB at 3k", [(VOX, "bell", 10000, 1, 1), (VOX, "bell", 3000, 2, 1)]),
        ("keys -2 at 300, pad at 500", [(KEYS, "bell", 300, -2, 1), (PAD, "bell", 500, -2, 1)]),
        ("snare: 200 Hz +2 dB, kick: 60 Hz", [(SNARE, "bell", 200, 2, 1), (KICK, "bell", 60, 2, 1)]),
        (
            "kick: -3 dB @ 350Hz Q1.4; snare: same but at 500Hz",
            [(KICK, "bell", 350, -3, 1.4), (SNARE, "bell", 500, -3, 1.4)],
        ),
        ("cut the keys at 400 Hz instead of 250 Hz, 3 dB", [(KEYS, "bell", 400, -3, 1)]),
        ("high-pass at 100 instead of 80 on the vocal", [(VOX, "high_pass", 100, 12, None)]),
        ("the kick is too loud. Drop it 2 dB", [(KICK, "level", -2)]),
        ("keys -2 at 500 and 1k", [(KEYS, "bell", 500, -2, 1), (KEYS, "bell", 1000, -2, 1)]),
        ("keys: -3 at 250 q 2 and 1k", [(KEYS, "bell", 250, -3, 2), (KEYS, "bell", 1000, -3, 2)]),
        ("keys -2 at 500, 1k and 3k", [(KEYS, "bell", hz, -2, 1) for hz in (500, 1000, 3000)]),
        ("keys and pad -2 at 500 and 1k", [(stem, "bell", hz, -2, 1) for hz in (500, 1000) for stem in (KEYS, PAD)]),
        (
            "keys and pad: cut 2 dB at 250 and 1 dB at 3k",
            [(stem, "bell", hz, db, 1) for hz, db in ((250, -2), (3000, -1)) for stem in (KEYS, PAD)],
        ),
        ("notch the keys at 500 and 1k", [(KEYS, "notch", 500, -6, 10), (KEYS, "notch", 1000, -6, 10)]),
        ("cut 500 and 1k by 3 dB on the keys", [(KEYS, "bell", 500, -3, 1), (KEYS, "bell", 1000, -3, 1)]),
        ("boost 3k and 10k on the vocal", [(VOX, "bell", 3000, 2, 1), (VOX, "bell", 10000, 2, 1)]),
        ("boost 3k on the vocal and 10k", [(VOX, "bell", 3000, 2, 1), (VOX, "bell", 10000, 2, 1)]),
        ("keys -2 @ 300 +1 @ 8k", [(KEYS, "bell", 300, -2, 1), (KEYS, "bell", 8000, 1, 1)]),
        ("boost 1 dB at 5k and 2 dB at 10k on the keys", [(KEYS, "bell", 5000, 1, 1), (KEYS, "bell", 10000, 2, 1)]),
        ("scoop snare 3dB at 400, bump 2 at 65", [(SNARE, "bell", 400, -3, 1), (SNARE, "bell", 65, 2, 1)]),
        ("kick: -2dB at 60, snare: +3 at 5k", [(KICK, "bell", 60, -2, 1), (SNARE, "bell", 5000, 3, 1)]),
        ("guitar high pass 100ish and down 2", [(GTR, "high_pass", 100, 12, None), (GTR, "level", -2)]),
        ("high-pass the guitar at 100 and turn it down 2 dB", [(GTR, "high_pass", 100, 12, None), (GTR, "level", -2)]),
        ("guitar hpf 120, 24 dB/oct", [(GTR, "high_pass", 120, 24, None)]),
        ("pull the kick and the snare down 1.5 dB each", [(KICK, "level", -1.5), (SNARE, "level", -1.5)]),
        ("bell at 300, -2 dB, Q 1.4, on the keys", [(KEYS, "bell", 300, -2, 1.4)]),
        ("there's something at about 2.2k in the snare, scoop it 4 dB", [(SNARE, "bell", 2200, -4, 1)]),
        ("there's a build-up at 300 in the pad. take it down 2 dB", [(PAD, "bell", 300, -2, 1)]),
        ("cut 4 off the pad round 300", [(PAD, "bell", 300, -4, 1)]),
        ("wide cut of 1.5 dB at 350 Hz, keys", [(KEYS, "bell", 350, -1.5, 0.5)]),
        ("broad 2 dB lift at 1k on the guitar", [(GTR, "bell", 1000, 2, 0.5)]),
        (
            "dip keys around 300 by 2 dB, then 1 dB of air at 12k on the vocal",
            [(KEYS, "bell", 300, -2, 1), (VOX, "bell", 12000, 1, 1)],
        ),
        ("hpf on the pad, 150 or so", [(PAD, "high_pass", 150, 12, None)]),
        ("keys: -2 dB at 3.2k, it gets pinched", [(KEYS, "bell", 3200, -2, 1)]),
        ("cut 2 dB at 3k on the keys, they are harsh", [(KEYS, "bell", 3000, -2, 1)]),
        ("pad loses 1 dB", [(PAD, "level", -1)]),
        ("notch the keys somewhere 2.6-2.8k, 5 dB deep", [(KEYS, "notch", 2698.15, -5, 10)]),
    ],
)
def test_several_figures_each_for_its_own(text, asked):
    assert moves(text) == asked


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("vocal plus one, guitar minus two", [(VOX, "level", 1), (GTR, "level", -2)]),
        ("guitar down two", [(GTR, "level", -2)]),
        ("guitar up one and a half", [(GTR, "level", 1.5)]),
        ("another dB on the snare", [(SNARE, "level", 1)]),
        ("one more dB of snare", [(SNARE, "level", 1)]),
        ("snare down three quarters of a dB", [(SNARE, "level", -0.75)]),
        ("another dB off the snare", [(SNARE, "level", -1)]),
        ("roll off everything below eighty on the guitar", [(GTR, "high_pass", 80, 12, None)]),
        ("guitar minus three at two k", [(GTR, "bell", 2000, -3, 1)]),
        ("add three dB at one hundred hertz on the kick", [(KICK, "bell", 100, 3, 1)]),
    ],
)
def test_figures_in_words(text, asked):
    assert moves(text) == asked


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("808 shelf up 1.5 dB under 60", "low_shelf"),
        ("+2 dB shelf at 200 Hz on the keys", "low_shelf"),
        ("+2 dB shelf at 9k on the keys", "high_shelf"),
        ("shelve the keys down 3 dB above 9k", "high_shelf"),
        ("shelve off 2 dB of lows below 100 on the keys", "low_shelf"),
        ("bring up the vocal above 8k by 1.5 dB", "high_shelf"),
        ("cut 3 dB below 200 on the keys", "low_shelf"),
        ("cut 3 dB around 200 on the keys", "bell"),
        ("+2 dB shelf above 300 on the keys", "high_shelf"),
        ("everything above 8k down a bit on the keys", "high_shelf"),
        ("take the lows off the guitar at 80", "bell"),
        ("roll the lows off the guitar at 80", "high_pass"),
        ("roll the highs off the guitar at 9k", "low_pass"),
    ],
)
def test_what_lies_beyond_a_frequency_is_a_shelf_or_rolled_off(text, kind):
    assert [asked[1] for asked in moves(text)] == [kind]


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("1 dB of air on the vocal", (VOX, "air", 1.0)),
        ("2 dB of mud off the keys", (KEYS, "muddy", -2.0)),
        ("take 2 dB of mud out of the keys", (KEYS, "muddy", -2.0)),
        ("keys: -2 dB at 3.2k, it needs more air", (KEYS, "air", None)),
    ],
)
def test_db_of_a_sound(text, asked):
    (ask,) = (ask for ask in read(text, SONG, VOCABULARY).asks if ask.exact is None)
    assert (*ask.stems, ask.word, ask.gain_db) == asked


def test_a_word_of_sound_over_a_list_is_the_stem_that_has_it_in_its_name():
    song = targets_of([Stem("02_Rumble.wav", "effects", None), Stem(KEYS, "keys", "music")])
    asks = read("Rumble: HPF at 35, and take 2 dB out around 300", song, VOCABULARY).asks
    assert [(ask.stems, ask.exact.kind) for ask in asks] == [(("02_Rumble.wav",), "high_pass"), (("02_Rumble.wav",), "bell")]
    assert [ask.word for ask in read("keys: less rumble", song, VOCABULARY).asks] == ["rumble"]


@pytest.mark.parametrize(
    ("text", "gain_db"),
    [
        ("add a bit of 5k to the snare", 1.4),
        ("a touch of 10k on the vocal", 1.0),
        ("more 10k on the vocal", 2.0),
        ("a lot more 10k on the vocal", 4.0),
        ("less 300 on the keys", -2.0),
    ],
)
def test_an_amount_in_words_is_a_part_of_a_step_and_heard(text, gain_db):
    assert [asked[3] for asked in moves(text)] == [pytest.approx(gain_db)]


@pytest.mark.parametrize(
    ("words", "number"),
    [
        ("eighty", 80),
        ("a hundred", 100),
        ("two fifty", 250),
        ("one twenty", 120),
        ("one fifty five", 155),
        ("twenty-five", 25),
        ("two hundred and fifty", 250),
        ("twelve hundred", 1200),
        ("two thousand five hundred", 2500),
        ("three and a half", 3.5),
        ("two point two five", 2.25),
    ],
)
def test_numbers_as_they_are_spoken(words, number):
    assert value_of(words) == pytest.approx(number)


@pytest.mark.parametrize(
    "text",
    [
        "track two up",
        "turn it up one notch",
        "one more time",
        "from one to two",
        "bar twenty",
        "guitar two is loud",
        "at one",
    ],
)
def test_words_that_are_no_figures_stay(text):
    assert with_digits(text) == text


@pytest.mark.parametrize(
    ("text", "share"),
    [
        ("half of that on the pad", 0.5),
        ("a third of that on the pad", 1 / 3),
        ("two thirds of it on the pad", 2 / 3),
        ("take back a quarter of it on the pad", 0.75),
        ("keep 40% of it on the pad", 0.4),
        ("take back 40 percent of it on the pad", 0.6),
        ("30% less of that on the pad", 0.7),
        ("a third less of that on the pad", 2 / 3),
        ("whatever you did to the pad, do like thirty percent of it", 0.3),
        ("halve whatever you did to the pad", 0.5),
        ("take back a quarter on the pad", 0.75),
        ("undo 30% on the pad", 0.7),
        ("keep two thirds on the pad", 2 / 3),
        ("take back half of the pad change", 0.5),
        ("keep half of the last change on the pad", 0.5),
    ],
)
def test_a_share_of_what_was_done(text, share):
    found = read(text, SONG, VOCABULARY)
    assert [(back.way, back.stems, back.share) for back in found.backs] == [("scale", (PAD,), pytest.approx(share))]
    assert not found.problems
    assert not found.kept_off


def test_a_stem_of_somebody_is_the_one_with_both_in_its_name():
    song = targets_of(
        [
            Stem("MC Orlo verse.wav", "lead vocal", "vocals"),
            Stem("Orlo adlib.wav", "ad-libs", "vocals"),
            Stem("Tarn adlib.wav", "ad-libs", "vocals"),
        ]
    )
    assert [ask.stems for ask in read("Orlo's adlib is hissy", song, VOCABULARY).asks] == [("Orlo adlib.wav",)]
    assert [ask.stems for ask in read("Orlo's voice is dull", song, VOCABULARY).asks] == [("MC Orlo verse.wav",)]


def test_the_break_is_a_stem_where_one_is_called_so():
    drums = [Stem("dusty break.wav", "drum loop", "drums"), Stem("Keys.wav", "keys", "music")]
    assert [ask.stems for ask in read("less fizz in the break", targets_of(drums), VOCABULARY).asks] == [
        ("dusty break.wav",)
    ]
    assert read("less fizz in the break", targets_of(drums[1:]), VOCABULARY).problems


def test_what_is_shelved_off_goes_down():
    assert moves("shelve off 2 dB of lows below 100 on the keys") == [(KEYS, "low_shelf", 100, -2, 0.7071)]


def test_shares_of_several_stems():
    found = read("take back half on the pad and a quarter on the keys", SONG, VOCABULARY)
    assert [(back.way, back.stems, back.share) for back in found.backs] == [("scale", (PAD,), 0.5), ("scale", (KEYS,), 0.75)]


@pytest.mark.parametrize(
    "text",
    [
        "is the snare louder than last time?",
        "did you boost the vocal at 3k?",
        "should the pad be quieter?",
        "is the kick too loud?",
        "have you cut 300 on the keys?",
        "does the vocal need more air?",
        "do you think the keys are too bright?",
    ],
)
def test_a_question_asks_for_nothing(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.asks and not found.backs  # noqa: PT018
    assert "it asks a question" in found.problems[0][1]


@pytest.mark.parametrize(
    "text",
    [
        "do the keys need to be that loud?",
        "is it just me or is the kick too loud?",
        "could the pad be quieter?",
        "pad quieter?",
    ],
)
def test_a_question_that_wishes_is_none(text):
    assert not any("it asks a question" in why for _, why in read(text, SONG, VOCABULARY).problems)


@pytest.mark.parametrize("text", ["leave 30% of it alone", "I like a third of it", "love half of that"])
def test_a_share_that_is_left_alone_or_liked_takes_nothing_back(text):
    assert not any(back.way == "scale" for back in read(text, SONG, VOCABULARY).backs)


@pytest.mark.parametrize(
    "text",
    [
        "don't turn the kick and the snare down",
        "you don't have to turn the kick and the pad up",
        "no need to bring the keys and the pad up",
        "don't roll off below 80 on the keys",
        "please don't cut below 80 on the keys",
    ],
)
def test_what_is_not_to_be_done_is_not_done(text):
    found = read(text, SONG, VOCABULARY)
    assert not found.asks
    assert "it says what is not to be done" in found.problems[0][1]


def test_and_what_is_asked_behind_it_is():
    asks = read("don't turn the kick down and make the snare brighter", SONG, VOCABULARY).asks
    assert [(ask.stems, ask.word) for ask in asks] == [((SNARE,), "bright")]


def test_behind_what_is_taken_back_a_complaint_is_no_reason():
    found = read("whoever made the keys quieter, undo that, it is too harsh", SONG, VOCABULARY)
    assert [back.stems for back in found.backs] == [(KEYS,)]
    assert [ask.word for ask in found.asks] == ["harsh"]
