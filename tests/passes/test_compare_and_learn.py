"""Compare says what changed and why; history lists the passes; learn reads off what a word turned out to mean."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.errors import SongError
from stemwright.passes.compare import compare
from stemwright.passes.history import history, read_pass
from stemwright.passes.learn import learn, lessons
from stemwright.passes.song import open_song
from stemwright.recipes.words_library import load_vocabulary, words_dirs

STEMS = {"piano.wav": None, "hats.wav": None, "kick.wav": None}


def found(song, executor, first, second):
    result = compare(open_song(song), first, second, executor)
    return result, {each.stem: each for each in result.stems}


def test_what_changed_why_and_by_how_much(make_song, make_pass, make_note, executor):
    song = make_song(STEMS, seconds=1.0)
    make_pass(song)
    make_note(song, "piano: bite +1.5 dB; kick: 3 dB quieter", by="Ann")
    result, stems = found(song, executor, "1", "pass-02")
    assert stems["piano.wav"].moves == ("bell 3 kHz 0 -> +1.5 dB [note 1: bite]",)
    assert stems["piano.wav"].why == ("note 1 by Ann: piano: bite +1.5 dB",)
    assert stems["kick.wav"].moves == ("gain 0 -> -3 dB [note 1: quiet]",)
    assert stems["kick.wav"].levels_db["lufs"] == pytest.approx(-3.0, abs=0.02)
    assert (stems["hats.wav"].fate, stems["hats.wav"].difference.null, result.same_bytes) == ("same bytes", True, 1)
    # Reference: numpy on the two files as soundfile reads them.
    first, second = (soundfile.read(song / "passes" / name / "stems/kick.wav")[0] for name in ("pass-01", "pass-02"))
    assert stems["kick.wav"].difference.largest_dbfs == pytest.approx(20 * np.log10(np.abs(first - second).max()), abs=0.006)
    assert stems["kick.wav"].difference.rms_dbfs == pytest.approx(10 * np.log10(np.mean((first - second) ** 2)), abs=0.006)


def test_the_other_way_round_the_note_is_missing(make_song, make_pass, make_note, executor):
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: bite +1.5 dB")
    _, stems = found(song, executor, "2", "1")
    assert stems["piano.wav"].moves == ("bell 3 kHz +1.5 -> 0 dB [note 1: bite]",)
    assert stems["piano.wav"].why == ("without note 1: piano: bite +1.5 dB",)


def test_recipes_stems_and_files_that_changed_are_told_apart(make_song, make_pass, executor, noise):
    song = make_song(STEMS)
    make_pass(song)
    (song / "recipes").mkdir()
    (song / "recipes/hats.yaml").write_text("recipe: hats\nversion: 99\nbased_on: hats\ndrop: [air]\n")
    soundfile.write(song / "piano.wav", noise(0.17, seed=9), 48_000, "PCM_24")
    (song / "kick.wav").unlink()
    soundfile.write(song / "snare.wav", noise(0.17), 48_000, "PCM_24")
    make_pass(song)
    _, stems = found(song, executor, "1", "2")
    assert stems["hats.wav"].moves == ("high shelf 30 kHz +5.5 -> 0 dB [air]",)
    assert stems["hats.wav"].why[0].startswith("recipe hats: version ")
    assert stems["piano.wav"].why == ("another file was received",)
    assert (stems["kick.wav"].fate, stems["snare.wav"].fate) == ("taken out", "added")


def test_a_missing_or_edited_file_is_said(make_song, make_pass, make_note, executor):
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: brighter")
    (song / "passes/pass-01/stems/kick.wav").unlink()
    soundfile.write(song / "passes/pass-02/stems/hats.wav", np.zeros((48_000, 2)), 48_000, "PCM_24")
    result, stems = found(song, executor, "1", "2")
    assert not result.good
    assert stems["kick.wav"].trouble.startswith("a file is not readable: ")
    assert stems["hats.wav"].trouble == "pass-02 has another file than its manifest says"
    assert stems["hats.wav"].fate == "changed"


def test_history_says_because_of_what_and_lists_a_broken_pass_as_broken(make_song, make_pass, make_note, make_recall):
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: brighter", by="Ann")
    make_recall(song, "1")
    passes = history(open_song(song))
    assert [(each.kind, each.text, each.by, each.came_from) for each in passes] == [
        ("prep", None, None, None),
        ("note", "piano: brighter", "Ann", "pass-01"),
        ("recall", None, None, "pass-01"),
    ]
    assert (passes[1].changed, passes[1].taken_over) == (("piano.wav",), 2)
    (song / "passes/pass-02/manifest.json").write_text("{}")
    assert [bool(each.problem) for each in history(open_song(song))] == [False, True, False]


def test_history_of_a_song_without_passes_says_what_to_do(make_song):
    with pytest.raises(SongError, match=r"no passes yet; make the first one with: stemwright prep SONG"):
        history(open_song(make_song(STEMS)))


def learned(song, by, pass_name=None):
    opened = open_song(song)
    vocabulary = load_vocabulary(words_dirs(opened.folder, []), by)
    manifest = read_pass(opened, pass_name)
    return learn(lessons(manifest, by), by, opened.folder, vocabulary, f"song {manifest.name}")


def test_a_word_turned_down_until_approval_means_that_much_from_then_on(make_song, make_pass, make_note):
    # On paper: 1 - 0.5 = 0.5 of the house's +3 dB is +1.5 dB; the next "more" starts from there.
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: more bite; kick: darker", by="Ann")
    make_note(song, "piano: a touch less bite")
    path, lessons_learned = learned(song, "ann")
    assert [(each.word, each.role, each.factor) for each in lessons_learned] == [("bite", "piano", 0.5)]
    assert path == song / "words/ann.yaml"
    meaning = load_vocabulary(words_dirs(song, []), "Ann").understand("bite", "piano", "music").meaning
    assert [(move.settings["freq_hz"], move.settings["gain_db"]) for move in meaning.moves] == [(3000.0, 1.5)]
    assert load_vocabulary(words_dirs(song, []), "Bob").understand("bite", "piano", "music").source == "house"
    assert learned(song, "ann")[1] == []


def test_a_learned_word_moves_by_what_was_learned_and_is_learned_into_any_folder(make_song, make_pass, make_note, tmp_path):
    # On paper: +3 dB, then half of it back: 1.5 dB is what the word means now, so the next "more" comes to 1.5 + 1.5.
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: more bite", by="Ann")
    make_note(song, "piano: a touch less bite")
    learned(song, "Ann")
    manifest = read_pass(open_song(song), None)
    vocabulary = load_vocabulary(words_dirs(song, []), "Ann")
    path, again = learn(lessons(manifest, "Ann"), "Ann", tmp_path / "team", vocabulary, "a song")
    assert (path.is_file(), [each.word for each in again]) == (True, ["bite"])
    _, made = make_note(song, "piano: more bite", by="Ann")
    gains = [move["gain_db"] for move in made.manifest.entries["piano.wav"].as_json()["moves"] if move["note"]]
    assert gains == [pytest.approx(3.0, abs=0.01)]


def test_what_was_asked_in_db_or_turned_round_teaches_nothing(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: bite +3 dB; kick: tighter", by="Ann")
    make_note(song, "kick: a lot boomier")
    told = {each.word: each.skipped for each in lessons(read_pass(open_song(song), None), "Ann")}
    assert told["bite"] == "it was asked for in dB, which says nothing about the word"
    assert told["boomy"] == "later notes turned it round, so it was another word that was meant"
    assert not learned(song, "Ann")[1]
    assert not (song / "words").exists()


def test_learning_again_adds_to_the_file_and_leaves_a_persons_comments_alone(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: more bite", by="Ann")
    make_note(song, "piano: a little more bite")
    path, _ = learned(song, "Ann")
    make_note(song, "kick: tighter", by="Ann")
    make_note(song, "kick: a touch tighter")
    learned(song, "Ann")
    vocabulary = load_vocabulary(words_dirs(song, []), "Ann")
    assert vocabulary.understand("bite", "piano", "music").source == "Ann"
    assert vocabulary.understand("tight", "kick", "drums").source == "Ann"
    path.write_text(f"# mine\n{path.read_text()}")
    make_note(song, "hats: brighter", by="Ann")
    make_note(song, "hats: a touch brighter")
    with pytest.raises(SongError, match=r"has comments, which would be lost"):
        learned(song, "Ann")
