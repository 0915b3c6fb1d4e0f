"""What the page plays: one loudness, nothing raised, and the sound that is in the files."""

from __future__ import annotations

import base64
import io

import numpy as np
import pyebur128
import pytest
import soundfile
from scipy.signal import lfilter

from stemwright.report.differences import magnitude_change
from stemwright.report.excerpt import Excerpt
from stemwright.report.listening import HearJob, clip_rate, hear, match, read_excerpt, to_stereo
from stemwright.stems.audio import probe

RATE_HZ = 48_000
WHOLE = Excerpt(0.0, 4.0)


@pytest.fixture
def heard(tmp_path):
    """Return a hearer of sounds by side, and what its clips decode to: libsndfile reads them."""

    def go(sides, form="mp3", excerpt=WHOLE, stem="stem.wav", *, paired=False):
        files = {}
        for side, audio in sides.items():
            files[side] = tmp_path / f"{side}.wav"
            soundfile.write(files[side], audio, RATE_HZ, "FLOAT")
        job = HearJob(
            stem=stem,
            files=files,
            of={},
            before="received",
            excerpts=(excerpt,),
            rate_hz=RATE_HZ,
            form=form,
            quality="V2",
            paired=paired,
        )
        found = hear(job)
        clips = {}
        for clip in found.clips:
            clips[clip.side], rate_hz = soundfile.read(io.BytesIO(base64.b64decode(clip.data)), always_2d=True)
            assert rate_hz == RATE_HZ
        return found, clips

    return go


def lufs(audio):
    audio = np.repeat(audio, 2 // audio.shape[1], axis=1)
    meter = pyebur128.R128State(2, RATE_HZ, pyebur128.MeasurementMode.MODE_I)
    meter.add_frames(np.ascontiguousarray(audio).reshape(-1), len(audio))
    return pyebur128.get_loudness_global(meter)


def rms_db(audio):
    return 10.0 * np.log10(np.mean(audio**2))


def test_with_their_gains_both_sides_are_as_loud_as_the_quieter_one(heard, noise):
    # Oracle: pyebur128 on the decoded clips, coder included.
    received, this = noise(4.0, seed=1), noise(4.0, seed=2) * 0.5
    found, clips = heard({"received": received, "this": this})
    gains = found.matched[0].gains_db
    levels = {side: lufs(clips[side]) + gains[side] - found.scale_db for side in ("received", "this")}
    assert levels["received"] == pytest.approx(levels["this"], abs=0.1)


def test_nothing_is_raised_and_no_side_peaks_over_the_stem_as_received(noise):
    received = noise(4.0, seed=1)
    this = received * 0.9
    this[RATE_HZ] = 3.0  # as loud on the whole, with one peak far over
    gains = match({"received": received, "this": this}, RATE_HZ, "received").gains_db
    assert all(gain <= 0.0 for gain in gains.values())
    assert 3.0 * 10.0 ** (gains["this"] / 20.0) <= np.abs(received).max() + 1e-3


def test_a_sound_under_400_ms_is_matched_by_rms(noise):
    # Programme loudness needs 400 ms (BS.1770-5).
    sides = {"received": noise(0.3, seed=1), "this": noise(0.3, seed=2) * 0.5}
    matched = match(sides, RATE_HZ, "received")
    assert matched.by == "RMS"
    found = {side: rms_db(audio) + matched.gains_db[side] for side, audio in sides.items()}
    assert found["received"] == pytest.approx(found["this"], abs=0.01)


def test_silence_has_nothing_to_match():
    matched = match({"received": np.zeros((RATE_HZ, 1)), "this": np.zeros((RATE_HZ, 1))}, RATE_HZ, "received")
    assert (matched.by, matched.gains_db) == ("nothing", {"received": 0.0, "this": 0.0})


@pytest.mark.parametrize("form", ["mp3", "flac24"])
def test_a_clip_starts_and_ends_where_its_sound_does(heard, noise, form):
    # Property: the highest correlation is at no shift at all, and the length is the sound's.
    sound = noise(2.0) * np.exp(-8.0 * (np.arange(2 * RATE_HZ) / RATE_HZ % 0.5))[:, np.newaxis]
    _, clips = heard({"received": sound}, form, Excerpt(0.0, 2.0))
    clip = clips["received"]
    assert len(clip) == len(sound)
    middle = sound[30_000:60_000, 0]
    fits = [middle @ clip[30_000 + shift : 60_000 + shift, 0] for shift in range(-1300, 1301)]
    assert np.argmax(fits) == 1300


def test_a_lossless_clip_is_the_sound_within_the_dither(heard, noise):
    # Arithmetic: TPDF dither and rounding stay within 1.5 steps of the word.
    sound = noise(2.0)
    _, clips = heard({"received": sound}, "flac24", Excerpt(0.0, 2.0))
    assert np.abs(clips["received"] - sound.astype(np.float32)).max() <= 1.5 * 2.0**-23


def test_a_sound_over_full_scale_is_lowered_with_all_its_sides_and_says_so(heard, noise):
    sound = noise(1.0)
    loud = sound * (2.0 / np.abs(sound).max())
    found, clips = heard({"received": loud * 0.5, "this": loud}, "flac24", Excerpt(0.0, 1.0))
    back = 10.0 ** (-found.scale_db / 20.0)
    assert np.abs(clips["this"] * back - loud).max() < 1e-5
    assert np.abs(clips["received"] * back - loud * 0.5).max() < 1e-5


def test_what_only_turns_phase_changed_nothing_and_its_null_is_loud(heard, noise):
    # A first-order all-pass at 1 kHz (gain 1 everywhere): the subtraction is nearly as loud as the sound, the change is not.
    sound = noise(4.0)
    tan = np.tan(np.pi * 1000.0 / RATE_HZ)
    a = (tan - 1.0) / (tan + 1.0)
    turned = lfilter([a, 1.0], [1.0, a], sound, axis=0)
    _, clips = heard({"received": sound, "this": turned}, "flac24")
    assert rms_db(clips["null"]) > rms_db(sound) - 6.0
    assert rms_db(clips["changed"]) < rms_db(sound) - 20.0


def test_what_changed_is_the_band_that_changed_and_as_much(noise):
    # Arithmetic: 6 dB taken from everything is half of it.
    sound = noise(2.0)
    assert rms_db(magnitude_change(sound, sound * 0.5)[4800:-4800]) == pytest.approx(rms_db(sound * 0.5), abs=0.1)


def test_silence_is_no_clip_and_equal_channels_are_one(heard, noise):
    mono = np.repeat(noise(1.0, channels=1), 2, axis=1)
    _, clips = heard({"received": mono}, "flac24", Excerpt(0.0, 1.0))
    assert clips["received"].shape[1] == 1
    assert heard({"received": np.zeros((RATE_HZ, 1))}, "flac24", Excerpt(0.0, 1.0))[1] == {}


def test_the_left_file_of_a_pair_sounds_on_the_left(heard, noise):
    _, clips = heard({"received": noise(1.0, channels=1)}, "flac24", Excerpt(0.0, 1.0), "Gtr_L.wav", paired=True)
    left, right = np.abs(clips["received"]).max(axis=0)
    assert left > 0.1
    assert right < 1e-6


def test_many_channels_become_their_mean(noise):
    sound = noise(0.1, channels=6)
    assert np.allclose(to_stereo(sound)[:, 0], sound.mean(axis=1))


def test_rates_mp3_does_not_have_are_brought_to_those_it_has():
    rates = (22_050, 44_100, 48_000, 88_200, 96_000, 192_000)
    assert [clip_rate(rate, "mp3") for rate in rates] == [44_100, 44_100, 48_000, 44_100, 48_000, 48_000]
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
