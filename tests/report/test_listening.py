"""What the page plays: one loudness, nothing raised, and the sound that is in the files."""

from __future__ import annotations

import base64
import io

import numpy as np
import pyebur128
import pytest
import soundfile

from stemwright.report.excerpt import Excerpt
from stemwright.report.listening import clip_rate, hear, match, read_excerpt, to_stereo
from stemwright.stems.audio import probe

RATE_HZ = 48_000
WHOLE = Excerpt(0.0, 4.0)


def lufs(audio):
    meter = pyebur128.R128State(audio.shape[1], RATE_HZ, pyebur128.MeasurementMode.MODE_I)
    meter.add_frames(np.ascontiguousarray(audio).reshape(-1), len(audio))
    return pyebur128.get_loudness_global(meter)


def decoded(heard):
    found = {}
    for clip in heard.clips:
        found[clip.side], _ = soundfile.read(io.BytesIO(base64.b64decode(clip.data)), always_2d=True)
    return found


def rms_db(audio):
    return 10.0 * np.log10(np.mean(audio**2))


def test_both_sides_are_as_loud_as_the_quieter_one(noise):
    # Oracle: pyebur128 on the decoded clips; 16-bit dither is 80 dB below.
    received, this = noise(4.0, seed=1), noise(4.0, seed=2) * 0.5
    sides = decoded(hear({"received": received, "this": this}, RATE_HZ, WHOLE, "flac16"))
    assert lufs(sides["received"]) == pytest.approx(lufs(sides["this"]), abs=0.02)
    assert lufs(sides["this"]) == pytest.approx(lufs(this), abs=0.05)


def test_nothing_is_raised_and_no_side_peaks_over_the_stem_as_received(noise):
    received = noise(4.0, seed=1)
    this = received * 0.9
    this[RATE_HZ] = 3.0  # as loud on the whole, with one peak far over
    heard = hear({"received": received, "this": this}, RATE_HZ, WHOLE, "flac16")
    assert all(gain <= 0.0 for gain in heard.matched.gains_db.values())
    peak = np.abs(received).max() + 2.0**-14
    assert all(np.abs(audio).max() <= peak for audio in decoded(heard).values())


def test_a_sound_under_400_ms_is_matched_by_rms(noise):
    # Programme loudness needs 400 ms (BS.1770-5).
    sides = {"received": noise(0.3, seed=1), "this": noise(0.3, seed=2) * 0.5}
    heard = hear(sides, RATE_HZ, Excerpt(0.0, 0.3), "flac16")
    found = decoded(heard)
    assert heard.matched.by == "RMS"
    assert rms_db(found["received"]) == pytest.approx(rms_db(found["this"]), abs=0.01)


def test_silence_has_nothing_to_match():
    matched = match({"received": np.zeros((RATE_HZ, 1)), "this": np.zeros((RATE_HZ, 1))}, RATE_HZ, "received")
    assert (matched.by, matched.gains_db) == ("nothing", {"received": 0.0, "this": 0.0})


def test_the_same_sound_on_both_sides_is_the_same_clip(noise):
    sound = noise(2.0)
    first, second = hear({"received": sound, "this": sound.copy()}, RATE_HZ, WHOLE, "flac16").clips
    assert first.data == second.data


@pytest.mark.parametrize(("form", "bits"), [("flac16", 16), ("flac24", 24)])
def test_a_clip_is_the_sound_within_the_dither(noise, form, bits):
    # Arithmetic: TPDF dither and rounding stay within 1.5 steps of the word.
    sound = noise(2.0)
    found = decoded(hear({"received": sound}, RATE_HZ, WHOLE, form))["received"]
    assert np.abs(found - sound).max() <= 1.5 * 2.0 ** (1 - bits)


def test_the_small_form_brings_its_differences_along(noise):
    # Two lossy sides subtracted would be mostly the coder's noise: the difference is coded itself, 20 dB clear of that.
    received = noise(2.0, seed=1)
    this = received * (10.0 ** (-0.2 / 20.0))
    this[:, 1] += 0.001 * np.sin(2 * np.pi * 1000 * np.arange(len(this)) / RATE_HZ)
    found = decoded(hear({"received": received, "this": this}, RATE_HZ, WHOLE, "mp3"))
    assert set(found) == {"received", "this", "this-received"}
    assert all(len(audio) == len(received) for audio in found.values())
    assert rms_db(found["this-received"]) < rms_db(found["this"] - found["received"]) - 10.0


def test_equal_channels_become_one(noise):
    sound = np.repeat(noise(1.0, channels=1), 2, axis=1)
    assert decoded(hear({"received": sound}, RATE_HZ, WHOLE, "flac16"))["received"].shape[1] == 1


def test_many_channels_become_their_mean(noise):
    sound = noise(0.1, channels=6)
    assert np.allclose(to_stereo(sound)[:, 0], sound.mean(axis=1))


def test_rates_browsers_have_no_use_for_are_brought_down_unless_lossless():
    assert [clip_rate(rate, "flac16") for rate in (22_050, 44_100, 48_000, 88_200, 96_000, 192_000)] == [
        22_050,
        44_100,
        48_000,
        44_100,
        48_000,
        48_000,
    ]
    assert clip_rate(96_000, "flac24") == 96_000


def test_an_excerpt_cut_from_the_middle_starts_and_ends_in_silence(tmp_path, noise):
    path = tmp_path / "stem.wav"
    soundfile.write(path, noise(4.0), RATE_HZ, "PCM_24")
    audio = read_excerpt(path, probe(path), Excerpt(1.0, 2.0), RATE_HZ)
    assert len(audio) == 2 * RATE_HZ
    assert not audio[0].any()
    assert not audio[-1].any()


def test_an_excerpt_from_another_rate_has_the_length_of_its_time(tmp_path, noise):
    path = tmp_path / "stem.wav"
    soundfile.write(path, noise(4.0, rate_hz=96_000), 96_000, "PCM_24")
    assert len(read_excerpt(path, probe(path), Excerpt(1.0, 2.0), RATE_HZ)) == 2 * RATE_HZ
