"""note, recall, keep, compare, history and words on the command line: what is printed, exit codes, JSON."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from stemwright.cli import main

STEMS = {"piano.wav": None, "hats.wav": None, "kick.wav": None}


@pytest.fixture
def run(capsys):
    """Return a runner in this process: (exit code, stdout, stderr)."""

    def go(*arguments):
        code = main([str(argument) for argument in arguments])
        out = capsys.readouterr()
        return code, out.out, out.err

    return go


@pytest.fixture
def song(make_song, run):
    song = make_song(STEMS)
    run("prep", song)
    return song


def test_a_note_says_what_it_understood_what_it_does_and_what_was_taken_over(make_song, run):
    song = make_song(STEMS, seconds=1.0)
    run("prep", song)
    code, out, _ = run("note", song, "piano: a little more bite, but subtle", "--by", "Ann")
    assert code == 0
    # At least 1 dB where the stem sounds: noise sounds everywhere in the band (from the measured change, not the move's gain).
    assert out.splitlines()[-1].startswith(f"page: {song.resolve() / 'passes' / 'pass-02' / 'report.html'} (")
    lines = [line for line in out.splitlines() if not line.startswith("the sum, ")]
    assert lines[:-1] == [
        "took in: piano: a little more bite, but subtle -> piano.wav",
        "piano.wav:",
        "    bite x0.49 (house: the front of a note catches the ear; pick, hammer, consonant)",
        "    -> bell 3 kHz 0 -> +1.47 dB [note 1: bite]",
        "    = 1.778 kHz to 5.623 kHz +1.1 dB on average",
        "how it is heard in the beat is not known yet: stemwright balance SONG listens to all stems once",
        "Ann asked: “piano: a little more bite, but subtle”; changed: piano (3 kHz +1.47 dB); 2 stems are the same bytes",
        "pass-02: 1 rendered, 2 of 3 taken over from pass-01 byte for byte",
        f"in {song.resolve() / 'passes' / 'pass-02'}",
    ]


def test_plan_prints_and_writes_nothing(song, run):
    code, out, _ = run("note", song, "piano: brighter", "--plan")
    assert code == 0
    assert "-> high shelf 5 kHz 0 -> +3 dB [note 1: bright]" in out
    assert [path.name for path in (song / "passes").iterdir()] == ["pass-01"]
    code, out, _ = run("note", song, "piano: brighter", "--plan", "--json")
    assert json.loads(out)["changed"] == {"piano.wav": ["high shelf 5 kHz 0 -> +3 dB [note 1: bright]"]}


def test_a_note_comes_from_a_file_or_standard_input_and_may_begin_with_a_dash(song, run, tmp_path, monkeypatch):
    text = "- piano: brighter\n- kick: less boomy\n"
    (tmp_path / "note.txt").write_text(text, encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode()), encoding="utf-8"))
    plans = [
        run("note", song, text, "--plan", "--json"),
        run("note", song, "--plan", "--json", "--from", tmp_path / "note.txt"),
        run("note", song, "--plan", "--json", "--from", "-"),
    ]
    assert [code for code, _, _ in plans] == [0, 0, 0]
    assert len({out for _, out, _ in plans}) == 1
    assert sorted(json.loads(plans[0][1])["changed"]) == ["kick.wav", "piano.wav"]


def test_a_high_pass_says_where_it_starts_and_no_average(song, run):
    code, out, _ = run("note", song, "high-pass the piano at 120", "--plan")
    assert code == 0
    assert out.splitlines()[-2] == "    = starts to fall below 120 Hz, where it is -3 dB"


def test_what_is_not_understood_exits_2_on_stderr(song, run):
    code, out, err = run("note", song, "kick: tighter; hats: less harhs")
    assert (code, out) == (2, "")
    assert err.splitlines()[:5] == [  # behind it may stand what the whole perhaps means
        "stemwright: the note is not answered as a whole, so nothing was done",
        "  not understood: hats: less harhs",
        "    harhs: no word that is known; could be: harsh; all of them: stemwright words list, one: stemwright words explain WORD",
        "  understood: kick: tighter",
        "  the rest as one note: stemwright note SONG 'kick: tighter'",
    ]


def test_more_than_nine_db_exits_1(song, run):
    code, out, _ = run("note", song, "piano: bite +10 dB")
    assert code == 1
    assert "warn  piano.wav: its notes add up to +10 dB at 3 kHz, over 9 dB" in out


def test_recall_says_identical_by_hash_and_how_many(song, run):
    run("note", song, "piano: brighter")
    code, out, _ = run("recall", song, "1")
    assert code == 0
    assert out.splitlines()[:2] == [
        "3 of 3 stems identical to pass-01, by their hashes.",
        "pass-03: 1 rendered from pass-01's manifest, 2 taken over byte for byte",
    ]
    code, out, _ = run("recall", song, "1", "--json")
    data = json.loads(out)
    assert (data["pass"], data["good"], {each["outcome"] for each in data["verdicts"]}) == (None, True, {"identical"})


def test_keep_lists_signs_off_and_lets_go(song, run):
    assert run("keep", song)[1] == "Nothing is kept.\n"
    code, out, _ = run("keep", song, "drums", "--by", "Ann")
    assert code == 0
    assert out.splitlines() == [
        "2 signed off as pass-01 has them, 0 were kept already",
        "kept: hats.wav, signed off in pass-01 by Ann",
        "kept: kick.wav, signed off in pass-01 by Ann",
    ]
    code, _, err = run("note", song, "hats: darker")
    assert code == 2
    assert 'To let them change again: stemwright keep SONG "hats.wav" --release' in err
    code, out, _ = run("keep", song, "hats", "--release")
    assert (code, out.splitlines()[0]) == (0, "hats.wav: released; it was signed off in pass-01 by Ann")
    assert [each["stem"] for each in json.loads(run("keep", song, "--json")[1])] == ["kick.wav"]
    assert run("keep", song, "--release")[0] == 2
    assert run("keep", song, "nobody")[0] == 2


def test_prep_says_what_stays_and_which_recipes_moved(song, run):
    run("note", song, "piano: brighter")
    run("keep", song, "kick")
    (song / "recipes").mkdir()
    (song / "recipes/hats.yaml").write_text("recipe: hats\nversion: 99\nbased_on: hats\ndrop: [air]\n")
    code, out, _ = run("prep", song, "--as-before")
    assert code == 0
    assert "Nothing differs from pass-02" in out
    code, out, _ = run("prep", song)
    assert code == 0
    house = Path(__file__).parents[2] / "recipes" / "hats.yaml"
    (version,) = [line.split()[1] for line in house.read_text().splitlines() if line.startswith("version:")]
    assert out.splitlines()[-4:-1] == [
        f"recipe hats: version {version} -> 99",
        "notes stay on top of the recipes' moves: piano.wav",
        "kept: kick.wav, signed off in pass-02",
    ]


def test_as_before_gives_a_new_stem_the_recorded_recipe_even_one_based_on_its_own_name(make_song, run, noise):
    import soundfile

    song = make_song(STEMS)
    (song / "recipes").mkdir()
    own = song / "recipes/hats.yaml"
    own.write_text("recipe: hats\nversion: 99\nbased_on: hats\ndrop: [air]\n")
    run("prep", song)
    own.write_text("recipe: hats\nversion: 3\nbased_on: hats\nmoves:\n  - gain: -9 dB\n    why: softer\n")
    soundfile.write(song / "hats 2.wav", noise(seed=9), 48_000, "PCM_24")
    code, out, _ = run("prep", song, "--as-before", "--json")
    assert code == 0
    stems = {entry["stem"]: entry for entry in json.loads(out)["manifest"]["stems"]}
    assert json.loads(out)["rendered"] == ["hats 2.wav"]
    assert [move["name"] for move in stems["hats 2.wav"]["moves"]] == [move["name"] for move in stems["hats.wav"]["moves"]]
    assert "air" not in [move["name"] for move in stems["hats 2.wav"]["moves"]]


def test_compare_and_history_in_the_trades_words(song, run):
    run("note", song, "piano: bite +1.5 dB", "--by", "Ann")
    code, out, _ = run("compare", song, "1", "2")
    lines = out.splitlines()
    assert code == 0
    assert lines[0].startswith("piano.wav: changed (the difference is -")
    assert lines[1:3] == ["    bell 3 kHz 0 -> +1.5 dB [note 1: bite]", "    because: note 1 by Ann: piano: bite +1.5 dB"]
    assert lines[-1] == "pass-01 -> pass-02: 2 of 3 stems are the same bytes."
    assert json.loads(run("compare", song, "1", "2", "--json")[1])["same_bytes"] == 2
    code, out, _ = run("history", song)
    assert code == 0
    assert "note by Ann on pass-01: piano: bite +1.5 dB" in out
    data = json.loads(run("history", song, "--json")[1])
    assert [each["kind"] for each in data["passes"]] == ["prep", "note"]


def test_words_are_listed_explained_and_learned(song, run):
    code, out, _ = run("words", "list", "--json")
    assert code == 0
    assert len(json.loads(out)) >= 30
    code, out, _ = run("words", "explain", "darker", "--role", "hats")
    assert out.splitlines()[0] == "dark on hats (house): bright turned round, high shelf 7 kHz +3 dB"
    code, _, err = run("words", "explain", "brigt")
    assert (code, err) == (2, "stemwright: no such word (brigt); did you mean bright? all of them: stemwright words list\n")
    assert run("words", "explain", "bright", "--role", "pinao")[0] == 2
    run("note", song, "piano: more bite", "--by", "Ann")
    run("note", song, "piano: a little less bite")
    code, out, _ = run("words", "learn", song, "3", "--by", "Ann")
    assert code == 0
    assert out.splitlines()[0] == "bite on piano: x0.3 of what was asked for; from now on bell 3 kHz +0.9 dB q 0.9"
    _, out, _ = run("words", "explain", "bite", "--role", "piano", "--song", song, "--by", "Ann")
    assert out.splitlines()[0] == "bite on piano (Ann): bell 3 kHz +0.9 dB q 0.9"


def test_names_and_notes_from_outside_cannot_paint_on_the_terminal(song, run):
    for text in ("piano: \x1b[31mbrighter", "\u202epiano: x", 'piano: "\x07'):
        code, out, err = run("note", song, text)
        assert code in (0, 2)
        assert "\x1b" not in out + err
        assert "\u202e" not in out + err
    code, out, err = run("note", song, "piano: brighter", "--by", "\x1b[2JAnn")
    assert (code, out) == (2, "")
    assert "\x1b" not in err
