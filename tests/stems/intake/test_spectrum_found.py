"""Spectra at intake: rumble, hum, edges, and a name that says one thing and a sound another."""

from __future__ import annotations

import numpy as np
import pytest
import soxr
from scipy.signal import firwin, oaconvolve

RATE_HZ = 48_000


def tone(freq_hz, level, seconds=6.0, rate_hz=RATE_HZ):
    return level * np.sin(2 * np.pi * freq_hz * np.arange(round(seconds * rate_hz)) / rate_hz)[:, None]


def ids(found):
    return {key[1] for key in found}


def test_rumble_is_found_with_its_level(intake, pink):
    found = intake({"pad.wav": pink() + tone(18, 0.02)})
    assert ids(found) == {"rumble"}
    # Arithmetic: a sine of amplitude 0.02 has -37.0 dBFS (20 lg 0.02/sqrt 2).
    assert float(found["pad.wav", "rumble"].measured.split(" at ")[1].split()[0]) == pytest.approx(-37, abs=1)


def test_low_instruments_may_be_low(intake, pink):
    assert intake({"kick.wav": pink() + tone(25, 0.2)}, deep={"kick.wav"}) == {}


@pytest.mark.parametrize("mains_hz", [50, 60])
@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_hum_is_found_with_its_series(intake, pink, mains_hz, rate_hz):
    audio = pink(rate_hz=rate_hz, seconds=14.0) * 0.1  # what hum can be heard through
    for number, level in ((1, 0.004), (2, 0.003), (3, 0.002), (5, 0.002)):
        audio = audio + tone(mains_hz * number * 1.001, level, 14.0, rate_hz)
    found = intake({"gtr.wav": audio}, rate_hz=rate_hz)
    assert ids(found) == {"hum"}
    assert found["gtr.wav", "hum"].measured.startswith(f"mains hum of {mains_hz} Hz: lines at {mains_hz}, {2 * mains_hz}, ")


@pytest.mark.parametrize("gap", [0.1, 0.75])
def test_hum_60_db_down_is_found_in_the_gaps(intake, pink, gap):
    audio = pink(seconds=24.0)
    played = (np.arange(len(audio)) / RATE_HZ / 8.0 % 1.0 >= gap)[:, None]
    hum = sum(tone(60 * number, 0.0014 / number, 24.0) for number in range(1, 7))
    assert "hum" in ids(intake({"gtr.wav": audio * played + hum}))
    assert "hum" not in ids(intake({"gtr.wav": audio * played}))


def test_a_drone_beside_the_mains_is_not_hum(intake, pink):
    # G1 is 49.0 Hz (equal temperament from A4 = 440 Hz), 2 % under 50: a held note with its harmonics.
    drone = sum(tone(48.999 * number, 0.05 / number, 12.0) for number in range(1, 9))
    assert "hum" not in ids(intake({"pad.wav": pink(seconds=12.0) * 0.01 + drone}))


def test_a_bass_line_is_not_hum(intake):
    # Notes of half a second around 50 and 60 Hz with their harmonics: they come and go, hum stays.
    notes = []
    for freq_hz in (49.0, 61.7, 55.0, 51.9, 58.3, 49.0, 65.4, 55.0, 46.2, 61.7, 49.0, 55.0) * 2:
        part = sum(tone(freq_hz * number, 0.2 / number, 0.5) for number in range(1, 7))
        notes.append(part * np.exp(-3 * np.arange(len(part)) / RATE_HZ)[:, None])
    assert "hum" not in ids(intake({"bass.wav": np.concatenate(notes)}, roles={"bass.wav": "bass"}))


@pytest.mark.parametrize("edge_hz", [11_000, 16_000, 19_000])
def test_what_an_encoder_cut_off_is_found_to_300_hz(intake, pink, edge_hz):
    cut = oaconvolve(pink(), firwin(2047, edge_hz, fs=RATE_HZ, window=("kaiser", 9.0))[:, None], mode="same", axes=0)
    found = intake({"a.wav": cut})
    assert ids(found) == {"band-edge"}
    assert float(found["a.wav", "band-edge"].measured.split()[2]) * 1000 == pytest.approx(edge_hz, abs=300)


def test_an_upsampled_stem_is_found(intake, pink):
    up = soxr.resample(pink(rate_hz=44_100), 44_100, 96_000, "HQ")
    found = intake({"a.wav": up}, rate_hz=96_000)
    assert ids(found) == {"band-edge"}
    assert float(found["a.wav", "band-edge"].measured.split()[2]) == pytest.approx(22.05, abs=0.5)  # half of 44.1 kHz


@pytest.mark.parametrize("slope", [12, 24, 48])
def test_an_instrument_that_fades_has_no_edge(intake, pink, slope):
    frames = len(pink())
    freq = np.fft.rfftfreq(frames, 1 / RATE_HZ)
    fade = 1 / np.sqrt(1 + (freq / 4000) ** (slope / 3.0103))
    faded = np.fft.irfft(np.fft.rfft(pink(), axis=0) * fade[:, None], frames, axis=0)
    assert "band-edge" not in ids(intake({"a.wav": faded}))


def test_a_name_and_a_sound_that_do_not_fit(intake, pink):
    freq = np.fft.rfftfreq(len(pink()), 1 / RATE_HZ)
    spectrum = np.fft.rfft(pink(), axis=0)
    high = np.fft.irfft(spectrum * (freq > 3500)[:, None], axis=0)
    low = np.fft.irfft(spectrum * ((freq > 40) & (freq < 140))[:, None], axis=0)
    stems, roles = {"kick.wav": high, "hat.wav": low}, {"kick.wav": "kick", "hat.wav": "hats"}
    assert "name-and-sound" not in ids(intake(stems, roles=roles, sounds={"kick.wav": "high", "hat.wav": "low"}))
    found = intake(stems, roles=roles, sounds={"kick.wav": "low", "hat.wav": "high"})
    assert (
        found["kick.wav", "name-and-sound"].measured
        == "the name says kick, the sound does not: 100% of its power is above 2 kHz"
    )
    assert (
        found["hat.wav", "name-and-sound"].measured
        == "the name says hats, the sound does not: 100% of its power is below 200 Hz"
    )


@pytest.mark.parametrize(("top_hz", "expected"), [(10_500, {"name-and-sound"}), (16_000, set())])
def test_a_voice_that_is_dead_above_11_khz_is_not_what_its_name_says(intake, pink, top_hz, expected):
    freq = np.fft.rfftfreq(len(pink()), 1 / RATE_HZ)
    cut = np.fft.irfft(np.fft.rfft(pink(), axis=0) * (freq < top_hz)[:, None], axis=0)
    found = intake({"vox.wav": cut}, roles={"vox.wav": "lead vocal"}, sounds={"vox.wav": "open"})
    assert {finding for finding in ids(found) if finding == "name-and-sound"} == expected
    assert "name-and-sound" not in ids(intake({"vox.wav": cut}, roles={"vox.wav": "lead vocal"}))
