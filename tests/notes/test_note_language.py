"""The note language: what each sentence asks of which stems, and that nothing is guessed."""

from __future__ import annotations

import re
import shlex
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright.notes import language
from stemwright.notes.callnames import CallNames
from stemwright.notes.language import LONGEST_NOTE, NoteError, parse, read
from stemwright.notes.targets import TargetError, targets_of
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
        ("I can't hear the piano when the guitars come in", (PIANO,), (LEFT, RIGHT)),
        ("When the guitars kick in, I can't hear the piano.", (PIANO,), (LEFT, RIGHT)),
        ("the piano gets lost when the guitars kick in", (PIANO,), (LEFT, RIGHT)),
        ("the piano is buried compared to the guitars", (PIANO,), (LEFT, RIGHT)),
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
    Stem("17_C2.wav", "organ", "music"),
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
        ("C2", "17_C2.wav"),
        ("drone", "SubDrone.wav"),
        ("lead", "MV_Lead.wav"),
    ],
)
def test_a_name_that_stands_in_a_file_s_name_means_that_file(name, stem):
    assert asks(f"{name}: 1 dB louder", BAND) == [({stem}, "loud", 1.0, 1.0)]


@pytest.mark.parametrize(
    ("shut", "open_"), [("HH zu.wav", "HH offen.wav"), ("TRAM-HH CL.wav", "TRAM-HH OP.wav"), ("hat-c.wav", "hat-o.wav")]
)
def test_open_and_closed_hats_are_told_apart_by_short_forms(shut, open_):
    song = (Stem(shut, "hats", "drums"), Stem(open_, "hats", "drums"))
    assert asks("open hat: 1 dB louder", song) == [({open_}, "loud", 1.0, 1.0)]
    assert asks("closed hat: 1 dB louder", song) == [({shut}, "loud", 1.0, 1.0)]
    assert asks("hats: 1 dB louder", song) == [({shut, open_}, "loud", 1.0, 1.0)]


TWO = (
    Stem("guitar.wav", "guitar", "music"),
    Stem("guitar 2.wav", "guitar", "music"),
    Stem("hat.wav", "hats", "drums"),
    Stem("hat open.wav", "hats", "drums"),
    Stem("keys.wav", "keys", "music"),
)


@pytest.mark.parametrize(
    ("name", "stems"),
    [("guitars", {"guitar.wav", "guitar 2.wav"}), ("all guitars", {"guitar.wav", "guitar 2.wav"}), ("hat", {"hat.wav"})],
)
def test_many_means_also_those_with_a_number(name, stems):
    assert asks(f"{name}: 1 dB louder", TWO) == [(stems, "loud", 1.0, 1.0)]


ACCENTED = (
    Stem("Güiro.wav", "percussion", "drums"),
    Stem("Viento.wav", "brass", "music"),
    Stem("кий.wav", None, None),
    Stem("Superéclair 2.wav", None, None),
    Stem("Trío Alto Norte 2.wav", None, None),
)


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("guiro", "Güiro.wav"),
        ("güiro", "Güiro.wav"),
        ("the viénto", "Viento.wav"),
        ("кий", "кий.wav"),
        ("éclair", "Superéclair 2.wav"),
        ("eclair", "Superéclair 2.wav"),
        ("norte trio", "Trío Alto Norte 2.wav"),
    ],
)
def test_accents_need_not_be_written(name, stem):
    assert asks(f"{name}: 1 dB louder", ACCENTED) == [({stem}, "loud", 1.0, 1.0)]


@pytest.mark.parametrize("word", ["güiro", "guiro"])
def test_an_accent_that_a_name_lacks_may_be_written(word):
    assert targets_of(ACCENTED).with_word(word) == ("Güiro.wav",)
    assert CallNames([("Güiro Seco.wav", None, None)], {}).has_words("Güiro Seco.wav", ("guiro",))
    assert asks(
        f"{word}: 1 dB louder", (Stem("Guiro 1.wav", "percussion", "drums"), Stem("Timba.wav", "percussion", "drums"))
    )[0][0] == {"Guiro 1.wav"}


@pytest.mark.parametrize(
    "said", ["no need to turn up the keys", "there's no need for more bite on the keys", "No need to lift the keys"]
)
def test_what_needs_not_be_is_not_asked(said):
    with pytest.raises(NoteError):
        asks(said)
    assert [stems for stems, *_ in asks(f"{said}. The hats are too loud")] == [{HATS}]


@pytest.mark.parametrize("name", ["flute", "tuba", "clarinet"])
def test_an_instrument_is_not_another_one_of_its_section(name):
    with pytest.raises(NoteError, match=f"no {name} in this song"):
        asks(f"{name} louder", BAND)


def test_a_shaker_alone_is_no_drums():
    with pytest.raises(NoteError, match="no drums in this song"):
        asks("drums too loud", (Stem("egg.wav", "shaker", "drums"), SONG[0]))


def test_a_level_held_against_another_without_a_verb_is_asked_about():
    with pytest.raises(NoteError, match="is it too much, or wanted"):
        asks("hats louder than the kick")
    assert asks("make the hats louder than the kick")[0][1:3] == ("loud", 1.0)


@pytest.mark.parametrize("text", ["piano down 3 at 3k? sorry I mean 300", "piano +2 at 2k, no wait -2 at 3k"])
def test_a_figure_that_is_taken_back_while_writing_is_refused(text):
    with pytest.raises(NoteError, match="takes back what it has just said"):
        asks(text)


@pytest.mark.parametrize("text", ["keep the 280 cut on the kick", "kick: bite. Keep the kick at -3"])
def test_what_was_set_and_is_to_be_kept_asks_for_nothing(text):
    found = read(text, targets_of(SONG), VOCABULARY)
    assert (found.asks, found.backs, found.kept_off) == ([], [], [KICK])


def test_what_is_only_to_be_left_as_it_is_can_be_signed_off():
    with pytest.raises(NoteError, match=r"\[approval\]; to sign off: stemwright keep SONG") as refused:
        asks("the kick and the hats are fine, leave them")
    assert all(f"'{stem}'" in str(refused.value) or f" {stem}" in str(refused.value) for stem in (KICK, HATS))
    for text in ("leave the kick and frobnicate the hats", "leave the kick, longer reverb on the hats please"):
        with pytest.raises(NoteError) as refused:
            asks(text)
        assert "sign off" not in str(refused.value)


@pytest.mark.parametrize(
    ("text", "number"),
    [("kick back to version two", 2), ("the kick like in version one, thank you", 1), ("kick like in pass four", 4)],
)
def test_a_pass_is_named_by_a_number_in_words(text, number):
    backs = read(text, targets_of(SONG), VOCABULARY).backs
    assert [(back.stems, back.way, back.number) for back in backs] == [((KICK,), "pass", number)]


def test_one_of_is_no_number():
    assert not read("the version one of us made has more kick", targets_of(SONG), VOCABULARY).backs


@pytest.mark.parametrize("text", ["halve what you did to the kick", "kick: halve the change", "meet me halfway on the kick"])
def test_to_halve_is_half_of_that(text):
    backs = read(text, targets_of(SONG), VOCABULARY).backs
    assert [(back.stems, back.way, back.share) for back in backs] == [((KICK,), "scale", 0.5)]


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


@pytest.mark.parametrize(
    "text",
    ["piano brighter. same for the hats", "piano brighter. the hats need the same", "piano brighter, same with the hats"],
)
def test_the_same_for_others_asks_it_of_them(text):
    assert asks(text) == [({PIANO}, "bright", 1.0, None), ({HATS}, "bright", 1.0, None)]


def test_the_same_as_nothing_keeps_nothing_off():
    found = read("same for the hats", targets_of(SONG), VOCABULARY)
    assert (found.asks, found.kept_off, found.problems) == (
        [],
        [],
        [("same for the hats", "the same as what? write it out")],
    )


@pytest.mark.parametrize("text", ["drums louder but not the kick", "everything but the kick and the piano: darker",
                                  "everything -1 dB except the hats", "the guitars are a bit boxy, but not harsh",
                                  "drums, not the kick, brighter", "piano: more bite, subtle"])  # fmt: skip
def test_the_rest_that_is_offered_reads_back_to_the_same_asks(text):
    whole = read(f"more reverb on the vocal; {text}", targets_of(SONG), VOCABULARY)
    again = read("; ".join(whole.rest), targets_of(SONG), VOCABULARY)

    def plain(reading):
        return [(ask.stems, ask.word, ask.amount, ask.gain_db, ask.exact) for ask in reading.asks]

    assert whole.not_ours
    assert plain(whole)
    assert plain(again) == plain(whole)


@pytest.mark.parametrize("text", ["vocal +1 or +2", "vocal +1 dB or +2 dB", "vocal +1 +2"])
def test_of_two_gains_none_is_taken(text):
    found = read(text, targets_of(SONG), VOCABULARY)
    assert not found.asks
    assert found.problems


# The middle of a range, whether its sign is written once, twice or as a verb: arithmetic.
@pytest.mark.parametrize(
    "text",
    ["kick -3 to -4 dB", "kick 3 to 4 dB down", "kick -3 to 4 dB", "kick down 3 or 4 dB", "kick minus 3 to minus 4 dB"],
)
def test_a_range_of_gains_is_its_middle(text):
    assert asks(text) == [({KICK}, "loud", 1.0, -3.5)]


@pytest.mark.parametrize(
    ("text", "figure"),
    [
        ("piano darker; undo the hats; 2 dB", "2 dB"),
        ("undo the hats 2 dB", "2 dB"),
        ("undo the hats, Q 3", "Q 3"),
        ("piano like pass 2, 3 dB", "3 dB"),
        ("piano 24 dB/oct", "24 dB/oct"),
        ("hats brighter. 24 dB/oct", "24 dB/oct"),
        ("piano brighter Q 3", "Q 3"),
        ("high-pass the kick at 30, it was 3 dB", "3 dB"),
    ],
)
def test_a_figure_that_nothing_takes_up_stops_the_note(text, figure):
    with pytest.raises(NoteError, match=re.escape(f"{figure}: of what? nothing else in")):
        parse(text, targets_of(SONG), VOCABULARY)


def test_a_figure_that_tells_which_move_is_no_figure_too_many():
    (back,) = read("undo the 2 dB on the hats", targets_of(SONG), VOCABULARY).backs
    assert (back.stems, back.way) == ((HATS,), "before")


WAYS = ["louder", "brighter", "darker", "less harsh", "a bit warmer", "more punch", "less mud", "1 dB quieter"]


@given(st.sampled_from(["drums", "guitars", "kick", "vocal"]), st.sampled_from(WAYS),
       st.sampled_from(["", "all ", "all the ", "all of the "]),
       st.sampled_from(["", ", too", " too", " as well", ", also"]))  # fmt: skip
def test_all_and_too_never_turn_an_ask_round(name, way, every, also):
    if every == "all " and name in ("kick", "vocal"):
        every = "the "
    assert asks(f"{every}{name} {way}{also}") == asks(f"{name} {way}")


@pytest.mark.parametrize("text", ["piano: no more than 2 dB brighter", "kick up to 3 dB", "hats at most 2 dB darker"])
def test_a_limit_is_no_request(text):
    with pytest.raises(NoteError, match="a limit is no request"):
        parse(text, targets_of(SONG), VOCABULARY)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("kick notch at 90, 20 dB", "20 dB in one go; a note may ask for up to 12 dB"),
        ("kick -3 at 250, 20 dB", "20 dB in one go"),
        ("piano darker, 40 dB", "40 dB in one go"),
        ("kick darker, 0 dB", "0 dB in one go"),
        ("kick -3 at 250, Q 500", "a Q of 500; a bell has 0.1 to 60"),
        ("high pass the kick at 100, 7 dB/oct", "7 dB/oct; a pass filter has 6, 12, 18, 24, 36, 48"),
        ("high pass the kick at 100, Q 4", "4 Q is nothing that a high-pass has"),
        ("kick -3 at 250, 24 dB/oct", "24 dB/oct is nothing that a bell has"),
    ],
)
def test_what_an_amendment_may_not_ask_is_refused(text, why):
    with pytest.raises(NoteError, match=re.escape(why)):
        parse(text, targets_of(SONG), VOCABULARY)


@pytest.mark.parametrize(
    "text", ["high pass the kick at 100, 24 dB/oct", "high pass the kick at 100 24 dB/oct", "kick hp 100 Hz 24 dB"]
)
def test_the_slope_of_a_pass_filter_is_taken(text):
    (ask,) = parse(text, targets_of(SONG), VOCABULARY).asks
    assert dict(ask.exact.settings) == {"freq_hz": 100.0, "slope_db_oct": 24.0}


@pytest.mark.parametrize("text", ["half the harshness on the hats", "hats less harsh by half"])
def test_half_of_a_word_of_sound_is_half_a_step_of_it(text):
    assert asks(text) == [({HATS}, "harsh", -0.5, None)]


@pytest.mark.parametrize("text", ["piano less mud, more air, tighter low end", "piano: less mud, more air, tighter low end"])
def test_in_a_list_about_one_stem_a_name_that_is_also_a_sound_is_the_sound(text):
    assert asks(text) == [({PIANO}, "muddy", -1.0, None), ({PIANO}, "air", 1.0, None), ({PIANO}, "tight", 1.0, None)]


@pytest.mark.parametrize(
    ("text", "word", "sign"),
    [
        ("hats harsh in the highs", "harsh", -1.0),
        ("the hats have a harsh top end", "harsh", -1.0),
        ("hats: more top", "bright", 1.0),
    ],
)
def test_a_part_of_the_spectrum_behind_a_word_of_sound_says_where(text, word, sign):
    assert asks(text) == [({HATS}, word, sign, None)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("the left hand of the piano is muddy with the kick", [({PIANO}, "muddy", -1.0, None)]),
        ("If I'm being fussy the piano is boxy", [({PIANO}, "boxy", -1.0, None)]),
        ("it would be great if the vocal were brighter", [({VOX}, "bright", 1.0, None)]),
        ("the vocal a bit over the guitars", [({VOX}, "loud", 0.7, None)]),
        ("the vocal needs to be above the piano", [({VOX}, "loud", 1.0, None)]),
        ("hats under the kick please", [({HATS}, "loud", -1.0, None)]),
        ("I don't want the piano so bright", [({PIANO}, "bright", -1.0, None)]),
        ("piano less bright but not dull", [({PIANO}, "bright", -1.0, None)]),
        ("piano a little back in the picture", [({PIANO}, "back", 0.7, None)]),
        ("kick: knock 2 dB off", [({KICK}, "loud", 1.0, -2.0)]),
        ("a bit less piano a bit more hats", [({PIANO}, "loud", -0.7, None), ({HATS}, "loud", 0.7, None)]),
        ("could you thin the piano a bit", [({PIANO}, "thin", 0.7, None)]),
        ("the kick hits like a pillow", [({KICK}, "muffled", -1.0, None)]),
        ("what happened to the vocal's air?", [({VOX}, "air", 1.0, None)]),
        ("the hats drown everything", [({HATS}, "loud", -1.0, None)]),
        ("the piano is tripping over itself, pull it down", [({PIANO}, "loud", -1.0, None)]),
        ("glad the hats are quieter. Piano darker", [({PIANO}, "dark", 1.0, None)]),
        ("the hats louder and the piano softer on the ears", [({HATS}, "loud", 1.0, None), ({PIANO}, "smooth", 1.0, None)]),
        ("the growl of the piano is gone", [({PIANO}, "mids", 1.0, None)]),
        ("the mud in the piano is gone. Hats darker", [({HATS}, "dark", 1.0, None)]),
        ("the vocal needs to be heard", [({VOX}, "loud", 1.0, None)]),
        ("after 10 minutes the hats get harsh", [({HATS}, "harsh", -1.0, None)]),
        ("the hats were tracked glockishly in the flummery and are too harsh", [({HATS}, "harsh", -1.0, None)]),
        ("Tried it in the van with the volume up. Piano darker.", [({PIANO}, "dark", 1.0, None)]),
        ("Thanks for turning it round so fast! Piano darker.", [({PIANO}, "dark", 1.0, None)]),
        ("We put it in the set between two others. Piano darker.", [({PIANO}, "dark", 1.0, None)]),
        ("Played it on the rig before doors. Piano darker.", [({PIANO}, "dark", 1.0, None)]),
        ("v3 on the small speakers: piano darker", [({PIANO}, "dark", 1.0, None)]),
        ("all fine until the hats come in, piano darker", [({PIANO}, "dark", 1.0, None)]),
        ("piano too polite, more bite", [({PIANO}, "bite", 1.0, None)]),
        ("the kick's wallop is perfect. Piano darker", [({PIANO}, "dark", 1.0, None)]),
        ("could I be a bit warmer", [({VOX}, "warm", 0.7, None)]),
        ("I sound like a telephone", [({VOX}, "tinny", -1.0, None)]),
        ("the hats, they louder than the kick", [({HATS}, "loud", -1.0, None)]),
        ("is the piano meant to be that bright?", [({PIANO}, "bright", -1.0, None)]),
        ("the kick is more pillow than fist", [({KICK}, "muffled", -1.0, None)]),
        ("the piano softer", [({PIANO}, "quiet", 1.0, None)]),
        ("piano 2 dB softer", [({PIANO}, "quiet", 1.0, 2.0)]),
        ("piano softer in tone", [({PIANO}, "soft", 1.0, None)]),
        ("love it. The piano is muddying up the mix", [({PIANO}, "muddy", -1.0, None)]),
        ("the piano clouds the whole hook", [({PIANO}, "muddy", -1.0, None)]),
        ("piano: all click and no body", [({PIANO}, "attack", -1.0, None), ({PIANO}, "thin", -1.0, None)]),
        ("drop is huge. Piano darker", [({PIANO}, "dark", 1.0, None)]),
        ("low pass on the piano, 9 kHz", [({PIANO}, "low pass", 1.0, None)]),
    ],
)  # fmt: skip
def test_sentences_around_an_ask(text, expected):
    assert asks(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "hats: more flummery",
        "the hats are flummery and harsh",
        "piano darker, hats flummery",
        "less flummery on the hats, please",
    ],
)
def test_a_word_nobody_knows_stops_the_note_where_what_is_asked_for_would_stand(text):
    with pytest.raises(NoteError, match="flummery: no word that is known"):
        parse(text, targets_of(SONG), VOCABULARY)


def test_a_word_nobody_knows_beside_several_stems_may_say_which_and_stops_the_note():
    song = (*SONG, Stem("snare.wav", "snare", "drums"))
    with pytest.raises(NoteError, match="flummery"):
        asks("the flummery drums are too boxy", song)


@pytest.mark.parametrize("talk", ["That's where most listeners will be.", "There was a crate of oranges."])
def test_talk_beside_a_wish_is_passed_over_and_told(talk):
    found = read(f"piano less harsh. {talk}", targets_of(SONG), VOCABULARY)
    assert [(ask.word, ask.stems) for ask in found.asks] == [("harsh", (PIANO,))]
    assert not found.problems
    assert len(found.passed_over) == 1


@pytest.mark.parametrize("text", ["the bass on my beat is dull", "the bass in the music is dull"])
def test_where_a_stem_is_does_not_widen_what_is_meant(text):
    song = (*SONG, Stem("bass.wav", "bass", "music"))
    found = read(text, targets_of(song), VOCABULARY)
    assert [(ask.word, ask.stems) for ask in found.asks] == [("dull", ("bass.wav",))]


def test_a_part_of_a_stem_that_is_not_there_is_no_other_stem():
    song = (*tuple(stem for stem in SONG if stem.role != "kick"), Stem("bass.wav", "bass", "music"))
    with pytest.raises(NoteError, match="no kick in this song"):
        asks("the low end of the kick is dull", song)


GUITARS = (*SONG, Stem("Gtr Ida.wav", "guitar", "music"), Stem("Gtr Bo.wav", "guitar", "music"))


def test_my_guitar_is_the_one_with_the_speakers_name_and_nobody_elses_guess():
    found = read("my guitar is dull", targets_of(GUITARS, "Bo"), VOCABULARY)
    assert [ask.stems for ask in found.asks] == [("Gtr Bo.wav",)]
    for by in (None, "Kim"):
        assert "whose guitar? name one of: " in read("my guitar is dull", targets_of(GUITARS, by), VOCABULARY).problems[0][1]
    assert len(read("my guitars are dull", targets_of(GUITARS), VOCABULARY).asks[0].stems) >= 2


def test_not_everything_can_be_buried():
    with pytest.raises(NoteError, match="name what is covered"):
        asks("everything is buried")
    assert [ask[1] for ask in asks("everything but the kick is buried")] == ["buried"]


def test_a_singers_name_is_the_lead_whatever_else_he_plays():
    song = (
        Stem("Bo Lead.wav", "lead vocal", "vocals"),
        Stem("Bo double.wav", "doubles", "vocals"),
        Stem("uke Bo.wav", "guitar", "music"),
        *SONG[2:3],
    )
    assert [ask[0] for ask in asks("a little more Bo", song)] == [{"Bo Lead.wav"}]


def test_before_something_begins_is_no_way_back():
    assert not read("piano darker before the song begins", targets_of(SONG), VOCABULARY).backs
    assert read("piano like before the change", targets_of(SONG), VOCABULARY).backs


def test_a_verb_does_not_stand_behind_an_article():
    assert not read("the kick is a monster", targets_of(SONG), VOCABULARY).asks


def test_one_letter_is_no_name():
    song = (*SONG, Stem("B3 organ.wav", "organ", "music"))
    assert [ask.stems for ask in read("B3 is boomy", targets_of(song), VOCABULARY).asks] == [("B3 organ.wav",)]
    with pytest.raises(NoteError, match="for whom"):
        asks("the low B is boomy", song)


@pytest.mark.parametrize("wish", ["More gravitas.", "Too cratey.", "The hats are gronky.", "Less crate."])
def test_a_wish_in_words_nobody_knows_is_never_talk(wish):
    found = read(f"piano less harsh. {wish}", targets_of(SONG), VOCABULARY)
    assert found.problems or len(found.asks) == 2


def test_what_is_passed_over_is_told():
    found = read("the piano was tracked flummerously by my aunt; piano darker", targets_of(SONG), VOCABULARY)
    assert [ask.word for ask in found.asks] == ["dark"]
    assert found.passed_over


@pytest.mark.parametrize(
    ("text", "front"),
    [("kick and piano are fighting. The kick should win.", KICK), ("kick and piano are fighting, the kick should yield", PIANO),
     ("carve the piano so we hear the kick", KICK), ("make space in the piano for the kick", KICK)],
)  # fmt: skip
def test_who_comes_first_of_two_is_understood(text, front):
    (relation,) = read(text, targets_of(SONG), VOCABULARY).relations
    assert relation.front == (front,)


def test_filters_one_behind_the_other_are_two_moves():
    found = parse("piano hpf 80 lpf 10k", targets_of(SONG), VOCABULARY).asks
    assert [(ask.exact.kind, dict(ask.exact.settings)["freq_hz"]) for ask in found] == [
        ("high_pass", 80.0),
        ("low_pass", 10_000.0),
    ]


def test_a_frequency_its_gain_and_q_listed_are_one_move():
    (ask,) = parse("piano: bell at 98 Hz, minus 3 dB, Q 4", targets_of(SONG), VOCABULARY).asks
    assert dict(ask.exact.settings) == {"freq_hz": 98.0, "gain_db": -3.0, "q": 4.0}


DRUMS = (
    Stem("03 OH L.wav", "cymbals", "drums"),
    Stem("04 OH R.wav", "cymbals", "drums"),
    Stem("05 Ride.wav", "cymbals", "drums"),
    Stem("06 Bass Mic.wav", "bass", "music"),
    Stem("07 Bass DI.wav", "bass", "music"),
    Stem("08 hh.wav", "hats", "drums"),
    Stem("09 open hat.wav", "hats", "drums"),
    Stem("10 Room.wav", "drum bus", "drums"),
    Stem("11 Noise Sweep.wav", "effects", "music"),
    Stem("12 Gtr Fuzz.wav", "guitar", "music"),
    Stem("13 Gtr Jangle.wav", "guitar", "music"),
)  # fmt: skip


# Which files each name means: what stands in the file's name, or what the trade calls it. Common practice, no source.
@pytest.mark.parametrize(
    ("name", "stems"),
    [
        ("overheads", {"03 OH L.wav", "04 OH R.wav"}),
        ("bass mic", {"06 Bass Mic.wav"}),
        ("the DI", {"07 Bass DI.wav"}),
        ("hats", {"08 hh.wav", "09 open hat.wav"}),
        ("the room mic", {"10 Room.wav"}),
        ("noise sweep", {"11 Noise Sweep.wav"}),
        ("the fuzz", {"12 Gtr Fuzz.wav"}),
    ],
)
def test_a_name_means_the_files_that_are_called_so(name, stems):
    assert asks(f"{name}: 1 dB louder", DRUMS) == [(stems, "loud", 1.0, 1.0)]


@pytest.mark.parametrize("text", ["it lacks bottom in general", "a bit tinny overall", "it all sounds boxy"])
def test_a_sound_wished_of_the_mix_as_such_asks_which_stems_carry_it(text):
    with pytest.raises(NoteError, match="name the stems that carry it, or write everything"):
        parse(text, targets_of(SONG), VOCABULARY)


def test_of_everything_by_that_name_it_is_asked():
    assert asks("everything a bit darker") == [({stem.stem for stem in SONG[:6]}, "dark", 0.7, None)]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("we need the tempo a touch slower, and the doubles onto the grid", "timing-tuning"),
        ("l should be r", "pan-width"),
        ("trim the count at the top", "edit-mute"),
        ("mehr Hall auf den Gesang", "reverb-delay"),
        ("la voz a la izquierda", "pan-width"),
        ("slam the limiter", "dynamics"),
        ("more grit on the kick", "distortion"),
    ],
)
def test_work_that_is_not_ours_is_named_however_it_is_said(text, name):
    assert name in {each.kind.name for each in read(text, targets_of(SONG), VOCABULARY).not_ours}


# What the words mean in a dictionary of each language.
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("el piano suena apagado", [({PIANO}, "muffled", -1.0, None)]),
        ("piano: m\u00e1s brillo", [({PIANO}, "bright", 1.0, None)]),
        ("kick: mehr Druck", [({KICK}, "punch", 1.0, None)]),
        ("piano plus doux", [({PIANO}, "smooth", 1.0, None)]),
        ("piano: pi\u00f9 corpo", [({PIANO}, "body", 1.0, None)]),
        ("piano muito grave", [({PIANO}, "boomy", -1.0, None)]),
    ],
)  # fmt: skip
def test_common_words_of_other_languages_are_understood(text, expected):
    assert asks(text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("the piano is boxy. Sounds like I'm hitting crates", [({PIANO}, "boxy", -1.0, None)]),
        ("We love the piano, but cannot understand the words", [({VOX}, "presence", 1.0, None)]),
        ("the kick needs to cut through the piano more", [({KICK}, "bite", 1.0, None)]),
        ("We recorded it in a dry hall. Piano darker", [({PIANO}, "dark", 1.0, None)]),
        ("kick up 2 dB", [({KICK}, "loud", 1.0, 2.0)]),
        ("the piano is boomy; the vocal I only feel. Tame the boom", [({PIANO}, "boomy", -1.0, None)]),
    ],
)  # fmt: skip
def test_whom_and_what_a_clause_is_about(text, expected):
    assert asks(text) == expected


def test_a_verb_that_only_ends_like_a_name_s_plural_is_no_name():
    assert (
        read("my aunt hates it", targets_of(SONG), VOCABULARY).problems
        == read("my aunt loathes it", targets_of(SONG), VOCABULARY).problems
    )


def test_a_move_that_is_undone_is_no_edit_and_one_that_was_killed_is_not_taken_off():
    found = read("undo the piano cut", targets_of(SONG), VOCABULARY)
    assert ([back.stems for back in found.backs], found.not_ours) == ([(PIANO,)], [])
    found = read("remove the notch from the kick, it killed the note", targets_of(SONG), VOCABULARY)
    assert [(back.stems, back.way) for back in found.backs] == [((KICK,), "notch")]


def test_a_plural_that_a_file_spells_short_is_that_file_and_no_other_of_its_group():
    song = (Stem("BRS_Hns.wav", "brass", "music"), Stem("BRS_Low.wav", "brass", "music"), Stem("Saw synth.wav", "synth", "music"),
            Stem("Pluck.wav", "pluck", "music"))  # fmt: skip
    assert asks("horns: 1 dB louder", song) == [({"BRS_Hns.wav"}, "loud", 1.0, 1.0)]
    assert asks("synths: 1 dB louder", song) == [({"Saw synth.wav", "Pluck.wav"}, "loud", 1.0, 1.0)]


def test_it_is_whom_the_last_ask_was_about():
    found = asks("kick darker. The vocal I only feel, the piano is boxy. Make it warmer")
    assert found == [({KICK}, "dark", 1.0, None), ({PIANO}, "boxy", -1.0, None), ({PIANO}, "warm", 1.0, None)]
    assert asks("The guitars dominate; the vocal has to lead. Pull them back 1 dB")[-1] == ({LEFT, RIGHT}, "loud", 1.0, -1.0)


def test_a_file_s_name_before_a_direction_is_the_name():
    assert asks("bump up 2 dB", (*SONG, Stem("Bump.wav", "effects", "music"))) == [({"Bump.wav"}, "loud", 1.0, 2.0)]


@pytest.mark.parametrize("but", ["cept", "other than", "save", "minus", "barring", "except for"])
def test_what_is_left_out_of_everything_is_never_what_is_changed(but):
    assert asks(f"more air on everything {but} the kick") == asks("more air on everything but the kick")


@pytest.mark.parametrize("text", ["everything brighter, not the kick", "everything brighter, not the kick."])
def test_not_and_a_name_behind_a_comma_leaves_it_out(text):
    assert asks(text) == asks("everything but the kick brighter")


@pytest.mark.parametrize("text", ["more air on everything frobs the kick", "everything brighter xcpt the kick"])
def test_everything_and_a_name_with_nothing_known_between_is_refused(text):
    with pytest.raises(NoteError, match="everything, or kick"):
        asks(text)


@pytest.mark.parametrize("text", ["can the hats come in later", "could the piano start earlier"])
def test_when_a_stem_begins_is_the_producers(text):
    found = read(text, targets_of(SONG), VOCABULARY)
    assert (found.asks, [each.kind.name for each in found.not_ours]) == ([], ["arrangement"])


def test_a_singers_name_is_the_lead_and_not_who_sings_behind():
    sung = (Stem("Ida lead vocal.wav", "lead vocal", "vocals"), Stem("Ida backing.wav", "backing vocals", "vocals"), SONG[2])
    assert asks("Ida's voice sounds dull", sung)[0][0] == {"Ida lead vocal.wav"}
