"""Recall: any pass comes back to the bit from its manifest alone, or it is said how far off it is."""

from __future__ import annotations

import hashlib
import json
import shutil
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
import soundfile

from stemwright.errors import SongError
from stemwright.passes.make import Maker
from stemwright.passes.manifest_file import plan_hash
from stemwright.passes.recall import recall
from stemwright.passes.song import open_song

STEMS = {"piano.wav": None, "hats.wav": None, "kick.wav": None, "Aud 07.wav": None}


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def files(song, name):
    folder = song / "passes" / name / "stems"
    return {path.relative_to(folder).as_posix(): sha256(path) for path in folder.rglob("*") if path.is_file()}


def outcomes(result):
    return {verdict.stem: verdict.outcome for verdict in result.verdicts}


@pytest.fixture
def two_passes(make_song, make_pass, make_note):
    song = make_song(STEMS)
    make_pass(song)
    make_note(song, "piano: more bite; drums: tighter")
    return song


@pytest.mark.parametrize("workers", [1, 4])
def test_a_pass_comes_back_after_its_audio_is_gone_and_every_recipe_was_edited(two_passes, workers, tmp_path, monkeypatch):
    first = files(two_passes, "pass-01")
    shutil.rmtree(two_passes / "passes/pass-01/stems")
    (two_passes / "recipes").mkdir()
    for name in ("piano", "hats", "kick"):
        (two_passes / "recipes" / f"{name}.yaml").write_text(
            f"recipe: {name}\nbased_on: {name}\nmoves:\n  - gain: -9 dB\n    why: x\n"
        )
    (two_passes / "session.yaml").write_text("stems:\n  piano.wav: {skip: not now}\n")
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    with ThreadPoolExecutor(workers) as pool:
        result = recall(open_song(two_passes), "1", (), Maker(pool), pool)
    assert result.good
    assert set(outcomes(result).values()) == {"identical"}
    assert files(two_passes, "pass-03") == first
    assert result.made.manifest.as_json()["because"] == {"kind": "recall", "text": None, "by": None, "from": "pass-01"}


def test_from_another_place_on_disk_and_by_a_relative_path_it_is_the_same(two_passes, tmp_path, monkeypatch, executor):
    moved = tmp_path / "moved" / "here"
    moved.parent.mkdir()
    shutil.copytree(two_passes, moved)
    shutil.rmtree(moved / "passes/pass-01/stems")
    monkeypatch.chdir(moved.parent)
    recall(open_song(type(moved)("here")), "pass-01", (), Maker(executor), executor)
    assert files(moved, "pass-03") == files(two_passes, "pass-01")


def test_with_stem_only_that_one_comes_back(two_passes, make_recall):
    first, second = files(two_passes, "pass-01"), files(two_passes, "pass-02")
    result = make_recall(two_passes, "1", "piano")
    assert outcomes(result) == {"piano.wav": "identical"}
    assert files(two_passes, "pass-03") == {**second, "piano.wav": first["piano.wav"]}


def test_recalling_what_is_newest_already_makes_no_pass(two_passes, make_recall):
    result = make_recall(two_passes, "2")
    assert result.made.name is None
    assert sorted(path.name for path in (two_passes / "passes").iterdir()) == ["pass-01", "pass-02"]
    make_recall(two_passes, "1")
    assert make_recall(two_passes, "1").made.name is None


def test_inputs_that_changed_are_named_and_refused_all_at_once(two_passes, make_recall, noise):
    soundfile.write(two_passes / "piano.wav", noise(0.17, seed=5), 48_000, "PCM_24")
    (two_passes / "kick.wav").unlink()
    with pytest.raises(SongError) as caught:
        make_recall(two_passes, "1")
    lines = str(caught.value).splitlines()
    assert lines[0] == "song: 2 of the stems as received are not what the pass was made from:"
    assert [line.split(":")[0].strip() for line in lines[1:3]] == ["kick.wav", "piano.wav"]
    assert len(list((two_passes / "passes").iterdir())) == 2
    assert outcomes(make_recall(two_passes, "1", "hats")) == {"hats.wav": "identical"}


def test_an_unknown_pass_or_stem_lists_those_there_are(two_passes, make_recall):
    with pytest.raises(SongError, match=r"^song: no pass '9'; there are: pass-01, pass-02$"):
        make_recall(two_passes, "9")
    with pytest.raises(
        SongError, match=r"^'pinao' is no stem of pass-01; give one of: Aud 07.wav, hats.wav, kick.wav, piano.wav$"
    ):
        make_recall(two_passes, "1", "pinao")


def test_a_pass_with_stems_that_failed_or_were_skipped_comes_back_as_it_was(
    make_song, make_pass, make_recall, make_note, noise
):
    broken = noise(0.17)
    broken[100] = np.nan
    song = make_song({"kick.wav": None, "hats.wav": None, "ref.wav": None}, "stems:\n  ref.wav: {skip: no stem}\n")
    soundfile.write(song / "piano.wav", broken, 48_000, "FLOAT")
    (song / "snare.wav").write_bytes(b"RIFF")
    made = make_pass(song)
    make_note(song, "kick: brighter")
    result = make_recall(song, "1")
    statuses = {stem: entry.item.status for stem, entry in result.made.manifest.entries.items()}
    assert statuses == {stem: entry.item.status for stem, entry in made.manifest.entries.items()}
    assert statuses["piano.wav"] == statuses["snare.wav"] == "failed"
    assert files(song, "pass-03") == files(song, "pass-01")


def disagree(song, change):
    """Edit the first pass so that its samples are not what its plan gives today, as another machine's could be."""
    path = song / "passes/pass-01/manifest.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    entry = next(entry for entry in data["stems"] if entry["stem"] == "piano.wav")
    wav = song / "passes/pass-01/stems/piano.wav"
    audio, rate_hz = soundfile.read(wav, dtype="int32")
    soundfile.write(wav, change(audio), rate_hz, "PCM_24")
    entry["output"]["sha256"] = sha256(wav)
    entry["output"]["samples_sha256"] = "0" * 64
    data["plan_sha256"] = plan_hash(data)
    path.write_text(json.dumps(data), encoding="utf-8")


@pytest.mark.parametrize(
    ("lsb", "outcome", "dbfs"),
    # Arithmetic: one step of 24 bit is 2^-23 of full scale, 20 log10(2^-23) = -138.47 dBFS; 256 steps are -90.31 dBFS.
    [(1, "equivalent", -138.47), (256, "different", -90.31)],
)
def test_samples_of_another_machine_are_judged_by_their_largest_difference(two_passes, make_recall, lsb, outcome, dbfs):
    def change(audio):
        audio = audio.copy()
        audio[1000, 0] += lsb << 8
        return audio

    disagree(two_passes, change)
    result = make_recall(two_passes, "1")
    verdict = next(each for each in result.verdicts if each.stem == "piano.wav")
    assert verdict.outcome == outcome
    assert verdict.largest_dbfs == pytest.approx(dbfs, abs=0.01)
    assert result.good == (outcome == "equivalent")


def test_without_the_old_file_other_samples_are_called_different_and_not_guessed_at(two_passes, make_recall):
    disagree(two_passes, lambda audio: audio // 2)
    (two_passes / "passes/pass-01/stems/piano.wav").unlink()
    verdict = next(each for each in make_recall(two_passes, "1").verdicts if each.stem == "piano.wav")
    assert (verdict.outcome, verdict.largest_dbfs) == ("different", None)
    assert verdict.detail == "its samples are not those of pass-01, whose file is gone, so it is not known by how much"


def test_a_trimmed_pass_comes_back_with_its_trim_and_without_a_second_one(
    make_song, make_pass, make_note, make_recall, noise
):
    song = make_song({"piano.wav": noise(0.17) * 9.0, "kick.wav": None}, "deliver: {overs: trim}\n", subtype="FLOAT")
    (song / "session.yaml").write_text("deliver: {overs: trim, bits: 24}\n")
    make_pass(song)
    make_note(song, "kick: 3 dB quieter")
    result = make_recall(song, "1")
    assert set(outcomes(result).values()) == {"identical"}
    assert files(song, "pass-03") == files(song, "pass-01")


def test_a_pass_dithered_by_the_older_kind_comes_back_and_the_song_keeps_that_kind(
    make_song, make_pass, make_note, executor
):
    song = make_song({"piano.wav": None})
    make_pass(song)
    path = song / "passes/pass-01/manifest.json"
    data = json.loads(path.read_text())
    data["stems"][0]["dither"]["kind"] = "tpdf"
    data["plan_sha256"] = plan_hash(data)
    path.write_text(json.dumps(data))
    assert make_pass(song).name is None  # nothing differs: a new version changes no stem of a song under way
    newer = files(song, "pass-01")
    make_note(song, "piano: more bite")
    shutil.rmtree(song / "passes/pass-01/stems")
    recalled = recall(open_song(song), "1", (), Maker(executor), executor)
    assert recalled.made.manifest.as_json()["stems"][0]["dither"]["kind"] == "tpdf"
    assert files(song, "pass-03") != newer
