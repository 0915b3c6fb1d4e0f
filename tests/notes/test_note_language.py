"""The note language: what each sentence asks of which stems, and that nothing is guessed."""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright.notes.language import LONGEST_NOTE, NoteError, parse, read
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
    return [(set(ask.stems), ask.word, ask.amount, ask.gain_db) for ask in parse(text, targets_of(stems), VOCABULARY).asks]


# What an engineer would do when somebody writes so: common practice, no source. Amounts are what --help says of them.
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("piano: more bite", [({PIANO}, "bite", 1.0, None)]),
        ("more bite on the piano", [({PIANO}, "bite", 1.0, None)]),
        ("a bit more bite on the keys", [({PIANO}, "bite", 0.7, None)]),
        ("piano: a touch more bite", [({PIANO}, "bite", 0.5, None)]),
        ("piano: a lot more bite", [({PIANO}, "bite", 2.0, None)]),
        ("piano: a little more bite, but subtle", [({PIANO}, "bite", 0.49, None)]),
        ("guitars: more bite", [({LEFT, RIGHT}, "bite", 1.0, None)]),
        ("hats are harsh", [({HATS}, "harsh", -1.0, None)]),
        ("the hats hurt", [({HATS}, "harsh", -1.0, None)]),
        ("the hats are a bit too harsh", [({HATS}, "harsh", -0.7, None)]),
        ("kick is boxy", [({KICK}, "boxy", -1.0, None)]),
        ("the piano's not bright enough", [({PIANO}, "bright", 1.0, None)]),
        ("warm up the keys", [({PIANO}, "warm", 1.0, None)]),
        ("can't hear the vocal", [({VOX}, "buried", -1.0, None)]),
        ("more vocal", [({VOX}, "loud", 1.0, None)]),
        ("tuck the gtr half a dB", [({LEFT, RIGHT}, "loud", 1.0, -0.5)]),
        ("love the vocal but the kick is too boomy", [({KICK}, "boomy", -1.0, None)]),
        ("piano: bite +2 dB", [({PIANO}, "bite", 1.0, 2.0)]),
        ("piano: bite \u22121.5dB", [({PIANO}, "bite", 1.0, -1.5)]),
        ("piano -2 dB", [({PIANO}, "loud", 1.0, -2.0)]),
        ("everything but the piano and the kick: darker", [({HATS, VOX, LEFT, RIGHT}, "dark", 1.0, None)]),
        ('"HiHat 01_PRINT.wav": darker', [({HATS}, "dark", 1.0, None)]),
        ("hats darker kick brighter", [({HATS}, "dark", 1.0, None), ({KICK}, "bright", 1.0, None)]),
        ("don't touch the kick. everything else brighter", [({PIANO, HATS, VOX, LEFT, RIGHT}, "bright", 1.0, None)]),
        ("hats: harsh, tuck em 1 dB", [({HATS}, "harsh", -1.0, None), ({HATS}, "loud", 1.0, -1.0)]),
        ("the piano is too loud and dull", [({PIANO}, "loud", -1.0, None), ({PIANO}, "dull", -1.0, None)]),
        ("too much top on the hats, not enough on the vox", [({HATS}, "bright", -1.0, None), ({VOX}, "bright", 1.0, None)]),
        ("piano sounds like it's under a blanket", [({PIANO}, "muffled", -1.0, None)]),
        ("it isn't that the vocal's too loud. It's too shrill.", [({VOX}, "shrill", -1.0, None)]),
        ("Not powerful. Kick more powerful.", [({KICK}, "punch", 1.0, None)]),
        ("the kick is spongiform. More precise please", [({KICK}, "definition", 1.0, None)]),
        ("pull the hats back 2 dB", [({HATS}, "loud", 1.0, -2.0)]),
        ("piano darker, but don't lose the warmth", [({PIANO}, "dark", 1.0, None)]),
        ("the hats are louder than the kick", [({HATS}, "loud", -1.0, None)]),
        ("piano is tiring on my laptop, kick fine", [({PIANO}, "harsh", -1.0, None)]),
        ("more drums less piano", [({HATS, KICK}, "loud", 1.0, None), ({PIANO}, "loud", -1.0, None)]),
        ("kick is all click and no thump", [({KICK}, "attack", -1.0, None), ({KICK}, "punch", 1.0, None)]),
        ("the piano is agressive, make it warm", [({PIANO}, "harsh", -1.0, None), ({PIANO}, "warm", 1.0, None)]),
        ("- piano: more bite\n- kick: less boomy\n2. Hats: smoother", [
            ({PIANO}, "bite", 1.0, None), ({KICK}, "boomy", -1.0, None), ({HATS}, "smooth", 1.0, None)]),
    ],
)  # fmt: skip
def test_what_a_note_asks(text, expected):
    assert asks(text) == expected


@pytest.mark.parametrize(
    ("text", "kind", "settings"),
    [
        ("kick -3 at 250", "bell", {"freq_hz": 250.0, "gain_db": -3.0, "q": 1.0}),
        ("add 2 dB at 10k on the kick", "bell", {"freq_hz": 10_000.0, "gain_db": 2.0, "q": 1.0}),
        ("kick: cut 300 by 2", "bell", {"freq_hz": 300.0, "gain_db": -2.0, "q": 1.0}),
        ("high-pass the kick at 30", "high_pass", {"freq_hz": 30.0, "slope_db_oct": 12.0}),
        ("cut the kick under 30", "high_pass", {"freq_hz": 30.0, "slope_db_oct": 12.0}),
        ("kick is boxy around 400", "bell", {"freq_hz": 400.0, "gain_db": -2.0, "q": 1.0}),
        ("kick LPF 4.5 kHz", "low_pass", {"freq_hz": 4500.0, "slope_db_oct": 12.0}),
        ("kick high shelf 10k +2", "high_shelf", {"freq_hz": 10_000.0, "gain_db": 2.0, "q": 0.7071}),
        ("kick bell -2.5 dB @ 1k2, Q 1.4", "bell", {"freq_hz": 1200.0, "gain_db": -2.5, "q": 1.4}),
    ],
)
def test_an_exact_request_is_taken_as_it_stands(text, kind, settings):
    (ask,) = parse(text, targets_of(SONG), VOCABULARY).asks
    assert (ask.stems, ask.exact.kind, dict(ask.exact.settings)) == ((KICK,), kind, settings)


@pytest.mark.parametrize(
    ("text", "stems", "way"),
    [
        ("undo that", (), "before"),
        ("hats like before", (HATS,), "before"),
        ("half of that on the piano", (PIANO,), "scale"),
        ("take the notch off the kick", (KICK,), "notch"),
        ("back to pass 2 for the drums", (HATS, KICK), "pass"),
        ("drums: the way they were two versions ago", (HATS, KICK), "passes back"),
        ("whoever made the piano darker, undo that", (PIANO,), "before"),
    ],
)
def test_the_way_back_is_understood(text, stems, way):
    (back,) = parse(text, targets_of(SONG), VOCABULARY).backs
    assert (back.stems, back.way) == (stems, way)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("more reverb on the vocal", "reverb-delay"),
        ("pan the guitars wider", "pan-width"),
        ("the vocal is out of tune", "timing-tuning"),
        ("mute the kick in the intro", "edit-mute"),
        ("swap the kick for another one", "arrangement"),
        ("saturate the piano", "distortion"),
        ("compress the vocal more", "dynamics"),
        ("hats louder when she sings", "automation"),
        ("fade the hats out", "automation"),
    ],
)
def test_work_that_is_not_ours_is_named_and_the_rest_offered_as_one_note(text, name):
    with pytest.raises(NoteError) as caught:
        parse(f"{text}; piano darker", targets_of(SONG), VOCABULARY)
    assert f"[{name}]" in str(caught.value)
    assert str(caught.value).endswith("the rest as one note: stemwright note SONG 'piano darker'")


def test_without_a_sheet_a_time_is_asked_for_there_and_a_section_is_not_understood():
    reading = read("hats from 0:45 to 1:10 too loud; vocal brighter in the second verse", targets_of(SONG), VOCABULARY)
    assert [(ask.stems, ask.word, ask.when.said) for ask in reading.asks] == [((HATS,), "loud", ("0:45-1:10",))]
    assert [piece for piece, _ in reading.problems] == ["vocal brighter in the second verse"]


@pytest.mark.parametrize(
    ("text", "front", "over"),
    [
        ("The vocal is buried under the guitars.", (VOX,), (LEFT, RIGHT)),
        ("the guitars are masking the vocal", (VOX,), (LEFT, RIGHT)),
        ("make room for the vocal in the guitars", (VOX,), (LEFT, RIGHT)),
        ("can't hear the vocal over the guitars", (VOX,), (LEFT, RIGHT)),
        ("kick and piano are fighting", (KICK,), (PIANO,)),
    ],
)
def test_one_stem_over_another_is_offered_two_ways_out_and_takes_neither(text, front, over):
    with pytest.raises(NoteError) as caught:
        parse(text, targets_of(SONG), VOCABULARY)
    (relation,) = read(text, targets_of(SONG), VOCABULARY).relations
    assert (relation.front, relation.over) == (front, over)
    for offer in relation.offers:
        assert f"stemwright note SONG {shlex.quote(offer)}" in str(caught.value)
        assert parse(offer, targets_of(SONG), VOCABULARY).asks


def test_an_offered_command_is_safe_to_paste_whatever_a_stem_is_called():
    song = (*SONG, Stem("$(touch x) `y`'s.wav", "organ", "music"))
    with pytest.raises(NoteError) as caught:
        parse("organ: darker; more reverb on the vocal", targets_of(song), VOCABULARY)
    line = str(caught.value).splitlines()[-1]
    assert shlex.split(line.split("note: ")[-1])[:3] == ["stemwright", "note", "SONG"]
    assert len(shlex.split(line.split("note: ")[-1])) == 4


@pytest.mark.parametrize("text", ["the piano hurts the vocal", "kick boomy guitar", "raise the hats 2 dB vocal"])
def test_two_names_with_a_word_between_them_are_asked_about(text):
    with pytest.raises(NoteError, match=r"two names with .+ between them"):
        parse(text, targets_of(SONG), VOCABULARY)


PARTS = ("the piano needs more bite", "hats are harsh", "kick -3 at 250", "tuck the vocal 1 dB", "guitars less muddy")


@pytest.mark.parametrize(
    "polite", ["please {}", "hey, could you help: {}", "{}, thanks so much!", "love the mix, but {}", "I think {} imo"]
)
@pytest.mark.parametrize("part", PARTS)
def test_politeness_around_a_part_changes_nothing(polite, part):
    assert asks(polite.format(part)) == asks(part)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("more bite on the piano", "on the piano more bite"),
        ("the hats are a bit too harsh", "a bit too harsh, the hats"),
        ("kick -3 at 250", "-3 at 250 on the kick"),
        ("high-pass the kick at 30", "at 30 high-pass the kick"),
        ("turn the vocal up a touch", "vocal up a touch"),
        ("less mud in the guitars", "guitars: less mud"),
    ],
)
def test_the_order_of_what_and_of_whom_changes_nothing(one, other):
    def plain(text):
        found = parse(text, targets_of(SONG), VOCABULARY).asks
        return [(set(ask.stems), ask.word, ask.amount, ask.gain_db, ask.exact) for ask in found]

    assert plain(one) == plain(other)


def test_an_approval_offers_keep():
    with pytest.raises(NoteError, match=r"stemwright keep SONG STEM"):
        parse("that's it, don't touch it", targets_of(SONG), VOCABULARY)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("piano: more bight", "bight: no word that is known; could be: bright, tight, light; "),
        ("more bite", "for whom? write a stem, a role or a family before it, as in Piano 01.wav: more bite"),
        ("the hats drool a bit", "drool: no word that is known; "),
        ("tame the hats", "tame what of it? say what is heard: tame the hats, less harsh; tame the hats, quieter"),
        ("the hats sound cheap", "cheap: something is to change, and not what; say what is heard"),
        ("high-pass the hats", "at which frequency? write it, as in high pass the hats at 100 Hz"),
        ("piano: bite", "bite without a direction; write more bite, less bite or bite +2 dB"),
        ("piano: -2 dB more bite", "-2 dB and more bite point two ways; leave one out"),
        ("piano: bite +13 dB", "13 dB in one go; a note may ask for up to 12 dB"),
        ("more bite on the organ", "no organ in this song; its stems: Piano 01.wav, "),
        ("drums but drums: darker", "no stem is left after the exceptions"),
    ],
)
def test_what_is_not_understood_stops_the_whole_note_and_says_what_was(text, reason):
    with pytest.raises(NoteError) as caught:
        parse(
            f"{text}; kick: less boomy" if text == "more bite" else f"kick: less boomy; {text}", targets_of(SONG), VOCABULARY
        )
    assert "so nothing was done" in str(caught.value)
    assert f"    {reason}" in str(caught.value)
    assert "understood: kick: less boomy" in str(caught.value)


@given(st.permutations(["the piano needs more bite", "hats are harsh", "kick -3 at 250"]),
       st.sampled_from(["", "please ", "hey, could you "]),
       st.sampled_from([str, str.upper, str.title]), st.sampled_from(["; ", ". ", "\n- ", "!\n"]))  # fmt: skip
def test_order_politeness_case_and_punctuation_change_nothing(parts, polite, case, between):
    found = parse(case(between.join(polite + part for part in parts)), targets_of(SONG), VOCABULARY).asks
    plain = {(ask.stems, ask.word, ask.amount, ask.exact) for ask in found}
    assert plain == {
        (ask.stems, ask.word, ask.amount, ask.exact)
        for part in parts
        for ask in parse(part, targets_of(SONG), VOCABULARY).asks
    }


def test_a_name_that_is_a_word_too_is_the_name_first():
    song = (Stem("Punch.wav", "clap", "drums"), *SONG)
    assert asks("punch louder", song) == [({"Punch.wav"}, "loud", 1.0, None)]
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
    with pytest.raises(TargetError, match=r"^no stem, role or family has this name \(kicx\); did you mean kick\?"):
        targets.find("kicx")


WORDS = st.sampled_from(["piano", "hats", "more", "less", "bite", "muddy", "a little", "but", "and", ",", ":", ";", ".", "+2 dB", "the",
                         "everything", "except", "too", "x", "louder", '"', "\n"])  # fmt: skip


@given(st.one_of(st.text(max_size=60), st.lists(WORDS, max_size=14).map(" ".join)))
def test_any_text_is_either_understood_or_refused_with_a_reason(text):
    try:
        found = parse(text, targets_of(SONG), VOCABULARY)
    except NoteError:
        return
    assert found.asks or found.backs
    for ask in found.asks:
        assert ask.stems
        assert set(ask.stems) <= {stem.stem for stem in SONG}
        assert ask.amount != 0


def test_a_role_of_that_very_name_counts_before_what_several_are_called():
    song = (*SONG, Stem("EP soft.wav", "keys", "music"))
    assert asks("keys: more bite", song) == [({"EP soft.wav"}, "bite", 1.0, None)]
    assert asks("keys: more bite", SONG) == [({PIANO}, "bite", 1.0, None)]


BAND = (
    Stem("909_CH.wav", "hats", "drums"),
    Stem("909_OH.wav", "hats", "drums"),
    Stem("909_Ride.wav", "cymbals", "drums"),
    Stem("B4_Horns.wav", "brass", "music"),
    Stem("B4_BariSax.wav", "woodwinds", "music"),
    Stem("17_B3.wav", "organ", "music"),
    Stem("SubDrone.wav", "sub bass", "music"),
    Stem("GlassPad.wav", "pad", "music"),
    Stem("SY_Lead.wav", "synth lead", "music"),
    Stem("MV_Lead.wav", "lead vocal", "vocals"),
)


# Which file each name means: what stands in the file's name, or what the trade calls it. Common practice, no source.
@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("open hat", "909_OH.wav"),
        ("closed hat", "909_CH.wav"),
        ("OH", "909_OH.wav"),
        ("horns", "B4_Horns.wav"),
        ("B3", "17_B3.wav"),
        ("drone", "SubDrone.wav"),
        ("lead", "MV_Lead.wav"),
    ],
)
def test_a_name_that_stands_in_a_file_s_name_means_that_file(name, stem):
    assert asks(f"{name}: 1 dB louder", BAND) == [({stem}, "loud", 1.0, 1.0)]


@pytest.mark.parametrize("name", ["flute", "tuba", "clarinet"])
def test_an_instrument_is_not_another_one_of_its_section(name):
    with pytest.raises(NoteError, match=f"no {name} in this song"):
        asks(f"{name} louder", BAND)


def test_a_shaker_alone_is_no_drums():
    with pytest.raises(NoteError, match="no drums in this song"):
        asks("drums too loud", (Stem("egg.wav", "shaker", "drums"), SONG[0]))


@pytest.mark.parametrize("text", ["piano down 3 at 3k? sorry I mean 300", "piano +2 at 2k, no wait -2 at 3k"])
def test_a_figure_that_is_taken_back_while_writing_is_refused(text):
    with pytest.raises(NoteError, match="takes back what it has just said"):
        asks(text)


@pytest.mark.parametrize("text", ["keep the 280 cut on the kick", "kick: bite. Keep the kick at -3"])
def test_what_was_set_and_is_to_be_kept_asks_for_nothing(text):
    found = read(text, targets_of(SONG), VOCABULARY)
    assert (found.asks, found.backs, found.kept_off) == ([], [], [KICK])


def test_a_stem_that_is_not_to_go_back_stays():
    found = read("the kick like pass 2, but not the hats like pass 2", targets_of(SONG), VOCABULARY)
    assert [(back.stems, back.way, back.number) for back in found.backs] == [((KICK,), "pass", 2)]
    assert found.kept_off == [HATS]


@pytest.mark.parametrize(("text", "stems"), [("you moved the kick. move it back", (KICK,)), ("rev 2 for the kick", (KICK,))])
def test_a_move_that_is_spoken_of_as_made_is_taken_back(text, stems):
    assert [back.stems for back in read(text, targets_of(SONG), VOCABULARY).backs] == [stems]


def test_between_two_frequencies_is_a_range():
    (ask,) = parse("piano -2 dB between 180 and 240", targets_of(SONG), VOCABULARY).asks
    assert dict(ask.exact.settings) == {"freq_hz": 207.85, "gain_db": -2.0, "q": 3.4641}  # sqrt(180 240); that over 60


def test_a_time_before_a_complaint_is_no_gain():
    found = read("0.22 hats too loud", targets_of(SONG), VOCABULARY)
    assert (found.asks, [each.kind.name for each in found.not_ours]) == ([], ["automation"])


def test_brighter_that_is_not_wanted_is_not_darker():
    with pytest.raises(NoteError):
        asks("The piano isn't dull and I don't want it brighter")


def test_the_rest_that_something_is_held_against_is_not_what_is_meant():
    found = read("Kick is boomy, one note rings way more than the rest", targets_of(SONG), VOCABULARY)
    assert {ask.stems for ask in found.asks} == {(KICK,)}
