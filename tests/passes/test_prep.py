"""A pass: what is written, what is left alone, what is taken over, and that nothing else happens."""

from __future__ import annotations

import hashlib
import json
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
import soundfile
from scipy.signal import sosfilt

from stemwright.errors import SongError
from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.manifest_file import read_manifest


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def entries(made):
    return {stem: entry.as_json() for stem, entry in made.manifest.entries.items()}


def tree(folder):
    return {path.relative_to(folder).as_posix(): sha256(path) for path in folder.rglob("*") if path.is_file()}


def test_a_stem_is_its_sections_run_by_scipy_and_rounded_within_one_and_a_half_lsb(make_song, make_pass):
    # Reference: scipy.signal.sosfilt over the whole file with the manifest's own sections; dither and rounding stay
    # within 1.5 LSB (arithmetic: 1 + 0.5).
    song = make_song({"HiHat 01_PRINT.wav": None})
    made = make_pass(song)
    received, _ = soundfile.read(song / "HiHat 01_PRINT.wav")
    written, _ = soundfile.read(song / "passes" / "pass-01" / "stems" / "HiHat 01_PRINT.wav")
    entry = entries(made)["HiHat 01_PRINT.wav"]
    rows = [row for move in entry["moves"] for row in move["sections"]]
    assert entry["recipe"] == "hats"
    assert np.abs(written - sosfilt(np.array(rows), received, axis=0)).max() <= 1.5 * 2.0**-23


def test_rate_length_channels_word_length_and_name_stay_as_received(make_song, make_pass):
    song = make_song({"Snare.wav": None}, subtype="PCM_16", rate_hz=44_100)
    make_pass(song)
    before, after = (soundfile.info(path) for path in (song / "Snare.wav", song / "passes/pass-01/stems/Snare.wav"))
    for fact in ("samplerate", "frames", "channels", "subtype", "format"):
        assert getattr(after, fact) == getattr(before, fact), fact


def test_the_inputs_are_never_written_to(make_song, make_pass):
    song = make_song({"kick.wav": None, "sub/hats.wav": None, "what is this.wav": None})
    before = tree(song)
    make_pass(song)
    after = tree(song)
    assert {name: after[name] for name in before} == before
    assert all(name.startswith("passes/pass-01/") for name in set(after) - set(before))


def test_one_worker_and_many_write_the_same_bytes(make_song):
    stems = {f"{name}.wav": None for name in ("kick", "snare", "hats", "piano", "pad", "lead vocal")}
    found = []
    for workers in (1, 4):
        song = make_song(stems, folder=f"song {workers}")
        with ThreadPoolExecutor(workers) as pool:
            seen = look(song, pool, hashed=True)
            prep.prep(seen, prep.plan(seen, pool), Maker(pool))
        found.append(tree(song / "passes" / "pass-01" / "stems"))
    assert found[0] == found[1]


def test_left_unknown_and_skipped_stems(make_song, make_pass):
    session = "stems:\n  loop.wav: {leave: the artist is used to it}\n  click.wav: {skip: not music}\n"
    song = make_song({"loop.wav": None, "click.wav": None, "Aud 07.wav": None, "piano.wav": None}, session)
    made = make_pass(song)
    stems = song / "passes" / "pass-01" / "stems"
    assert entries(made)["loop.wav"]["status"] == "left"
    assert entries(made)["loop.wav"]["why"] == "the artist is used to it"
    assert sha256(stems / "loop.wav") == sha256(song / "loop.wav")
    assert entries(made)["Aud 07.wav"]["status"] == "left"
    assert entries(made)["Aud 07.wav"]["why"] == "no recipe takes this name; left as received"
    assert sha256(stems / "Aud 07.wav") == sha256(song / "Aud 07.wav")
    assert entries(made)["click.wav"]["status"] == "skipped"
    assert not (stems / "click.wav").exists()


def test_the_session_sheet_gives_a_role_by_hand(make_song, make_pass):
    song = make_song({"Aud 07.wav": None}, "stems:\n  Aud 07: {role: piano, why: it is the piano}\n")
    entry = entries(make_pass(song))["Aud 07.wav"]
    assert (entry["recipe"], entry["matched_by"], entry["why"]) == ("piano", "session sheet", "it is the piano")


def test_both_sides_of_a_pair_get_the_same_moves_whatever_the_sheet_says_of_one(make_song, make_pass, noise):
    session = "stems:\n  gtr_L.wav: {role: pad}\n"
    song = make_song({"gtr_L.wav": noise(channels=1), "gtr_R.wav": noise(channels=1, seed=1)}, session)
    found = entries(make_pass(song))
    assert found["gtr_L.wav"]["recipe"] == found["gtr_R.wav"]["recipe"] == "pad"
    assert found["gtr_L.wav"]["moves"] == found["gtr_R.wav"]["moves"]


def test_the_same_plan_makes_no_new_pass(make_song, make_pass):
    song = make_song({"kick.wav": None, "hats.wav": None})
    make_pass(song)
    before = tree(song)
    made = make_pass(song)
    assert made.name is None
    assert tree(song) == before


def test_a_new_stem_renders_alone_and_the_rest_is_taken_over_byte_for_byte(make_song, make_pass, noise):
    song = make_song({"kick.wav": None, "hats.wav": None})
    make_pass(song)
    soundfile.write(song / "snare.wav", noise(0.17), 48_000, "PCM_24")
    made = make_pass(song)
    assert (made.name, made.rendered, made.taken_over) == ("pass-02", ("snare.wav",), ("hats.wav", "kick.wav"))
    assert entries(made)["kick.wav"]["taken_from"] == "pass-01"
    for name in ("kick.wav", "hats.wav"):
        first, second = (song / "passes" / number / "stems" / name for number in ("pass-01", "pass-02"))
        assert sha256(first) == sha256(second)
        assert first.stat().st_ino != second.stat().st_ino


def test_a_taken_over_file_that_was_damaged_is_rendered_again(make_song, make_pass, noise):
    song = make_song({"kick.wav": None})
    first = entries(make_pass(song))["kick.wav"]["output"]["sha256"]
    (song / "passes/pass-01/stems/kick.wav").write_bytes(b"damaged")
    soundfile.write(song / "snare.wav", noise(0.17), 48_000, "PCM_24")
    made = make_pass(song)
    assert "kick.wav" in made.rendered
    assert sha256(song / "passes/pass-02/stems/kick.wav") == first


def test_only_preps_one_stem_and_keeps_the_others_as_they_were(make_song, make_pass):
    song = make_song({"kick.wav": None, "hats.wav": None})
    make_pass(song)
    (song / "recipes").mkdir()
    for name in ("kick", "hats"):
        (song / "recipes" / f"{name}.yaml").write_text(
            f"recipe: {name}\nversion: 2\nabout: own\nfamily: drums\nstems: {{names: [{name}]}}\nmoves:\n"
            "  - gain: -3 dB\n    why: softer\n",
            encoding="utf-8",
        )
    made = make_pass(song, only=["hats"])
    assert (made.rendered, made.taken_over) == (("hats.wav",), ("kick.wav",))
    assert [move["kind"] for move in entries(made)["hats.wav"]["moves"]] == ["gain"]


def test_only_a_stem_that_is_not_there_lists_those_that_are(make_song, make_pass):
    song = make_song({"kick.wav": None, "hats.wav": None})
    with pytest.raises(SongError, match=r"^.bell. is no stem of this song; give one of: hats.wav, kick.wav$"):
        make_pass(song, only=["bell"])


OWN = (
    "recipe: loud\nversion: 1\nabout: too loud\nfamily: drums\nstems: {names: [kick, hats]}\n"
    "moves:\n  - gain: +24 dB\n    why: to go over\n"
)


def overs_song(make_song, noise, policy, names=("kick.flac", "pad.wav")):
    song = make_song({names[0]: noise(0.17) * 2.0, names[1]: None}, f"deliver: {{overs: {policy}}}\n")
    (song / "recipes").mkdir()
    (song / "recipes" / "loud.yaml").write_text(OWN.replace("[kick, hats]", "[loud]"), encoding="utf-8")
    (song / "session.yaml").write_text(
        f"stems:\n  {names[0]}: {{role: loud}}\ndeliver: {{overs: {policy}}}\n", encoding="utf-8"
    )
    return song


def test_a_flac_that_would_go_over_becomes_a_float_wav_and_says_so(make_song, make_pass, noise):
    song = overs_song(make_song, noise, "float")
    entry = entries(make_pass(song))["kick.flac"]
    written = song / "passes/pass-01/stems/kick.wav"
    assert (entry["output"]["path"], entry["output"]["subtype"]) == ("kick.wav", "FLOAT")
    assert entry["messages"]["render"][0].endswith("dB over full scale, so it is written as 32-bit float")
    received, _ = soundfile.read(song / "kick.flac")
    gained = received * 10 ** (24 / 20)
    assert np.abs(soundfile.read(written)[0] - gained).max() < np.abs(gained).max() * 2.0**-23


def test_trim_lowers_every_stem_by_one_gain_and_nothing_goes_over(make_song, make_pass, noise):
    song = overs_song(make_song, noise, "trim")
    made = make_pass(song)
    found = entries(made)
    trims = {entry["moves"][-1]["gain_db"] for entry in found.values()}
    assert len(trims) == 1
    peak = np.abs(soundfile.read(song / "kick.flac")[0]).max() * 10 ** (24 / 20)
    # Arithmetic: the loudest stem comes down to just under full scale, 0.1 dB of room and at most 0.01 of rounding.
    assert trims.pop() == pytest.approx(-20 * np.log10(peak) - 0.1, abs=0.02)
    assert not any(entry["went_over"] for entry in found.values())
    assert make_pass(song).name is None


def test_stop_refuses_and_leaves_no_pass(make_song, make_pass, noise):
    song = overs_song(make_song, noise, "stop")
    before = tree(song)
    with pytest.raises(SongError, match=r"kick.flac: goes .* dB over full scale"):
        make_pass(song)
    assert tree(song) == before


def test_a_lossy_source_becomes_a_24_bit_wav_beside_a_wav_of_the_same_name(make_song, make_pass, noise):
    song = make_song({"piano.wav": None})
    soundfile.write(song / "piano.ogg", noise(), 48_000, "VORBIS", format="OGG")
    found = entries(make_pass(song))
    assert found["piano.wav"]["output"]["path"] == "piano.wav"
    assert found["piano.ogg"]["output"]["path"] == "piano.ogg.wav"
    assert found["piano.ogg"]["output"]["subtype"] == "PCM_24"


def test_one_bad_stem_does_not_take_the_others_down(make_song, make_pass, noise):
    broken = noise(0.17)
    broken[1000, 0] = np.nan
    song = make_song({"kick.wav": noise(0.17), "hats.wav": noise(0.17, seed=1)}, subtype="FLOAT")
    soundfile.write(song / "piano.wav", broken, 48_000, "FLOAT")
    (song / "snare.wav").write_bytes(b"RIFF")
    (song / "pad.wav").write_bytes((song / "kick.wav").read_bytes()[:-8000])
    made = make_pass(song)
    failed = {entry.stem: entry.item.why for entry in made.failed}
    assert sorted(made.rendered) == ["hats.wav", "kick.wav"]
    assert set(failed) == {"pad.wav", "piano.wav", "snare.wav"}
    assert failed["piano.wav"].startswith("holds samples that are no numbers (NaN, infinite, or 180 dB over full scale)")
    assert failed["pad.wav"] == "cut short: the header promises 8160 frames, 7160 are there"
    assert make_pass(song).name is None


def test_levels_in_the_manifest_are_those_of_a_known_signal(make_song, make_pass):
    # EBU Tech 3341 V4, case 1: a stereo 1 kHz sine at -23 dBFS reads -23.0 LUFS +-0.1; left as received here.
    sine = 10 ** (-23 / 20) * np.sin(2 * np.pi * 1000 * np.arange(48_000 * 5) / 48_000)
    song = make_song({"tone.wav": np.stack([sine, sine], axis=1)})
    levels = entries(make_pass(song))["tone.wav"]["levels"]
    assert levels["before"] == levels["after"]
    assert levels["before"]["lufs"] == pytest.approx(-23.0, abs=0.1)
    assert levels["before"]["rms_dbfs"] == pytest.approx(-26.01, abs=0.01)


def test_the_manifest_is_plain_json_with_its_recipes_in_full(make_song, make_pass):
    song = make_song({"hats.wav": None})
    make_pass(song)
    data = json.loads((song / "passes/pass-01/manifest.json").read_text(encoding="utf-8"))
    recipe = next(recipe for recipe in data["recipes"] if recipe["name"] == "hats")
    assert hashlib.sha256(recipe["text"].encode()).hexdigest() == recipe["sha256"]
    assert read_manifest(song / "passes/pass-01").as_json() == data
    assert list(data) == sorted(data)


def test_the_plan_survives_the_manifest_unchanged(make_song, make_pass, executor):
    song = make_song({"hats.wav": None, "piano.wav": None, "what.wav": None})
    made = make_pass(song)
    seen = look(song, executor, hashed=True)
    assert read_manifest(song / "passes/pass-01").items() == prep.plan(seen, executor)
    assert made.manifest.items() == prep.plan(seen, executor)
