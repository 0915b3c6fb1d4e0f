"""A pass of real recordings comes back to the bit after notes, edited house recipes and lost audio."""

from __future__ import annotations

import hashlib
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.note import answer, plan_note
from stemwright.passes.recall import recall
from stemwright.passes.song import open_song
from stemwright.recipes import library

SAMPLES = Path("/usr/share/sonic-pi/samples")
pytestmark = pytest.mark.skipif(
    not SAMPLES.is_dir(), reason="REAL RECORDINGS NOT TESTED: Debian's package sonic-pi-samples is not installed"
)
STEMS = {"pno": "ambi_piano", "hats": "drum_cymbal_closed", "kick": "bd_haus", "snare": "drum_snare_hard", "bass": "bass_woodsy_c",
         "gtr": "guit_em9", "choir": "ambi_choir", "vox chop": "ambi_haunted_hum"}  # fmt: skip


def files(song, name):
    folder = song / "passes" / name / "stems"
    return {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}


@pytest.mark.parametrize("workers", [1, 8])
def test_it_is_bit_identical_whatever_happened_to_the_house(tmp_path, monkeypatch, workers):
    song = tmp_path / "song"
    song.mkdir()
    for name, recording in STEMS.items():
        shutil.copy(SAMPLES / f"{recording}.flac", song / f"{name}.flac")
    with ThreadPoolExecutor(2) as pool:
        seen = look(song, pool, hashed=True)
        prep.prep(seen, prep.plan(seen, pool), Maker(pool))
        answer(
            plan_note(open_song(song), "pno: more bite; drums: a lot tighter; choir: darker", None, (), pool), Maker(pool)
        )
    first, second = files(song, "pass-01"), files(song, "pass-02")
    edited = tmp_path / "house"
    shutil.copytree(library.house_dir(), edited)
    for path in edited.glob("*.yaml"):
        path.write_text(
            path.read_text(encoding="utf-8").replace("gain: -", "gain: -1").replace("12 dB/oct", "24 dB/oct"),
            encoding="utf-8",
        )
    monkeypatch.setattr(library, "house_dir", lambda: edited)
    for name in ("pass-01", "pass-02"):
        shutil.rmtree(song / "passes" / name / "stems")
    monkeypatch.chdir(tmp_path)
    with ThreadPoolExecutor(workers) as pool:
        for asked, name, expected in (("1", "pass-03", first), ("2", "pass-04", second)):
            result = recall(open_song(Path("song")), asked, (), Maker(pool), pool)
            assert {verdict.outcome for verdict in result.verdicts} == {"identical"}
            assert files(song, name) == expected
