"""Keep: what was signed off never changes again, whatever recipes, notes, recalls and new files say."""

from __future__ import annotations

import hashlib

import pytest
import soundfile

from stemwright.errors import ManifestError, SongError
from stemwright.passes import keep as keeping
from stemwright.passes.history import read_pass
from stemwright.passes.song import open_song

STEMS = {"piano.wav": None, "hats.wav": None, "kick.wav": None}
LOUDER = "recipe: {0}\nversion: 2\nbased_on: {0}\nmoves:\n  - gain: -9 dB\n    why: softer\n"


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def sign_off(folder, *stems, by=None):
    song = open_song(folder)
    return keeping.keep(song, read_pass(song, None), stems, by)


def edit_recipes(song):
    (song / "recipes").mkdir(exist_ok=True)
    for name in ("piano", "hats", "kick"):
        (song / "recipes" / f"{name}.yaml").write_text(LOUDER.format(name))


def test_a_kept_stem_is_taken_over_whatever_recipes_say(make_song, make_pass):
    song = make_song(STEMS)
    make_pass(song)
    sign_off(song, "piano.wav", by="Ann")
    edit_recipes(song)
    made = make_pass(song)
    entry = made.manifest.entries["piano.wav"].as_json()
    assert made.rendered == ("hats.wav", "kick.wav")
    assert (entry["status"], entry["why"], entry["taken_from"]) == ("kept", "signed off in pass-01 by Ann", "pass-01")
    assert sha256(song / "passes/pass-02/stems/piano.wav") == sha256(song / "passes/pass-01/stems/piano.wav")


def test_signing_off_and_letting_go_alone_make_no_pass(make_song, make_pass):
    song = make_song(STEMS)
    make_pass(song)
    sign_off(song, "piano.wav")
    assert make_pass(song).name is None
    keeping.release(open_song(song), ["piano.wav"])
    assert make_pass(song).name is None


def test_after_letting_go_the_stem_is_prepped_again(make_song, make_pass):
    song = make_song(STEMS)
    make_pass(song)
    sign_off(song, "piano.wav")
    edit_recipes(song)
    make_pass(song)
    keeping.release(open_song(song), ["piano.wav"])
    made = make_pass(song)
    assert made.rendered == ("piano.wav",)
    assert made.manifest.entries["piano.wav"].as_json()["status"] == "prepped"


def test_a_note_or_recall_that_would_change_it_stops_and_says_how_to_let_go(make_song, make_pass, make_note, make_recall):
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: brighter")
    sign_off(song, "piano.wav", by="Ann")
    with pytest.raises(SongError) as caught:
        make_note(song, "all: louder")
    assert str(caught.value) == (
        "this note would change stems that are signed off, so nothing was done:\n"
        "  piano.wav: signed off in pass-02 by Ann\n"
        'To let them change again: stemwright keep SONG "piano.wav" --release'
    )
    with pytest.raises(SongError, match=r"^recalling pass-01 would change stems that are signed off"):
        make_recall(song, "1")
    with pytest.raises(SongError, match=r"^recalling pass-01 would change stems that are signed off"):
        make_recall(song, "1", "piano")
    assert make_recall(song, "1", "kick").made.name is None
    _, made = make_note(song, "everything but the piano: louder")
    assert made.taken_over == ("piano.wav",)


def test_it_stays_when_its_source_is_replaced_or_gone(make_song, make_pass, noise):
    song = make_song(STEMS)
    make_pass(song)
    sign_off(song, "piano.wav", "kick.wav")
    first = {name: sha256(song / "passes/pass-01/stems" / name) for name in STEMS}
    soundfile.write(song / "piano.wav", noise(0.17, seed=9), 48_000, "PCM_24")
    (song / "kick.wav").unlink()
    soundfile.write(song / "snare.wav", noise(0.17), 48_000, "PCM_24")
    made = make_pass(song)
    assert made.rendered == ("snare.wav",)
    assert {name: sha256(song / "passes/pass-02/stems" / name) for name in STEMS} == first


def test_a_damaged_copy_is_healed_from_the_pass_it_was_signed_off_in(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    first = sha256(song / "passes/pass-01/stems/piano.wav")
    sign_off(song, "piano.wav")
    make_note(song, "kick: tighter")
    (song / "passes/pass-02/stems/piano.wav").write_bytes(b"damaged")
    make_note(song, "kick: tighter")
    assert sha256(song / "passes/pass-03/stems/piano.wav") == first


def test_no_pass_is_made_if_its_file_cannot_be_brought_back(make_song, make_pass, make_note, noise):
    song = make_song(STEMS, seconds=1.0)
    make_pass(song)
    sign_off(song, "piano.wav")
    (song / "passes/pass-01/stems/piano.wav").write_bytes(b"damaged")
    soundfile.write(song / "piano.wav", noise(0.17, seed=9), 48_000, "PCM_24")
    soundfile.write(song / "snare.wav", noise(0.17), 48_000, "PCM_24")
    with pytest.raises(SongError):
        make_note(song, "kick: tighter")
    with pytest.raises(SongError, match=r"piano.wav: signed off in pass-01, but its file cannot be brought back to the bit"):
        make_pass(song)
    assert [path.name for path in (song / "passes").iterdir() if path.is_dir()] == ["pass-01"]


def test_a_trim_that_would_lower_it_is_refused(make_song, make_pass, noise):
    song = make_song({"piano.wav": None, "kick.wav": None}, "deliver: {overs: trim}\n")
    make_pass(song)
    sign_off(song, "piano.wav")
    loud = noise(0.17, seed=3)
    soundfile.write(song / "snare.wav", loud / abs(loud).max(), 48_000, "PCM_24")
    (song / "recipes").mkdir()
    (song / "recipes/snare.yaml").write_text("recipe: snare\nbased_on: snare\nmoves:\n  - gain: +6 dB\n    why: loud\n")
    with pytest.raises(
        SongError, match=r"overs: trim in session.yaml would lower every stem for snare.wav, and these are signed off"
    ):
        make_pass(song)


def test_a_damaged_list_stops_everything_rather_than_forget_what_is_kept(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    sign_off(song, "piano.wav")
    for text in ("", "{", '{"version": 1}', '{"version": 1, "kept": [{"stem": 1}]}', "[]", '{"version": 9, "kept": []}'):
        (song / "passes/kept.json").write_text(text)
        with pytest.raises(ManifestError, match=r"passes/kept.json: "):
            make_note(song, "kick: tighter")
        with pytest.raises(ManifestError, match=r"passes/kept.json: "):
            make_pass(song)


def test_what_has_no_file_cannot_be_signed_off_and_what_is_not_kept_not_let_go(make_song, make_pass):
    song = make_song(STEMS, "stems:\n  kick.wav: {skip: no stem}\n")
    make_pass(song)
    with pytest.raises(SongError, match=r"^pass-01 has no file to sign off for:\n  kick.wav: skipped, no stem$"):
        sign_off(song, "kick.wav")
    with pytest.raises(SongError, match=r"^not kept: hats.wav; kept are: none$"):
        keeping.release(open_song(song), ["hats.wav"])
