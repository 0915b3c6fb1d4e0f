"""Delivery: rate, word length, container, length and names as the session sheet asks, settled in the plan."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.errors import RecipeError, SongError
from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.manifest_file import read_manifest
from stemwright.plan.delivery import clean
from stemwright.stems.survey import file_sha256


def files(song, name="pass-01"):
    folder = song / "passes" / name / "stems"
    return {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}


def test_keep_is_the_default_and_changes_nothing(make_song, make_pass):
    song = make_song({"kick.wav": None, "what.wav": None}, "deliver: {rate: keep, bits: keep, format: keep, names: keep}\n")
    make_pass(song)
    assert file_sha256(files(song)["what.wav"]) == file_sha256(song / "what.wav")
    assert soundfile.info(files(song)["kick.wav"]).samplerate == 48_000


def test_another_rate_is_made_once_after_the_moves(make_song, make_pass):
    song = make_song({"kick.wav": None}, "deliver: {rate: 44.1 kHz, bits: float}\n", seconds=1.0)
    made = make_pass(song)
    plain = make_song({"kick.wav": None}, "deliver: {bits: float}\n", folder="plain", seconds=1.0)
    make_pass(plain)
    import soxr

    # Reference: the pass at its own rate, resampled by soxr as a whole file; 32-bit float rounds at 2**-24.
    whole, _ = soundfile.read(files(plain)["kick.wav"])
    wanted = soxr.resample(whole, 48_000, 44_100, "VHQ")
    got, rate_hz = soundfile.read(files(song)["kick.wav"])
    assert (rate_hz, len(got)) == (44_100, 44_100)
    assert np.abs(got - wanted[: len(got)]).max() < 1e-6
    deliver = made.manifest.as_json()["stems"][0]["deliver_as"]
    assert (deliver["rate_hz"], deliver["frames"]) == (44_100, 44_100)


def test_a_stem_without_moves_is_converted_when_that_is_asked_for_and_only_then(make_song, make_pass, noise):
    song = make_song({"a.wav": None}, "deliver: {rate: 48 kHz}\n")
    soundfile.write(song / "b.wav", noise(rate_hz=44_100), 44_100, "PCM_24")
    made = make_pass(song)
    assert file_sha256(files(song)["a.wav"]) == file_sha256(song / "a.wav")
    assert soundfile.info(files(song)["b.wav"]).samplerate == 48_000
    assert [entry["status"] for entry in made.manifest.as_json()["stems"]] == ["left", "left"]


def test_same_length_pads_with_silence_to_the_longest(make_song, make_pass, noise):
    stems = {"kick.wav": noise(1.0), "pad.wav": noise(2.5), "what.wav": noise(0.5), "long.wav": noise(3.0)}
    song = make_song(stems, "deliver: {same_length: true}\n")
    make_pass(song)
    assert {soundfile.info(path).frames for path in files(song).values()} == {144_000}
    kick, _ = soundfile.read(files(song)["kick.wav"])
    assert not kick[48_000 + 1 :].any()
    assert file_sha256(files(song)["long.wav"]) == file_sha256(song / "long.wav")


def test_same_length_goes_by_time_where_rates_differ(make_song, make_pass, noise):
    song = make_song({"kick.wav": noise(1.0)}, "deliver: {same_length: true}\n")
    soundfile.write(song / "snare.wav", noise(2.0, rate_hz=44_100), 44_100, "PCM_24")
    make_pass(song)
    assert {name: soundfile.info(path).frames for name, path in files(song).items()} == {
        "kick.wav": 96_000,
        "snare.wav": 88_200,
    }


@pytest.mark.parametrize(
    ("asked", "container", "ending"),
    [("wav", "WAV", ".wav"), ("flac", "FLAC", ".flac"), ("aiff", "AIFF", ".aif"), ("caf", "CAF", ".caf")],
)
def test_every_stem_goes_out_in_the_container_asked_for(make_song, make_pass, noise, asked, container, ending):
    song = make_song({"kick.wav": None, "what.flac": None}, f"deliver: {{format: {asked}}}\n")
    soundfile.write(song / "snare.aif", noise(), 48_000, "PCM_24", format="AIFF")
    make_pass(song)
    assert sorted(files(song)) == [f"kick{ending}", f"snare{ending}", f"what{ending}"]
    for name, path in files(song).items():
        with path.open("rb") as file:
            assert soundfile.info(file).format == container, name


def test_what_a_container_cannot_hold_goes_out_as_wav_and_is_said(make_song, make_pass):
    song = make_song({"snare.wav": None}, "deliver: {format: flac, bits: float}\n")
    entry = make_pass(song).manifest.as_json()["stems"][0]
    assert entry["output"]["path"] == "snare.wav"
    assert entry["messages"]["plan"][-1] == "FLAC cannot hold FLOAT, 2 channels: it goes out as WAV"


def test_two_containers_of_one_name_do_not_meet(make_song, make_pass, noise):
    song = make_song({"kick.wav": None}, "deliver: {format: flac}\n")
    soundfile.write(song / "kick.aif", noise(seed=4), 48_000, "PCM_24", format="AIFF")
    make_pass(song)
    assert len(files(song)) == 2


def test_the_ready_names_follow_the_published_advice(make_song, make_pass):
    # Underscores between parts, fragments capitalised, no spaces, punctuation or accents, "k" for kHz, rate and bits last.
    sheet = "song: Nuit d'été\ndeliver: {names: delivery, rate: 44.1 kHz, bits: 16}\n"
    song = make_song({"lead vox (dbl).wav": None, "Höhe/kick.wav": None}, sheet)
    make_pass(song)
    assert sorted(files(song)) == ["Höhe/NuitDEte_Kick_44k1_16b.wav", "NuitDEte_LeadVoxDbl_44k1_16b.wav"]


@pytest.mark.parametrize(
    ("text", "cleaned"),
    [
        ("Léad vox 2", "LeadVox2"),
        ("KICK_in-03", "KICKIn03"),
        ("\u65e5\u672c", "\u65e5\u672c"),
        ("...", ""),
        ("\u202ex", "X"),
    ],
)
def test_names_are_cleaned(text, cleaned):
    assert clean(text) == cleaned


def test_a_template_takes_names_as_they_are(make_song, make_pass):
    song = make_song({"kick.wav": None}, "song: Night drive\ndeliver: {names: '{song} - {stem} ({role}) {rate} {bits}'}\n")
    make_pass(song)
    assert list(files(song)) == ["Night drive - kick (kick) 48k 24b.wav"]


def test_names_that_collide_are_refused_with_both_named(make_song, make_pass):
    song = make_song({"Léad.wav": None, "lead.flac": None}, "deliver: {names: delivery, format: wav}\n")
    with pytest.raises(SongError, match="Song_Lead_48k_24b") as caught:
        make_pass(song)
    assert "Léad.wav" in str(caught.value)
    assert "lead.flac" in str(caught.value)
    assert not (song / "passes").exists()


def test_a_name_too_long_or_hidden_is_refused(make_song, make_pass):
    long = make_song({"k" * 245 + ".wav": None}, "deliver: {names: '{stem}_{rate}_{bits}'}\n", folder="long")
    with pytest.raises(SongError, match="would get a name of 257 bytes; 255 are allowed"):
        make_pass(long)
    hidden = make_song({"kick.wav": None}, "deliver: {names: '.{stem}'}\n", folder="hidden")
    with pytest.raises(SongError, match="a name that starts with a dot is hidden"):
        make_pass(hidden)


def test_a_song_title_with_slashes_leads_nowhere(make_song, make_pass):
    song = make_song({"kick.wav": None}, "song: ../../away\ndeliver: {names: '{song}_{stem}'}\n")
    with pytest.raises(SongError, match="starts with a dot"):
        make_pass(song)
    (song / "session.yaml").write_text("song: 'a/../../b'\ndeliver: {names: '{song}_{stem}'}\n", encoding="utf-8")
    make_pass(song)
    assert list(files(song)) == ["a-..-..-b_kick.wav"]


def test_a_float_file_does_not_claim_24_bits_in_its_name(make_song, make_pass, noise):
    song = make_song({"loud.wav": noise() * 2.0}, "stems: {loud: {role: loud}}\ndeliver: {names: delivery}\n")
    (song / "recipes").mkdir()
    (song / "recipes/loud.yaml").write_text(
        "recipe: loud\nversion: 1\nabout: x\nfamily: drums\nstems: {names: [loud]}\nmoves:\n  - gain: +24 dB\n    why: over\n"
    )
    make_pass(song)
    assert list(files(song)) == ["Song_Loud_48k_32f.wav"]


def test_the_plan_holds_it_all_and_comes_back_from_the_manifest(make_song, make_pass, executor):
    sheet = "deliver: {names: delivery, rate: 96 kHz, bits: 16, format: flac, same_length: true}\n"
    song = make_song({"kick.wav": None, "what.wav": None}, sheet)
    make_pass(song)
    seen = look(song, executor, hashed=True)
    assert read_manifest(song / "passes/pass-01").items() == prep.plan(seen, executor)
    assert make_pass(song).name is None


def test_trim_lowers_resampled_and_padded_stems_and_settles(make_song, make_pass, noise):
    sheet = "stems: {loud: {role: loud}}\ndeliver: {overs: trim, rate: 44.1 kHz, same_length: true, names: delivery}\n"
    song = make_song({"loud.wav": noise() * 2.0, "what.wav": noise(1.5)}, sheet)
    (song / "recipes").mkdir()
    (song / "recipes/loud.yaml").write_text(
        "recipe: loud\nversion: 1\nabout: x\nfamily: drums\nstems: {names: [loud]}\nmoves:\n  - gain: +24 dB\n    why: over\n"
    )
    made = make_pass(song)
    assert sorted(files(song)) == ["Song_Loud_44k1_24b.wav", "Song_What_44k1_24b.wav"]
    assert not any(entry["went_over"] for entry in made.manifest.as_json()["stems"])
    assert make_pass(song).name is None


@pytest.mark.parametrize(
    ("sheet", "message"),
    [
        ("deliver: {rate: 4 kHz}\n", "1:17: deliver.rate: out of range (4 kHz); allowed: 8 kHz to 384 kHz"),
        (
            "deliver: {rate: 44100.5}\n",
            "1:17: deliver.rate: a part of a hertz; write a whole sample rate, such as 48 kHz, or keep",
        ),
        ("deliver: {format: mp3}\n", "1:19: deliver.format: not allowed here (mp3); allowed: keep, wav, flac, aiff, caf"),
        ("deliver: {same_length: 1}\n", "1:24: deliver.same_length: not allowed here (1); allowed: true, false"),
        ("deliver: {names: '{song}'}\n", "1:18: deliver.names: all stems would get one name ({song}); put {stem} in it"),
        (
            "deliver: {names: '{stem}_{artist}'}\n",
            "1:18: deliver.names: no such word in braces ({artist}); allowed: {song}, {stem}, {role}, {rate}, {bits}",
        ),
        ("deliver: {names: 'a/{stem}'}\n", "1:18: deliver.names: a name, not a path (a/{stem}); take the slash out"),
        ("reference: ../mix.wav\n", "1:12: reference: leads out of the song's folder (../mix.wav); give a path below it"),
    ],
)
def test_what_is_wrong_in_the_sheet_is_said_with_its_place(make_song, make_pass, sheet, message):
    song = make_song({"kick.wav": None}, sheet)
    with pytest.raises(RecipeError) as caught:
        make_pass(song)
    assert [problem.split("session.yaml:")[1] for problem in caught.value.problems] == [message]


def test_one_worker_and_many_write_the_same_resampled_bytes(make_song):
    from concurrent.futures import ThreadPoolExecutor

    found = []
    for count in (1, 3):
        song = make_song({"kick.wav": None, "pad.wav": None}, "deliver: {rate: 44.1 kHz}\n", folder=f"song{count}")
        with ThreadPoolExecutor(count) as pool:
            seen = look(song, pool, hashed=True)
            prep.prep(seen, prep.plan(seen, pool), Maker(pool))
        found.append({name: file_sha256(path) for name, path in files(song).items()})
    assert found[0] == found[1]


@pytest.mark.parametrize("asked", ["bits: 16", "format: flac", "rate: 44.1 kHz", "format: wav, bits: float"])
def test_what_is_asked_for_and_can_be_done_is_done_without_a_word(make_song, make_pass, asked):
    made = make_pass(make_song({"kick.wav": None}, f"deliver: {{{asked}}}\n"))
    assert not [said for said in made.manifest.items()[0].messages if "cannot hold" in said]
