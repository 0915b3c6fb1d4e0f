"""Weighing: what becomes of a note whose words and whose gist say the same, or not, or not surely."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from stemwright.notes import language
from stemwright.notes.gist import reading as gists
from stemwright.notes.gist.effects import WAYS, Effects
from stemwright.notes.gist.met import has_met
from stemwright.notes.gist.network import KINDS, Answer
from stemwright.notes.language import NoteError, parse
from stemwright.notes.restating import in_words
from stemwright.notes.tagging import Tagger
from stemwright.notes.targets import targets_of
from stemwright.notes.tokens import tokens_of
from stemwright.notes.understood import NoteRead
from stemwright.recipes.words_library import load_vocabulary, words_dirs


@dataclass(frozen=True)
class Stem:
    stem: str
    role: str | None
    family: str | None
    status: str = "prepped"
    deliver_as: object = "a file"


VOCABULARY = load_vocabulary(words_dirs(None, []))
SONG = targets_of((Stem("Kick.wav", "kick", "drums"), Stem("Bass.wav", "bass", "music"), Stem("Keys.wav", "keys", "music")))


@pytest.fixture
def heard(monkeypatch):
    """Let a test say what the network hears: {stem: {way: likely}}, a kind, and words that are turned on stems."""

    def hears(meant, kind="asks", turned=(), likely=1.0, back=()):
        def answer(looks):
            ways = np.zeros((len(looks.stems), len(WAYS)), np.float32)
            turns = np.zeros((len(looks.stems), len(looks.qualities), 3), np.float32)
            turns[:, :, 0] = 1.0
            for stem, said in meant.items():
                for way, how in said.items():
                    ways[looks.stems.index(stem), WAYS.index(way)] = how
            for stem, word, way in turned:
                left = 1.0 - abs(way)
                turns[looks.stems.index(stem), looks.qualities.index(word)] = (left, max(way, 0.0), max(-way, 0.0))
            kinds = np.array([likely if each == kind else (1.0 - likely) / 4.0 for each in KINDS], np.float32)
            returns = np.array([dict(back).get(stem, 0.0) for stem in looks.stems], np.float32)
            return Answer(ways=ways, meant=ways.max(axis=1), back=returns, turned=turns, kinds=kinds)

        monkeypatch.setattr(gists, "answer", answer)

    return hears


def read(text):
    found = language.read(text, SONG, VOCABULARY)
    return found.asks, found.backs, found.problems, found.relations, found.not_ours


def asked(text):
    return [(ask.stems, ask.word, ask.amount) for ask in parse(text, SONG, VOCABULARY).asks]


def test_what_both_say_is_done_as_its_words_say_it(heard):
    heard({"Keys.wav": {"more highs": 0.9}})
    assert asked("keys a touch brighter") == [(("Keys.wav",), "bright", 0.5)]
    assert parse("keys a touch brighter", SONG, VOCABULARY).taken == []


@pytest.mark.parametrize("likely", [0.16, 0.9])
def test_an_ask_stands_as_long_as_nothing_speaks_against_it(heard, likely):
    heard({"Keys.wav": {"louder": 0.6, "more highs": likely}})
    assert asked("keys brighter") == [(("Keys.wav",), "bright", 1.0)]


@pytest.mark.parametrize(
    "text", ["I think that the keys should be brighter now", "so the keys need to be brighter from now on"]
)
def test_what_is_surely_meant_instead_is_done_instead_and_said(heard, text):
    heard({"Bass.wav": {"more highs": 0.95}}, turned=[("Bass.wav", "bright", 1)])
    found = parse(text, SONG, VOCABULARY)
    assert [(ask.stems, ask.word, ask.amount) for ask in found.asks] == [(("Bass.wav",), "bright", 1.0)]
    assert found.taken[-1] == 'taken as: "Bass.wav": more bright'
    assert found.rest == ['"Bass.wav": more bright']


def test_what_may_be_meant_in_two_ways_is_refused_with_both(heard):
    heard({"Bass.wav": {"more highs": 0.69}}, turned=[("Bass.wav", "bright", 1)])
    with pytest.raises(NoteError) as refused:
        parse("I think that today the keys could be brighter", SONG, VOCABULARY)
    assert 'by its words: "Keys.wav": more bright; as a whole: "Bass.wav": more bright' in str(refused.value)


def test_what_is_not_understood_word_by_word_is_done_if_the_whole_is_sure(heard):
    heard({"Kick.wav": {"less lows": 0.91}})
    assert asked("Olaf from upstairs came down because of the kick") == [(("Kick.wav",), "boomy", -1.0)]


def test_and_offered_if_it_is_not(heard):
    heard({"Kick.wav": {"less lows": 0.89}})
    with pytest.raises(NoteError, match=r"perhaps it means: stemwright note SONG '\"Kick\.wav\": less boomy'"):
        parse("Olaf from upstairs came down because of the kick", SONG, VOCABULARY)


def test_an_amount_that_is_written_counts_for_what_the_whole_says(heard):
    heard({"Bass.wav": {"more highs": 0.95}}, turned=[("Bass.wav", "bright", 1)])
    assert asked("I think that the keys should be a touch brighter") == [(("Bass.wav",), "bright", 0.5)]


def test_several_stems_that_are_meant_alike_are_one_ask(heard):
    heard({stem: {"less presence": 0.95} for stem in ("Bass.wav", "Keys.wav")}, turned=[
        ("Bass.wav", "harsh", -1), ("Keys.wav", "harsh", -1),
    ])  # fmt: skip
    assert asked("harsh, both of the two that play the chords, to my ears") == [(("Bass.wav", "Keys.wav"), "harsh", -1.0)]


@pytest.mark.parametrize(
    "text",
    ["keys -2 at 300", "bass up 2 dB", "undo the keys", "high-pass the keys at 90 Hz", "don't touch the keys; bass -1 dB"],
)
def test_figures_and_ways_back_stand_as_they_are_written(heard, text):
    plain = {"Keys.wav": {"less low mids": 1.0, "louder": 1.0, "less lows": 1.0}}
    heard(plain)
    before = parse(text, SONG, VOCABULARY)
    heard({"Kick.wav": {"more highs": 1.0}})
    after = parse(text, SONG, VOCABULARY)
    assert (after.asks, after.backs, after.kept_off) == (before.asks, before.backs, before.kept_off)


def test_what_is_kept_off_is_not_touched_however_sure_the_whole_is(heard):
    heard({"Keys.wav": {"louder": 1.0}})
    try:
        found = parse("don't touch the keys", SONG, VOCABULARY)
    except NoteError:
        return
    assert not found.asks


def test_what_is_surely_somebody_elses_work_is_said_to_be(heard):
    heard({}, kind="elsewhere", likely=0.91)
    with pytest.raises(NoteError, match="nothing that EQ, a level or a notch answers"):
        parse("Who is bringing the sandwiches", SONG, VOCABULARY)
    with pytest.raises(NoteError) as refused:
        parse("Who is bringing the sandwiches", SONG, VOCABULARY)
    assert "not understood" not in str(refused.value)
    heard({}, kind="elsewhere", likely=0.89)
    with pytest.raises(NoteError) as refused:
        parse("Who is bringing the sandwiches", SONG, VOCABULARY)
    assert "a notch answers" not in str(refused.value)


def test_what_is_surely_elsewhere_is_nothing_else_whatever_it_tells(heard):
    heard({}, kind="elsewhere")
    *acts, problems, _, not_ours = read(
        "pan the keys to the left and delay them, the way it was on the old tape, boomy and all"
    )
    assert (acts, problems) == ([[], []], [])
    assert "pan-width" in [each.kind.name for each in not_ours]
    assert "other-work" not in [each.kind.name for each in not_ours]
    assert not language.read("that's it, bounce it, and who has the key to the hall", SONG, VOCABULARY).approved


# What has figures, few plain words or a stem that is likely meant is not all elsewhere, however sure the kind is.
@pytest.mark.parametrize(
    ("text", "meant"), [("keys +2 dB at 3k, somebody wrote me from the studio", {}), ("keys brighter", {}),
                        ("I would pan the keys and have them brighter", {"Keys.wav": {"more highs": 0.3}})],
)  # fmt: skip
def test_what_asks_something_of_ours_too_is_not_all_elsewhere(heard, text, meant):
    heard(meant, kind="elsewhere")
    assert [ask.stems for ask in read(text)[0]] == [("Keys.wav",)]


@pytest.mark.parametrize(("likely", "backs"), [(0.3, [("Keys.wav",)]), (0.29, [])])
def test_what_may_go_back_is_not_all_elsewhere(heard, likely, backs):
    heard({}, kind="elsewhere", back={"Keys.wav": likely}.items())
    assert [back.stems for back in read("undo the keys")[1]] == backs


def test_what_is_surely_an_approval_is_said_to_be(heard):
    heard({}, kind="approval")
    with pytest.raises(NoteError, match="stemwright keep SONG STEM signs it off"):
        parse("my grandmother danced to it all evening long", SONG, VOCABULARY)


def test_what_surely_goes_back_is_not_taken_for_an_ask(heard):
    heard({}, kind="back")
    with pytest.raises(NoteError, match="it goes back, and not clearly to what"):
        parse("I think that today the keys could be brighter", SONG, VOCABULARY)


# What each note goes back to is in its words; for whom is in the whole of it.
@pytest.mark.parametrize(
    ("text", "way", "number", "share"),
    [
        ("I was wrong about the keys, sorry. Could we return to pass 2 there", "pass", 2, 1.0),
        ("keys were better two versions ago", "passes back", 2, 1.0),
        ("Undo it. It was nicer. The keys, I mean", "before", 1, 1.0),
        ("half of what you did with the keys would do", "scale", 1, 0.5),
        ("keys a bit less than last time", "scale", 1, 0.67),
    ],
)
def test_a_note_that_surely_goes_back_goes_back_for_those_it_is_about(heard, text, way, number, share):
    heard({}, kind="back", back={"Keys.wav": 0.81, "Bass.wav": 0.19}.items())
    found = parse(text, SONG, VOCABULARY)
    assert [(back.stems, back.way, back.number, back.share) for back in found.backs] == [(("Keys.wav",), way, number, share)]
    assert found.asks == []


@pytest.mark.parametrize("back", [{"Kick.wav": 0.95, "Bass.wav": 0.5}, {}])
def test_for_whom_it_goes_back_must_be_sure(heard, back):
    heard({}, kind="back", back={"Kick.wav": 0.95}.items())
    long = "I have listened to it again, and would like to undo the keys"
    assert parse(long, SONG, VOCABULARY).backs[0].stems == ("Kick.wav",)
    assert parse("undo the keys", SONG, VOCABULARY).backs[0].stems == ("Keys.wav",)  # nothing to add to few words
    heard({}, kind="back", back=back.items())
    assert parse(long, SONG, VOCABULARY).backs[0].stems == ("Keys.wav",)


def test_a_note_that_asks_besides_goes_back_as_it_is_written(heard):
    heard({"Kick.wav": {"louder": 1.0}}, kind="back", back={"Bass.wav": 1.0}.items())
    found = parse("please undo the keys for me; and the kick louder", SONG, VOCABULARY)
    assert found.backs[0].stems == ("Keys.wav",)
    assert [ask.stems for ask in found.asks] == [("Kick.wav",)]


def test_a_pass_that_is_named_says_more_than_undo(heard):
    heard({}, kind="back", back={"Keys.wav": 1.0}.items())
    found = parse("undo the keys. I want pass 2 of the keys, the one from Monday", SONG, VOCABULARY)
    assert [(back.stems, back.way, back.number) for back in found.backs] == [(("Keys.wav",), "pass", 2)]


def test_what_goes_back_and_then_stays_goes_back(heard):
    heard({}, kind="back", back={"Keys.wav": 1.0}.items())
    found = parse("don't touch the keys any more, go back to pass 2", SONG, VOCABULARY)
    assert [back.stems for back in found.backs] == [("Keys.wav",)]
    assert found.kept_off == []


@pytest.mark.parametrize(
    ("text", "stems"),
    [
        ("undo that please, all of what you did since I last wrote", ()),
        ("undo the keys, and then take the bass down by 2 dB for me", ("Keys.wav",)),
    ],
)
def test_what_names_no_stem_or_has_figures_goes_back_as_it_is_written(heard, text, stems):
    heard({}, kind="back", back={"Kick.wav": 1.0}.items())
    assert parse(text, SONG, VOCABULARY).backs[0].stems == stems


# A word behind which a stem may stand is never passed over to undo everything: no song here has a flute, a zither or a Sam.
@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("undo the zither", "zither"),
        ("put the flute back how it was", "flute"),
        ("put Sam back how he was", "sam"),
        ("undo the marimbo", "marimbo"),
        ("undo whatever you did to the room", "room"),
    ],
)
def test_what_may_name_a_stem_does_not_take_all_of_them_back(heard, text, word):
    song = targets_of(
        (Stem("Kick.wav", "kick", "drums"), Stem("Keys.wav", "keys", "music"), Stem("Room Far.wav", "drum bus", "drums"))
    )
    heard({}, kind="back", back={"Room Far.wav": 0.7, "Keys.wav": 0.3}.items())
    with pytest.raises(NoteError, match=f"{word}: which stem goes back"):
        parse(text, song, VOCABULARY)
    heard({}, kind="back", back={"Room Far.wav": 0.9}.items())
    assert parse(text, song, VOCABULARY).backs[0].stems == ("Room Far.wav",)
    heard({}, kind="back", back={"Kick.wav": 0.5, "Keys.wav": 0.5, "Room Far.wav": 0.5}.items())
    assert parse(text, song, VOCABULARY).backs[0].stems == ()


def test_a_stem_that_is_named_beside_the_way_back_does_not_take_all_back(heard):
    heard({}, kind="back", back={"Kick.wav": 0.6}.items())
    with pytest.raises(NoteError, match="kick: which stem goes back"):
        parse("we hear the kick now. back to pass 1 please", SONG, VOCABULARY)


@pytest.mark.parametrize("text", ["undo that. keys louder", "love the keys. undo the last pass"])
def test_a_name_for_something_else_does_not_keep_all_from_going_back(heard, text):
    heard({"Keys.wav": {"louder": 1.0}}, kind="asks")
    assert parse(text, SONG, VOCABULARY).backs[0].stems == ()


def test_of_a_note_that_may_name_a_stem_the_rest_is_offered_without_the_way_back(heard):
    heard({"Keys.wav": {"more highs": 1.0}}, kind="back")
    for text in ("undo the zither, keys brighter", "undo the zither and make the keys brighter"):
        with pytest.raises(NoteError, match="zither: which stem goes back") as refused:
            parse(text, SONG, VOCABULARY)
        offered = str(refused.value).partition("the rest as one note: ")[2]
        assert "keys brighter" in offered
        assert "undo" not in offered


def test_a_word_in_what_goes_back_nowhere_is_no_name(heard):
    heard({"Keys.wav": {"more highs": 1.0}}, kind="asks")
    for text in (
        "undo that. The zither was nice. Make the keys brighter",
        "undo that. Make the keys brighter, zither or no zither",
    ):
        found = parse(text, SONG, VOCABULARY)
        assert ([back.stems for back in found.backs], [ask.stems for ask in found.asks]) == ([()], [("Keys.wav",)])


@pytest.mark.parametrize(
    "text",
    [
        "undo that",
        "back to pass 2",
        "undo everything you did to the zither and all",
        "nah, undo it",
        "back to pass 2, Ann",
        "Ann wants it back as it was",
        "back to how it was on monday",
    ],
)
def test_where_nothing_may_name_a_stem_all_of_them_go_back(heard, text):
    song = targets_of((Stem("Kick.wav", "kick", "drums"), Stem("Monday Loop.wav", None, None)))
    heard({}, kind="back", back={"Kick.wav": 0.4}.items())
    assert set(parse(text, song, VOCABULARY).backs[0].stems) in (set(), set(song.stems))


@pytest.mark.parametrize("text", ["not all of it, only a piece of what the keys got", "undo whatever you did to the zither"])
def test_a_way_back_that_is_not_clear_offers_both_for_the_stems_that_surely_go(heard, text):
    heard({}, kind="back", back={"Keys.wav": 0.81, "Bass.wav": 0.79}.items())
    with pytest.raises(NoteError) as refused:
        parse(text, SONG, VOCABULARY)
    offered = str(refused.value).splitlines()[-3:]
    assert offered[0] == "  perhaps one of these is meant:"
    notes = [line.removeprefix("    stemwright note SONG ").strip("'") for line in offered[1:]]
    assert notes == ['"Keys.wav": undo', '"Keys.wav": half of that']
    backs = [parse(note, SONG, VOCABULARY).backs for note in notes]
    assert [(back.stems, back.way, back.share) for (back,) in backs] == [
        (("Keys.wav",), "before", 1.0),
        (("Keys.wav",), "scale", 0.5),
    ]


@pytest.mark.parametrize(("back", "likely"), [(0.79, 1.0), (0.81, 0.89)])
def test_and_nothing_where_it_is_not_sure_that_it_goes_back_or_for_whom(heard, back, likely):
    heard({}, kind="back", back={"Keys.wav": back}.items(), likely=likely)
    with pytest.raises(NoteError) as refused:
        parse("not all of it, only a piece of what the keys got", SONG, VOCABULARY)
    assert "perhaps" not in str(refused.value)


def test_two_ways_back_stand_as_they_are_written(heard):
    heard({}, kind="back", back={"Keys.wav": 1.0, "Bass.wav": 1.0}.items())
    found = parse("undo the keys; half of that on the bass", SONG, VOCABULARY)
    assert [(back.stems, back.way) for back in found.backs] == [(("Keys.wav",), "before"), (("Bass.wav",), "scale")]


def test_what_is_kept_off_does_not_go_back_unless_it_is_what_it_is_about(heard):
    heard({}, kind="back", back={"Keys.wav": 1.0}.items())
    found = parse("undo the keys, don't touch the bass", SONG, VOCABULARY)
    assert (found.backs[0].stems, found.kept_off) == (("Keys.wav",), ["Bass.wav"])


def test_what_is_offered_is_done_as_it_is_written_whatever_the_whole_of_it_says(heard):
    names = ("low strings, far.wav", "high strings of the second take.wav", "solo of the cello, near.wav")
    song = targets_of(tuple(Stem(name, "strings", "music") for name in names))
    heard({names[0]: {"less lows": 0.99}})
    every = ", ".join(f'"{name}"' for name in names)
    offered = f"{every}: less thin; {every}: a touch more body"
    assert [(set(ask.stems), ask.word, ask.amount) for ask in parse(offered, song, VOCABULARY).asks] == [
        (set(names), "thin", -1.0),
        (set(names), "body", 0.5),
    ]


@pytest.mark.parametrize(
    ("text", "sure", "offered"),
    [
        ("Olaf from upstairs came down because of the bass", 0.61, True),
        ("Olaf from upstairs came down because of the bass", 0.59, False),
        (
            "leave the keys; the vocal is too quiet, says Olaf, because of the bass",
            0.8,
            False,
        ),  # who keeps off asks for less
        ("I find that the bass is too boomy, and the vocal too quiet", 0.8, False),  # that is what it offers by its words
    ],
)
def test_what_the_whole_perhaps_means_is_offered_where_it_is_worth_it(heard, text, sure, offered):
    heard({"Bass.wav": {"less lows": sure}}, turned=[("Bass.wav", "boomy", -1)] if "boomy" in text else ())
    found = language.read(text, SONG, VOCABULARY)
    assert found.problems or not found.asks
    assert bool(found.perhaps[1]) == offered


def test_who_leaves_a_stem_as_it_is_is_offered_no_way_back(heard):
    heard({}, kind="back", back={"Keys.wav": 1.0}.items())
    found = language.read(
        "leave the keys as they are, they are the nicest thing on the whole of this record", SONG, VOCABULARY
    )
    assert (found.kept_off, found.perhaps) == (["Keys.wav"], ("", ()))


OLDER = "the keys could be warmer and softer in the verse, more like the old one that my aunt had at home"


def test_what_is_only_told_of_earlier_does_not_go_back(heard):
    heard({"Keys.wav": {"less highs": 0.95}}, likely=0.92)
    found = parse(OLDER.replace(" in the verse", ""), SONG, VOCABULARY)
    assert found.asks
    assert found.backs == []
    assert any(each.startswith("taken as told, not asked: ") for each in found.taken)


@pytest.mark.parametrize(
    ("text", "likely", "back"),
    [
        (OLDER.replace(" in the verse", ""), 0.88, 0.0),  # it may be no ask
        (OLDER.replace(" in the verse", ""), 0.92, 0.31),  # the keys may go back
        ("the keys could be warmer and softer, undo that, more like the old one", 0.92, 0.0),
        ("keys: like the old one", 0.92, 0.0),
    ],
)
def test_and_does_where_that_is_less_sure_or_said(heard, text, likely, back):
    heard({"Keys.wav": {"less highs": 0.95}}, likely=likely, back={"Keys.wav": back}.items())
    assert language.read(text, SONG, VOCABULARY).backs


def test_everything_else_is_touched_only_where_the_whole_bears_it_out(heard):
    text = "the bass comes and goes, some of its notes are too loud, everything else is buried and so on and so forth"
    heard({"Bass.wav": {"more even": 0.95}})
    assert {stem for ask in language.read(text, SONG, VOCABULARY).asks for stem in ask.stems} == {"Bass.wav"}
    text = "I think today that everything but the kick should be a good bit brighter for me"
    bright = {"more highs": 0.31}
    heard({"Bass.wav": bright, "Kick.wav": {"quieter": 0.1}})
    assert [set(ask.stems) for ask in parse(text, SONG, VOCABULARY).asks] == [{"Bass.wav", "Keys.wav"}]
    heard({"Kick.wav": {"quieter": 0.1}})
    with pytest.raises(NoteError):
        parse(text, SONG, VOCABULARY)


def test_at_others_is_not_all_others(heard):
    heard({"Bass.wav": {"more even": 0.97}})
    (ask,) = parse("the bass is boomy at others, then it goes away for good", SONG, VOCABULARY).asks
    assert (ask.stems, ask.exact and ask.exact.kind) == (("Bass.wav",), "ride")


def test_a_relation_has_its_own_two_ways_and_no_third(heard):
    heard({"Keys.wav": {"louder": 0.8}})
    found = language.read("when the bass comes in I really cannot hear the keys at all any more", SONG, VOCABULARY)
    assert found.relations
    assert found.perhaps == ("", ())


def test_a_ride_of_two_stems_is_written_so_that_both_are_ridden(heard):
    heard({"Keys.wav": {"more even": 0.95}, "Bass.wav": {"more even": 0.95}})
    (ask,) = parse("some chords of the keys and the bass leap at me, others hide", SONG, VOCABULARY).asks
    written = parse(in_words(ask), SONG, VOCABULARY).asks
    assert [(set(each.stems), each.exact) for each in written] == [({"Keys.wav", "Bass.wav"}, ask.exact)]


def test_an_even_performance_is_a_ride(heard):
    heard({"Keys.wav": {"more even": 0.95}})
    (ask,) = parse("some chords of the keys leap at me, others hide", SONG, VOCABULARY).asks
    assert (ask.stems, ask.exact.kind, ask.amount) == (("Keys.wav",), "ride", 1.0)


def test_a_reason_beside_what_is_asked_offers_no_two_ways(heard):
    heard({"Bass.wav": {"quieter": 0.95}})
    assert asked("bass lower please, since it covers the keys") == [(("Bass.wav",), "loud", -1.0)]
    heard({"Kick.wav": {"louder": 0.95}})
    with pytest.raises(NoteError, match="two ways, choose one"):
        parse("kick louder please. And the bass covers the keys", SONG, VOCABULARY)
    heard({"Kick.wav": {"quieter": 0.95}})
    with pytest.raises(NoteError, match="two ways, choose one"):
        parse("bass lower please, since it covers the keys", SONG, VOCABULARY)


@pytest.mark.parametrize(
    ("text", "refusal"),
    [
        ("more bite on the organ please, it is so very dull", "no organ in this song"),
        ("keys louder than the bass", "is it too much, or wanted"),
    ],
)
def test_what_nothing_can_make_good_is_refused_however_sure_the_whole_is(heard, text, refusal):
    heard({"Keys.wav": {"more presence": 1.0}})
    with pytest.raises(NoteError, match=refusal):
        parse(text, SONG, VOCABULARY)


@pytest.mark.parametrize(("likely", "done"), [(0.96, True), (0.94, False)])
def test_beside_what_is_said_not_to_be_the_whole_must_be_certain(heard, likely, done):
    heard({"Keys.wav": {"more highs": likely}}, turned=[("Keys.wav", "bright", likely)])
    found = language.read(
        "the bass is no worse, and Olaf says never mind, what about the keys being bright", SONG, VOCABULARY
    )
    assert bool(found.asks and not found.problems) == done


def test_few_words_that_deny_something_are_done_only_where_the_whole_bears_them_out(heard):
    heard({})
    with pytest.raises(NoteError, match="the whole of it does not bear that out"):
        parse("nobody says the keys are too bright", SONG, VOCABULARY)
    heard({"Keys.wav": {"less highs": 0.7}})
    assert asked("nobody likes it: keys too bright") == [(("Keys.wav",), "bright", -1.0)]


FIGURES = "Olaf would like to have the keys -2 dB at 300 Hz and with a little more bite"  # not all of it is figures


def test_figures_are_not_done_where_the_whole_means_something_else(heard):
    heard({"Keys.wav": {"less highs": 0.6}})
    with pytest.raises(NoteError, match="write them plainly, as in: piano: -3 dB at 250 Hz") as refused:
        parse(FIGURES, SONG, VOCABULARY)
    assert "the rest as one note" not in str(refused.value)
    heard({"Keys.wav": {"less low mids": 0.6, "more presence": 0.6}})
    assert parse(FIGURES, SONG, VOCABULARY).asks
    heard({})
    assert parse(FIGURES, SONG, VOCABULARY).asks
    heard({"Keys.wav": {"less highs": 0.89}})
    assert parse("Olaf would like to have the keys -2 dB at 300 Hz on this one", SONG, VOCABULARY).asks
    assert parse("keys -2 dB at 300 Hz", SONG, VOCABULARY).asks
    heard({"Bass.wav": {"less highs": 0.6}})
    found = language.read("put the keys back how they were and take the bass -2 dB at 300 Hz please", SONG, VOCABULARY)
    assert (bool(found.backs), bool(found.asks), found.problems) == (True, True, [])


def test_a_name_in_quotes_denies_nothing(heard):
    heard({})
    song = targets_of((Stem("Not the keys, never.wav", "keys", "music"), Stem("No bass.wav", "bass", "music")))
    text = '"Not the keys, never.wav", "No bass.wav": a bit less harsh; "No bass.wav": more body'
    assert [(ask.word, ask.amount) for ask in parse(text, song, VOCABULARY).asks] == [("harsh", -0.7), ("body", 1.0)]


def test_an_ask_that_is_told_is_passed_over_only_where_its_stem_is_asked_for_something(heard):
    heard({"Keys.wav": {"more highs": 0.85}})
    with pytest.raises(NoteError, match="taken in two ways"):
        parse("I think the keys should be brighter and the bass could be a lot louder", SONG, VOCABULARY)


def test_what_the_whole_does_not_bear_out_is_offered_plainly(heard):
    heard({})
    with pytest.raises(NoteError) as refused:
        parse("I think that today the keys could be a bit brighter", SONG, VOCABULARY)
    assert "the whole of it does not bear that out" in str(refused.value)
    assert """the rest as one note: stemwright note SONG '"Keys.wav": a bit more bright'""" in str(refused.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("keys -2 dB", '"Keys.wav": -2 dB'),
        ("bass up 1.5 dB", '"Bass.wav": +1.5 dB'),
        ("keys bite +2 dB", '"Keys.wav": bite +2 dB'),
        ("keys a touch brighter", '"Keys.wav": a touch more bright'),
        ("keys a bit less harsh", '"Keys.wav": a bit less harsh'),
        ("keys and bass darker", '"Keys.wav", "Bass.wav": more dark'),
    ],
)
def test_an_ask_in_words_reads_back_as_itself(heard, text, said):
    heard({})
    (ask,) = parse(text, SONG, VOCABULARY).asks
    assert in_words(ask) == said
    (again,) = parse(said, SONG, VOCABULARY).asks
    assert (again.stems, again.word, again.amount, again.gain_db) == (ask.stems, ask.word, ask.amount, ask.gain_db)


def test_a_list_of_short_asks_stands_as_it_is_written(heard):
    heard({"Kick.wav": {"quieter": 0.8}})
    assert asked("keys: more bite; bass: a lot tighter; kick: darker") == [
        (("Keys.wav",), "bite", 1.0),
        (("Bass.wav",), "tight", 2.0),
        (("Kick.wav",), "dark", 1.0),
    ]
    with pytest.raises(NoteError, match="taken in two ways"):
        parse("keys: more bite; bass: a lot tighter; and the fiddler on the roof says kick: darker", SONG, VOCABULARY)


def test_of_a_note_too_long_to_be_looked_at_the_words_count(heard):
    heard({"Kick.wav": {"louder": 1.0}})
    talk = "we drove along the coast and talked of this and of that. " * 12
    assert asked(f"{talk}The keys should be brighter") == [(("Keys.wav",), "bright", 1.0)]


def test_the_whole_is_not_asked_of_what_is_written_as_it_is_offered(monkeypatch):
    def never(_):
        raise AssertionError

    monkeypatch.setattr(gists, "answer", never)
    asks = parse(
        '"Keys.wav": a touch more bright; "Bass.wav", "Kick.wav": -2 dB; "Keys.wav": ride it', SONG, VOCABULARY
    ).asks
    assert [ask.stems for ask in asks] == [("Keys.wav",), ("Bass.wav", "Kick.wav"), ("Keys.wav",)]
    for text in (
        "keys a touch more friendly",
        '"Keys.wav": a touch more bright, would you say',
        '"Keys.wav": more of no such word; "Bass.wav": more bright',
    ):
        with pytest.raises(AssertionError):
            parse(text, SONG, VOCABULARY)


@pytest.mark.parametrize(("likely", "word"), [(0.91, "bright"), (0.89, "smooth")])
def test_few_words_stand_unless_the_whole_is_sure_of_something_else(heard, likely, word):
    heard({"Keys.wav": {"more highs": likely}}, turned=[("Keys.wav", "smooth", 0.1)])
    assert [ask[1] for ask in asked("keys a little smoother")] == [word]


@pytest.mark.parametrize(("likely", "done"), [(0.81, True), (0.79, False)])
def test_of_more_words_what_both_say_is_done_where_the_whole_is_sure_enough(heard, likely, done):
    heard({"Keys.wav": {"more highs": likely}}, turned=[("Keys.wav", "bright", 1)])
    found = language.read("I think that today the keys could be brighter", SONG, VOCABULARY)
    assert bool(found.asks and not found.problems) == done


@pytest.mark.parametrize("text", ["keys", "keys?", "the keys, the keys"])
def test_a_bare_name_asks_for_nothing(heard, text):
    heard({"Keys.wav": {"louder": 1.0}})
    with pytest.raises(NoteError):
        parse(text, SONG, VOCABULARY)


@pytest.mark.parametrize(
    "text",
    [
        "undo the keys for me please, and could you add more reverb to the bass",
        "put the keys back to where they were from 0:30 to 0:45 please",
        "please put the keys back as they were, and then the organ louder too",
        "undo the keys please, and the kick is buried under the bass there",
        "back to pass 2 with the keys, and back to pass 3 with the bass",
    ],
)
def test_going_back_takes_no_more_with_it(heard, text):
    heard({})
    before = read(text)
    heard({}, kind="back", back={"Keys.wav": 1.0}.items())
    assert read(text) == before


def test_what_takes_back_nothing_and_asks_is_no_way_back(heard):
    heard({}, kind="back", back={"Bass.wav": 1.0}.items())
    assert asked("I take it all back, my friends. Bass too boomy") == [(("Bass.wav",), "boomy", -1.0)]
    heard({"Bass.wav": {"less lows": 0.9}}, kind="back", back={"Bass.wav": 1.0}.items())
    assert asked("I take it all back, my friends. Bass too boomy") == [(("Bass.wav",), "boomy", -1.0)]


@pytest.mark.parametrize("text", ["the keys are so flummery", "everything is buried"])
def test_of_few_words_one_of_which_nobody_knows_nothing_is_made(heard, text):
    heard({"Keys.wav": {"louder": 1.0}})
    with pytest.raises(NoteError):
        parse(text, SONG, VOCABULARY)


def test_words_that_only_tell_are_passed_over(heard):
    text = "the keys should be brighter; I like how loud and harsh the tape of it was"
    heard({"Keys.wav": {"more highs": 0.85}}, turned=[("Keys.wav", "bright", 1)])
    found = parse(text, SONG, VOCABULARY)
    assert {ask.word for ask in found.asks} == {"bright"}
    assert found.rest == ['"Keys.wav": more bright']
    assert any(each.startswith('taken as told, not asked: "Keys.wav": ') for each in found.taken)
    heard({"Keys.wav": {"more highs": 0.85, "quieter": 0.15, "louder": 0.15}}, turned=[("Keys.wav", "bright", 1)])
    with pytest.raises(NoteError, match="taken in two ways"):
        parse(text, SONG, VOCABULARY)


def test_what_else_is_certain_must_be_asked_too(heard):
    heard({"Keys.wav": {"more highs": 0.79, "quieter": 0.85}})
    with pytest.raises(NoteError, match="taken in two ways"):
        parse("I think that today the keys could be brighter", SONG, VOCABULARY)
    heard({"Keys.wav": {"more highs": 0.81, "quieter": 0.85}})
    assert asked("I think that today the keys could be brighter") == [(("Keys.wav",), "bright", 1.0)]


# What the network hears of a stem, and what of it is meant: (word, sign) of each.
@pytest.mark.parametrize(
    ("ways", "turned", "meant"),
    [
        ({"more highs": 0.95}, [], [("bright", 1)]),
        ({"more highs": 0.95, "more low mids": 0.5}, [("warm", 0.4)], [("bright", 1)]),
        ({"more highs": 0.95, "more low mids": 0.85}, [("warm", 0.81)], [("warm", 1), ("bright", 1)]),
        ({"more highs": 0.95, "more low mids": 0.85}, [("warm", 0.79)], [("bright", 1)]),
        ({"more highs": 0.95, "more low mids": 0.79}, [("warm", 0.95)], [("bright", 1)]),
        ({"more highs": 0.7, "more low mids": 0.6}, [("warm", 0.9)], [("warm", 1)]),
        ({"more highs": 0.95, "more low mids": 0.2}, [("warm", 0.9)], [("bright", 1)]),
        ({"more highs": 0.95, "louder": 0.59}, [], [("bright", 1)]),
        ({"more highs": 0.7, "louder": 0.61}, [], [("loud", 1)]),
        ({"less low mids": 0.95}, [("warm", -0.9)], [("warm", -1)]),
    ],
)
def test_what_is_meant_follows_from_what_is_heard(heard, ways, turned, meant):
    heard({"Keys.wav": ways}, turned=[("Keys.wav", *each) for each in turned])
    found = gists.gist_of(
        "the warm keys", gists.items_of("the warm keys", SONG, VOCABULARY), NoteRead(), SONG, Effects(VOCABULARY)
    )
    assert [(each.word, each.sign) for each in found.meant] == meant


def test_the_least_sure_thing_counts_a_stem_that_may_not_be_meant_too(heard):
    heard({"Keys.wav": {"louder": 0.95}, "Bass.wav": {"louder": 0.3}})
    assert gists.gist_of(
        "louder", gists.items_of("louder", SONG, VOCABULARY), NoteRead(), SONG, Effects(VOCABULARY)
    ).sure == pytest.approx(0.7)
    heard({"Keys.wav": {"louder": 0.95}, "Bass.wav": {"louder": 0.02}})
    assert gists.gist_of(
        "louder", gists.items_of("louder", SONG, VOCABULARY), NoteRead(), SONG, Effects(VOCABULARY)
    ).sure == pytest.approx(0.95)


def test_what_is_meant_for_a_place_nobody_named_is_offered_for_the_whole_song(heard):
    heard({"Keys.wav": {"more highs": 0.9}}, turned=[("Keys.wav", "bright", 1)])
    with pytest.raises(NoteError, match=r"for the whole song: stemwright note SONG '\"Keys\.wav\": more bright'"):
        parse("keys brighter in the second verse", SONG, VOCABULARY)


def test_a_song_without_stems_is_not_listened_to():
    assert language.read("brighter", targets_of(()), VOCABULARY).asks == []


@pytest.mark.parametrize(("kind", "word"), [("asks", "presence"), ("back", "loud")])
def test_a_plain_ask_amid_talk_stands_where_the_whole_asks_for_anything(heard, kind, word):
    heard({"Keys.wav": {"louder": 1.0}}, kind=kind)
    assert [ask[1] for ask in asked("presence up on the keys, that would make my day")] == [word]


def test_of_a_pass_filter_beside_figures_the_whole_has_no_say(heard):
    heard({"Keys.wav": {"louder": 1.0}})
    found = language.read(
        "the keys could come up 2 dB I think, and roll off everything under 40 on the keys", SONG, VOCABULARY
    )
    assert [ask.word for ask in found.asks] == ["loud", "high pass"]
    assert not found.problems


@pytest.mark.parametrize(
    ("text", "likely", "done"),
    [
        ("the keys are shy", 0.98, True),  # a word the network has met
        ("the keys are shy", 0.96, False),
        ("the keys are blorfy", 0.99, False),  # one it has not
        ("everything is shy", 0.99, False),
        ("are the keys shy?", 0.99, False),
        ("the keys, the keys", 0.99, False),
        ("keys: bite", 0.99, False),  # more, or less?
    ],
)
def test_of_few_words_that_say_too_little_the_whole_is_taken_where_it_is_certain_and_knows_them(heard, text, likely, done):
    heard({"Keys.wav": {"louder": likely}})
    asks = read(text)[0]
    assert bool(asks) is done
    if done:
        assert [(ask.stems, ask.word) for ask in asks] == [(("Keys.wav",), "loud")]


@pytest.mark.parametrize(
    ("text", "likely", "done"),
    [
        ("keys is the loudest thing in the room on earbuds. calm it", 0.98, True),
        ("keys is the loudest thing in the room on earbuds. calm it", 0.96, False),
        ("keys is the loudest. calm it", 0.98, False),  # few words mean what they say
        ("keys is the loudest thing in the room on blorfy earbuds. calm it", 0.98, False),
        ("keys is the loudest thing in the room on earbuds. can you calm it?", 0.98, False),
        ("keys is the loudest thing in the room on earbuds. more bite on the organ", 0.98, False),  # no organ here
    ],
)
def test_what_words_alone_cannot_decide_the_whole_does_where_it_is_certain(heard, text, likely, done):
    heard({"Keys.wav": {"quieter": likely}})
    asks, _, problems, _, _ = read(text)
    assert (not problems and [(ask.stems, ask.amount > 0) for ask in asks] == [(("Keys.wav",), False)]) is done


def test_words_are_met_that_stand_in_notes_again_and_again():
    items = Tagger(SONG, VOCABULARY).items(tokens_of("the keys are shy, 3 dB at 400")[1])
    assert has_met(items)
    assert has_met([*items, None])
    assert not has_met(Tagger(SONG, VOCABULARY).items(tokens_of("the keys are blorfy")[1]))
    assert has_met([])
