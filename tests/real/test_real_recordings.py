"""Passes of real recordings: Debian's sonic-pi-samples (CC0), sequenced into stems and prepped."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
from scipy.signal import welch

SAMPLES = Path("/usr/share/sonic-pi/samples")
pytestmark = pytest.mark.skipif(
    not SAMPLES.is_dir(), reason="REAL RECORDINGS NOT TESTED: Debian's package sonic-pi-samples is not installed"
)

# Stem name, recording, beats at which it sounds in a bar of four at 96 beats a minute.
STEMS = {
    "HiHat 01_PRINT.wav": ("drum_cymbal_closed", (0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5)),
    "KICK v2.flac": ("bd_haus", (0, 1, 2, 3)),
    "sn-top.wav": ("drum_snare_hard", (1, 3)),
    "Tabla perc.aif": ("tabla_na", (0.5, 1.75, 2.5)),
    "gtr chord.wav": ("guit_em9", (0,)),
    "choir ahh.wav": ("ambi_choir", (0, 2)),
    "pno.wav": ("ambi_piano", (0,)),
}
BARS, RATE_HZ = 4, 44_100
BEAT = round(RATE_HZ * 60 / 96)


def sequenced(recording, beats):
    sound, rate_hz = soundfile.read(SAMPLES / f"{recording}.flac", always_2d=True)
    assert rate_hz == RATE_HZ
    stem = np.zeros((BARS * 4 * BEAT, sound.shape[1]))
    for bar in range(BARS):
        for beat in beats:
            at = round((bar * 4 + beat) * BEAT)
            end = min(at + len(sound), len(stem))
            stem[at:end] += 0.5 * sound[: end - at]
    return np.clip(stem, -0.99, 0.99)


@pytest.fixture(scope="module")
def song(tmp_path_factory):
    folder = tmp_path_factory.mktemp("real")
    for name, (recording, beats) in STEMS.items():
        form = {".aif": "AIFF", ".flac": "FLAC", ".wav": "WAV"}[Path(name).suffix]
        soundfile.write(folder / name, sequenced(recording, beats), RATE_HZ, "PCM_24", format=form)
    return folder


@pytest.fixture(scope="module")
def made(song):
    from concurrent.futures import ThreadPoolExecutor

    from stemwright.passes import prep
    from stemwright.passes.look import look
    from stemwright.passes.make import Maker

    with ThreadPoolExecutor(2) as pool:
        seen = look(song, pool, hashed=True)
        return prep.prep(seen, prep.plan(seen, pool), Maker(pool))


def band_db(path, low_hz, high_hz):
    audio, rate_hz = soundfile.read(path, always_2d=True)
    freqs, power = welch(audio[:, 0], rate_hz, nperseg=16_384)
    return 10 * np.log10(power[(freqs >= low_hz) & (freqs < high_hz)].mean())


def test_every_recording_finds_its_recipe(made):
    recipes = {entry["stem"]: entry["recipe"] for entry in made.manifest.as_json()["stems"]}
    assert recipes == {
        "HiHat 01_PRINT.wav": "hats",
        "KICK v2.flac": "kick",
        "sn-top.wav": "snare",
        "Tabla perc.aif": "percussion",
        "gtr chord.wav": "guitar",
        "choir ahh.wav": "choir",
        "pno.wav": "piano",
    }
    assert not made.failed


def test_name_container_rate_length_and_word_length_stay(song, made):
    for entry in made.manifest.as_json()["stems"]:
        before = soundfile.info(song / entry["stem"])
        after = soundfile.info(song / "passes" / made.name / "stems" / entry["output"]["path"])
        for fact in ("samplerate", "frames", "channels", "subtype", "format"):
            assert getattr(after, fact) == getattr(before, fact), (entry["stem"], fact)


def test_the_hats_lose_their_rumble_and_keep_their_body(song, made):
    # A 12 dB/oct Butterworth at 250 Hz is 24.1 dB down two octaves below (arithmetic: 10 log10(1 + 4**4)).
    name = "HiHat 01_PRINT.wav"
    written = song / "passes" / made.name / "stems" / name
    assert band_db(written, 50, 70) < band_db(song / name, 50, 70) - 20
    assert band_db(written, 12_000, 14_000) == pytest.approx(band_db(song / name, 12_000, 14_000), abs=1.0)


def test_the_kick_keeps_its_weight(song, made):
    name = "KICK v2.flac"
    written = song / "passes" / made.name / "stems" / name
    assert band_db(written, 45, 90) == pytest.approx(band_db(song / name, 45, 90), abs=1.0)
