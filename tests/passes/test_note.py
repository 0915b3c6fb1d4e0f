"""Notes: only what they are about changes, they add up, they stay, and nothing is done by halves."""

from __future__ import annotations

import hashlib
import json

import numpy as np
import pytest
import soundfile

from stemwright.dsp.rings import PlannedNotch
from stemwright.errors import ManifestError, SongError
from stemwright.notes.language import NoteError
from stemwright.passes.keep import keep
from stemwright.passes.make import Maker
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.note import answer, plan_note
from stemwright.passes.song import open_song

STEMS = {"piano.wav": None, "HiHat 01_PRINT.wav": None, "kick.wav": None, "Aud 07.wav": None}
HATS = "HiHat 01_PRINT.wav"


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def tree(folder):
    return {path.relative_to(folder).as_posix(): sha256(path) for path in folder.rglob("*") if path.is_file()}


def note_gains(made, stem):
    return {move["name"]: move["gain_db"] for move in made.manifest.entries[stem].as_json()["moves"] if move["note"]}


def spectrum_db(path):
    audio, _ = soundfile.read(path)
    return 20 * np.log10(np.abs(np.fft.rfft(audio[:, 0])) + 1e-12)


def test_only_the_stem_a_note_is_about_changes_and_the_rest_is_the_same_bytes(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    before = tree(song)
    _, made = make_note(song, "piano: a little more bite, but subtle", by="Ann")
    assert (made.name, made.rendered, len(made.taken_over)) == ("pass-02", ("piano.wav",), 3)
    after = tree(song)
    assert {name: after[name] for name in before} == before
    for stem in set(STEMS) - {"piano.wav"}:
        assert after[f"passes/pass-02/stems/{stem}"] == before[f"passes/pass-01/stems/{stem}"]
        first, second = (soundfile.read(song / "passes" / name / "stems" / stem)[0] for name in ("pass-01", "pass-02"))
        assert not (first - second).any()
    because = {"kind": "note", "text": "piano: a little more bite, but subtle", "by": "Ann", "from": "pass-01"}
    assert made.manifest.as_json()["because"] == because


def test_the_note_is_heard_where_the_word_says(make_song, make_pass, make_note):
    # Arithmetic: a bell of +6 dB (bite +6 dB) lifts its own centre by 6 dB, within dither and the bell's slope in one bin.
    song = make_song(STEMS, seconds=1.0)
    make_pass(song)
    make_note(song, "piano: bite +6 dB")
    change = spectrum_db(song / "passes/pass-02/stems/piano.wav") - spectrum_db(song / "passes/pass-01/stems/piano.wav")
    assert np.median(change[2990:3011]) == pytest.approx(6.0, abs=0.05)  # 1 Hz a bin
    assert np.median(change[40:60]) == pytest.approx(0.0, abs=0.05)


def test_why_a_move_is_there_is_the_note_and_its_speaker(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    _, made = make_note(song, "kick: less boomy; piano: more bite", by="Ann")
    move = made.manifest.entries["piano.wav"].as_json()["moves"][-1]
    assert (move["name"], move["why"]) == ("note 1: bite", "note 1 by Ann: piano: more bite")
    assert (move["note"]["word"], move["note"]["meaning"], move["note"]["amount"]) == ("bite", "house", 1.0)


def test_notes_add_up_and_what_comes_to_nothing_goes_away(make_song, make_pass, make_note):
    # Amounts on paper: 1 - 0.5 = 0.5; 0.5 - 0.5 = 0.
    song = make_song(STEMS)
    first = make_pass(song).manifest.entries["piano.wav"].as_json()["output"]["sha256"]
    _, once = make_note(song, "piano: more bite")
    whole = note_gains(once, "piano.wav")["note 1: bite"]
    _, twice = make_note(song, "piano: a touch less bite")
    assert note_gains(twice, "piano.wav") == {"note 1: bite": pytest.approx(whole / 2, abs=0.005)}
    assert (
        twice.manifest.entries["piano.wav"].as_json()["moves"][-1]["why"]
        == "note 1: piano: more bite; note 2: piano: a touch less bite"
    )
    _, third = make_note(song, "piano: a touch less bite")
    assert note_gains(third, "piano.wav") == {}
    assert third.manifest.entries["piano.wav"].as_json()["output"]["sha256"] == first


def test_a_word_and_its_opposite_turn_one_move(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: brighter")
    _, made = make_note(song, "piano: a lot darker")
    gain = note_gains(made, "piano.wav")
    assert list(gain) == ["note 1: bright"]
    assert gain["note 1: bright"] < 0


def test_a_note_without_effect_makes_no_pass(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    _, made = make_note(song, "piano: bite +1 dB, bite -1 dB")
    assert made.name is None
    with pytest.raises(NoteError, match="for more and for less bite"):
        make_note(song, "piano: more bite, less bite")
    assert [path.name for path in (song / "passes").iterdir()] == ["pass-01"]


def test_a_later_prep_keeps_notes_on_top_of_recipes_that_changed(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    _, noted = make_note(song, "piano: more bite; kick: less boomy")
    assert make_pass(song).name is None
    (song / "recipes").mkdir()
    (song / "recipes" / "piano.yaml").write_text(
        "recipe: piano\nversion: 2\nbased_on: piano\nmoves:\n  - bell: {freq: 500 Hz, gain: -1 dB}\n    "
        "name: own\n    why: own\n",
        encoding="utf-8",
    )
    made = make_pass(song)
    assert made.rendered == ("piano.wav",)
    names = [move["name"] for move in made.manifest.entries["piano.wav"].as_json()["moves"]]
    assert names[-2:] == ["own", "note 1: bite"]
    assert (
        made.manifest.entries["piano.wav"].as_json()["moves"][-1]
        == noted.manifest.entries["piano.wav"].as_json()["moves"][-1]
    )


def test_a_note_can_reach_a_stem_no_recipe_takes_and_taking_it_back_restores_the_file(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    _, made = make_note(song, '"Aud 07.wav": 2 dB quieter')
    assert made.manifest.entries["Aud 07.wav"].as_json()["status"] == "prepped"
    assert make_pass(song).name is None
    _, back = make_note(song, '"Aud 07.wav": 2 dB louder')
    assert back.manifest.entries["Aud 07.wav"].as_json()["status"] == "left"
    assert sha256(song / "passes/pass-03/stems/Aud 07.wav") == sha256(song / "Aud 07.wav")


def test_a_stem_left_on_purpose_is_refused_by_name_and_passed_over_in_a_crowd(make_song, make_pass, make_note):
    session = "stems:\n  kick.wav: {leave: the artist is used to it}\n"
    song = make_song(STEMS, session)
    make_pass(song)
    with pytest.raises(NoteError, match=r"kick.wav: left as received on purpose"):
        make_note(song, "kick.wav: less boomy")
    plan, made = make_note(song, "all: a touch louder")
    assert "kick.wav" in made.taken_over
    assert plan.passed_over[0].startswith("kick.wav: left as received on purpose (the artist is used to it)")


def test_both_sides_of_a_pair_move_together(make_song, make_pass, make_note, noise):
    song = make_song({"gtr_L.wav": noise(0.17, channels=1), "gtr_R.wav": noise(0.17, channels=1, seed=1), "kick.wav": None})
    make_pass(song)
    _, made = make_note(song, "gtr: brighter")
    found = {stem: entry.as_json() for stem, entry in made.manifest.entries.items()}
    assert made.rendered == ("gtr_L.wav", "gtr_R.wav")
    assert found["gtr_L.wav"]["moves"][-1] == found["gtr_R.wav"]["moves"][-1]


@pytest.mark.parametrize(
    ("there", "back"),
    [
        ("piano: brighter", "piano: darker"),
        ("piano: more bite", "less bite on the piano"),
        ("piano: a touch muddier", "piano: a touch clearer"),
        ("kick up 2 dB", "kick down 2 dB"),
        ("kick +2 at 60", "kick -2 at 60"),
    ],
)
def test_a_note_and_its_opposite_give_the_plan_back(make_song, make_pass, make_note, there, back):
    song = make_song(STEMS)
    make_pass(song)
    plan, _ = make_note(song, there)
    before = {item.stem: item.moves for item in plan.last.items()}
    assert {item.stem: item.moves for item in plan.items} != before
    plan, _ = make_note(song, back)
    assert {item.stem: item.moves for item in plan.items} == before


def test_more_than_nine_db_in_one_band_is_flagged(make_song, make_pass, make_note):
    # Arithmetic on paper: 6 dB + 3 dB is 9 and not over it; one more is.
    song = make_song(STEMS)
    make_pass(song)
    plan, _ = make_note(song, "piano: bite +6 dB, bite +3 dB")
    assert plan.flagged == ()
    plan, _ = make_note(song, "piano: bite +1 dB")
    assert plan.flagged == (
        "piano.wav: its notes add up to +10 dB at 3 kHz, over 9 dB; the recipe or the recording may be what should change",
    )


def test_a_gain_out_of_its_range_is_refused(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    with pytest.raises(NoteError, match=r"bite: would come to \+36 dB; allowed: -24 dB to \+24 dB"):
        make_note(song, "piano: bite +12 dB, bite +12 dB, bite +12 dB")


def test_a_note_reads_nobody_elses_words_and_its_speakers_first(make_song, make_pass, make_note):
    song = make_song(STEMS)
    (song / "words").mkdir()
    (song / "words" / "ann.yaml").write_text(
        "by: Ann\nwords:\n  bite: {why: the pick, opposite: blunt, means: [{to: [piano], moves: [{bell: "
        "{freq: 4 kHz, gain: 1 dB}}]}]}\n",
        encoding="utf-8",
    )
    make_pass(song)
    plan, _ = make_note(song, "piano: more bite")
    assert plan.answered[0].asked.understood.source == "house"
    plan, made = make_note(song, "kick: more bite", by="ann")
    assert plan.answered[0].asked.understood.source == "house"  # her words say nothing of a kick
    make_note(song, "piano: less bite")
    _, made = make_note(song, "piano: more bite", by="ann")
    assert made.manifest.entries["piano.wav"].as_json()["moves"][-1]["freq_hz"] == 4000.0
    assert made.manifest.entries["piano.wav"].as_json()["moves"][-1]["note"]["meaning"] == "Ann"


def test_the_sheets_approver_is_the_speaker_where_nobody_is_named(make_song, make_pass, make_note):
    song = make_song(STEMS, "approver: Ann\n")
    make_pass(song)
    _, made = make_note(song, "piano: more bite")
    assert made.manifest.as_json()["because"]["by"] == "Ann"


def ring(song_audio, rate_hz=48_000):
    """A noise with one strong, narrow ring at 3 kHz."""
    from scipy.signal import iirpeak, lfilter

    b, a = iirpeak(3000, 40, fs=rate_hz)
    return song_audio * 0.3 + 6.0 * lfilter(b, a, song_audio, axis=0) * 0.3


def taking(song):
    """Give a song a recipe whose hats take rings; the house's only offer."""
    (song / "recipes").mkdir()
    recipe = "recipe: hats\nversion: 9\nbased_on: hats\nchange: {rings: {verdict: taken}}\n"
    (song / "recipes" / "hats.yaml").write_text(recipe, encoding="utf-8")
    return song


def test_less_ringing_deepens_the_notches_that_are_there_and_dead_eases_them(make_song, make_pass, make_note, noise):
    song = taking(make_song({HATS: ring(noise(seconds=6)), "piano.wav": None}))
    first = [move for move in make_pass(song).manifest.entries[HATS].as_json()["moves"] if move["found"]]
    assert first, "the ring must be found, or this test says nothing"
    _, made = make_note(song, "hats: less ringing")
    deeper = [move for move in made.manifest.entries[HATS].as_json()["moves"] if move["found"]]
    assert [(move["freq_hz"], move["q"]) for move in deeper] == [(move["freq_hz"], move["q"]) for move in first]
    for was, now in zip(first, deeper, strict=True):
        assert -was["found"]["excess_db"] - 0.01 <= now["gain_db"] < was["gain_db"]
    assert made.rendered == (HATS,)
    assert make_pass(song).name is None
    _, eased = make_note(song, "hats: more ringing")
    assert (
        eased.manifest.entries[HATS].as_json()["output"]["sha256"]
        == read_manifest(song / "passes/pass-01").entries[HATS].as_json()["output"]["sha256"]
    )
    with pytest.raises(NoteError, match=r"piano.wav: has no notch that a ring made"):
        make_note(song, "piano: less ringing")


@pytest.mark.parametrize("known", [True, False], ids=["known", "a pass of before it was known"])
def test_no_note_takes_a_notch_deeper_than_is_without_harm(make_song, make_pass, make_note, noise, monkeypatch, known):
    monkeypatch.setattr("stemwright.dsp.rings.decide.harmless_share", lambda *_: 0.5)
    if not known:
        told = PlannedNotch.found_as_json
        without = lambda notch: {key: value for key, value in told(notch).items() if key != "most_cut_db"}  # noqa: E731
        monkeypatch.setattr(PlannedNotch, "found_as_json", without)
    song = taking(make_song({HATS: ring(noise(seconds=6))}))
    (notch, *_) = (move for move in make_pass(song).manifest.entries[HATS].as_json()["moves"] if move["found"])
    excess_db = notch["found"]["excess_db"]
    assert ("most_cut_db" in notch["found"]) == known
    for _ in range(1 if known else 2):  # the first goes as far as it may, and a second would be refused
        _, made = make_note(song, "hats: much less ringing")
    (notch, *_) = (move for move in made.manifest.entries[HATS].as_json()["moves"] if move["found"])
    if known:
        assert notch["gain_db"] == pytest.approx(-excess_db / 2, abs=0.01)
    else:
        assert -excess_db - 0.01 <= notch["gain_db"] < -excess_db / 2 - 1


@pytest.mark.parametrize("text", ["piano: more bight", "all: less ringing", "nobody: darker", "kick: darker; piano: bite"])
def test_a_refused_note_writes_nothing(make_song, make_pass, make_note, text):
    song = make_song({"piano.wav": None, "kick.wav": None})
    make_pass(song)
    before = tree(song)
    with pytest.raises(NoteError):
        make_note(song, text)
    assert tree(song) == before


def test_a_stem_that_changed_since_is_refused_only_if_the_note_needs_it(make_song, make_pass, make_note, noise):
    song = make_song(STEMS)
    make_pass(song)
    soundfile.write(song / "piano.wav", noise(0.17, seed=9), 48_000, "PCM_24")
    (song / "kick.wav").unlink()
    with pytest.raises(SongError, match=r"(?s)2 of the stems as received.*kick.wav: missing\n  piano.wav: changed: sha256"):
        make_note(song, "kick.wav: less boomy; piano: brighter")
    _, made = make_note(song, "hats: less harsh")
    assert made.rendered == (HATS,)
    assert len(made.taken_over) == 3


def test_a_taken_over_file_that_was_damaged_is_rendered_from_its_plan(make_song, make_pass, make_note):
    song = make_song(STEMS)
    good = make_pass(song).manifest.entries["kick.wav"].as_json()["output"]["sha256"]
    (song / "passes/pass-01/stems/kick.wav").write_bytes(b"damaged")
    _, made = make_note(song, "piano: brighter")
    assert set(made.rendered) == {"kick.wav", "piano.wav"}
    assert sha256(song / "passes/pass-02/stems/kick.wav") == good
    (song / "passes/pass-02/stems/kick.wav").unlink()
    (song / "kick.wav").unlink()
    before = tree(song)
    with pytest.raises(SongError, match=r"kick.wav: missing"):
        make_note(song, "piano: brighter")
    assert tree(song) == before


def edit(song, change, name="pass-01"):
    path = song / "passes" / name / "manifest.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    change(data)
    path.write_text(json.dumps(data), encoding="utf-8")


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            lambda data: data["stems"][0].update(role="kick"),
            "its plan is not the one this pass was made from: it was edited",
        ),
        (lambda data: data.update(manifest=3), "written by a newer stemwright"),
        (lambda data: data.update({"pass": "pass-07"}), "says it is pass-07; passes of two people were mixed"),
        (lambda data: data["stems"][0]["output"].update(path="../../x.wav"), "was edited or damaged"),
        (lambda data: data["stems"][0]["moves"][0].update(sections=[[1, 2]]), "was edited or damaged"),
    ],
)
def test_a_manifest_that_cannot_be_trusted_stops_notes_and_recall(
    make_song, make_pass, make_note, make_recall, change, message
):
    song = make_song({"piano.wav": None})
    make_pass(song)
    edit(song, change)
    before = tree(song)
    with pytest.raises(ManifestError, match=message):
        make_note(song, "piano: brighter")
    with pytest.raises(ManifestError, match=message):
        make_recall(song, "1")
    assert tree(song) == before


def test_half_a_pass_is_no_pass(make_song, make_pass, make_note, make_recall):
    song = make_song({"piano.wav": None})
    make_pass(song)
    make_note(song, "piano: brighter")
    (song / "passes/pass-02/manifest.json").write_text((song / "passes/pass-02/manifest.json").read_text()[:500])
    with pytest.raises(ManifestError, match=r"not readable as JSON"):
        make_note(song, "piano: darker")
    (song / "passes/pass-02/manifest.json").unlink()
    with pytest.raises(SongError, match=r"pass-02 is only half there \(no manifest.json\).*complete are: pass-01"):
        make_recall(song, "2")
    _, made = make_note(song, "piano: darker")
    assert (made.name, made.manifest.as_json()["because"]["from"]) == ("pass-03", "pass-01")


def test_two_passes_of_one_number_are_not_chosen_between(make_song, make_pass, make_recall):
    song = make_song({"piano.wav": None})
    make_pass(song)
    (song / "passes/pass-001").mkdir()
    (song / "passes/pass-001/manifest.json").write_text("{}")
    with pytest.raises(SongError, match=r"two passes have this number: pass-001, pass-01"):
        make_recall(song, "1")


def test_over_full_scale_under_trim_the_noted_stem_alone_goes_out_as_float(make_song, make_pass, make_note, noise):
    song = make_song({"piano.wav": noise(0.17) * 2.2, "kick.wav": None}, "deliver: {overs: trim}\n")
    make_pass(song)
    _, made = make_note(song, "piano: 12 dB louder")
    assert (made.rendered, made.taken_over) == (("piano.wav",), ("kick.wav",))
    assert made.manifest.entries["piano.wav"].as_json()["output"]["subtype"] == "FLOAT"


def test_a_note_made_while_another_pass_appeared_is_refused_and_does_not_undo_it(make_song, make_pass, make_note, executor):
    song = make_song(STEMS)
    make_pass(song)
    slow = plan_note(open_song(song), "kick: tighter", None, (), executor)
    _, made = make_note(song, "piano: brighter")
    with pytest.raises(
        SongError, match=r"pass-02 appeared while this pass was being made, and what it changed would be undone"
    ):
        answer(slow, Maker(executor))
    assert made.name == "pass-02"
    assert sorted(path.name for path in (song / "passes").iterdir()) == ["pass-01", "pass-02"]


def test_a_stem_signed_off_while_a_note_was_worked_out_is_not_changed_by_it(make_song, make_pass, executor):
    song = make_song(STEMS)
    made = make_pass(song)
    slow = plan_note(open_song(song), "kick: tighter", None, (), executor)
    keep(open_song(song), made.manifest, ["kick.wav"], None)
    with pytest.raises(SongError, match=r"kick.wav: signed off in pass-01, but its file cannot be brought back"):
        answer(slow, Maker(executor))


def test_a_stem_that_failed_has_no_file_that_a_note_could_change(make_song, make_pass, make_note, noise):
    loud = noise(0.17)
    loud[100] = np.nan
    song = make_song({"kick.wav": None, "piano.wav": loud}, subtype="FLOAT")
    assert [entry.stem for entry in make_pass(song).failed] == ["piano.wav"]
    with pytest.raises(NoteError) as caught:
        make_note(song, "piano: louder")
    assert "piano.wav: has no file in the last pass (failed: holds samples that are no numbers" in str(caught.value)
