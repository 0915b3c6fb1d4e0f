"""The compressor: static curve, times as defined, linked channels, block size."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.compressor import SteppedCompressor
from stemwright.dsp.dynamics import CompressorSettings

RATE_HZ = 48_000


def compress(audio, *, size=None, attack_ms=5.0, release_ms=80.0, makeup_db=0.0, rate_hz=RATE_HZ):
    settings = CompressorSettings(
        threshold_db=-20.0, ratio=4.0, attack_ms=attack_ms, release_ms=release_ms, makeup_db=makeup_db
    )
    stage = SteppedCompressor(settings, rate_hz, audio.shape[1])
    size = size or len(audio)
    parts = [stage.process(audio[at : at + size]) for at in range(0, len(audio), size)]
    return np.concatenate([*parts, stage.finish()])


def sine(levels_db, freq_hz, rate_hz=RATE_HZ, seconds=1.5):
    frames = round(seconds * rate_hz)
    gains = np.repeat([10 ** (level / 20) for level in levels_db], frames)
    return (gains * np.sin(2 * np.pi * freq_hz * np.arange(len(gains)) / rate_hz))[:, None], frames


@pytest.mark.parametrize("freq_hz", [50, 997])
@pytest.mark.parametrize(("level_db", "expected_db"), [(-30.0, -30.0), (-8.0, -17.0), (-12.0, -18.0)])
def test_the_static_curve_is_threshold_plus_excess_over_ratio(level_db, expected_db, freq_hz):
    # Arithmetic: -8 dB is 12 dB over; 12 / 4 = 3 dB stay over. 0.1 dB: the top of a wave lies between samples.
    audio, frames = sine([level_db], freq_hz)
    assert 20 * np.log10(np.abs(compress(audio)[frames // 2 :]).max()) == pytest.approx(expected_db, abs=0.1)


@pytest.mark.parametrize("rate_hz", [44_100, 96_000])
@pytest.mark.parametrize("freq_hz", [60, 997, 5000])
@pytest.mark.parametrize(("attack_ms", "release_ms"), [(1.0, 20.0), (10.0, 60.0), (30.0, 150.0), (100.0, 600.0)])
def test_the_named_times_are_those_to_63_percent_of_a_change_in_db(attack_ms, release_ms, freq_hz, rate_hz):
    # The definition (1 - 1/e of the final change, a dictionary's, for gain controls), to be met within 10 %. The step is up at
    # the top of a wave, where the level is there at once, and 10 dB; a quarter of a wave is how finely its end can be placed.
    quiet, loud = 10 ** (-25 / 20), 10 ** (-10 / 20)
    frames = round(4 * rate_hz * max(release_ms, 100.0) / 100.0 / 8)
    time = np.arange(3 * frames) / rate_hz
    level = np.repeat([quiet, loud, quiet], frames)
    carrier = np.cos(2 * np.pi * freq_hz * (time - frames / rate_hz))
    audio = (level * carrier)[:, None]
    gain_db = 20 * np.log10((compress(audio, attack_ms=attack_ms, release_ms=release_ms, rate_hz=rate_hz) / audio)[:, 0])
    full_db = -10.0 * 0.75  # arithmetic: 10 dB over, of which a quarter stays
    up = np.flatnonzero(gain_db[frames:] <= 0.632 * full_db)[0] * 1000 / rate_hz
    down = np.flatnonzero(gain_db[2 * frames :] >= 0.368 * full_db)[0] * 1000 / rate_hz
    assert up == pytest.approx(attack_ms, rel=0.1)
    assert down == pytest.approx(release_ms, rel=0.1, abs=250 / freq_hz)


def test_makeup_is_added_after():
    audio, frames = sine([-8.0], 997)
    ratio = compress(audio, makeup_db=6.0)[frames // 2] / compress(audio)[frames // 2]
    assert 20 * np.log10(ratio[0]) == pytest.approx(6.0, abs=1e-9)


def test_the_image_does_not_wander():
    audio = np.random.default_rng(0).standard_normal((48_000, 2)) * [0.5, 0.05]
    out = compress(audio)
    np.testing.assert_allclose(out[:, 0] / audio[:, 0], out[:, 1] / audio[:, 1], rtol=1e-12)


@pytest.mark.parametrize("size", [1, 17, 1000, 4096])
def test_block_size_never_shows(size):
    audio = np.random.default_rng(1).standard_normal((6001, 2)) * 0.4
    assert np.array_equal(compress(audio, size=size), compress(audio))


def test_silence_stays_silence():
    assert not compress(np.zeros((1000, 2))).any()


def plainly(audio, rate_hz, *, threshold_db, ratio, attack_ms, release_ms, makeup_db):
    """Return the compressor by its conventions, one step after the other."""
    step = max(round(min(0.0005, attack_ms / 10_000.0) * rate_hz), 1)
    step_ms = 1000.0 * step / rate_hz
    hold_ms = min(10.0, release_ms / 2.0)
    hold = max(round(hold_ms / step_ms), 1)
    padded = np.concatenate([audio, np.zeros((-len(audio) % step, audio.shape[1]))])
    peaks = [np.abs(padded[at : at + step]).max() for at in range(0, len(padded), step)]
    now_db, gain, out = 0.0, 1.0, []
    for number in range(len(peaks)):
        level_db = 20.0 * np.log10(max(*peaks[max(number - hold + 1, 0) : number + 1], 1e-12))
        wanted_db = max(level_db - threshold_db, 0.0) * (1.0 - 1.0 / ratio)
        time_ms = attack_ms if wanted_db > now_db else release_ms - hold_ms
        now_db += (1.0 - np.exp(-step_ms / time_ms)) * (wanted_db - now_db)
        end = 10.0 ** (-now_db / 20.0)
        ramp = gain + (end - gain) * np.arange(1, step + 1) / step
        out.append(padded[number * step : (number + 1) * step] * ramp[:, np.newaxis])
        gain = end
    return np.concatenate(out)[: len(audio)] * 10.0 ** (makeup_db / 20.0)


@pytest.mark.parametrize(("attack_ms", "release_ms"), [(0.05, 12.0), (2.0, 60.0), (5.0, 20.0), (30.0, 19.0)])
@pytest.mark.parametrize("rate_hz", [8_000, 44_100])
def test_it_is_its_conventions_step_by_step(attack_ms, release_ms, rate_hz):
    rng = np.random.default_rng(9)
    audio = (
        rng.standard_normal((round(0.21 * rate_hz), 2))
        * np.repeat(rng.uniform(0.0, 0.6, 21), round(0.01 * rate_hz))[:, None]
    )
    settings = {"threshold_db": -26.0, "ratio": 3.0, "attack_ms": attack_ms, "release_ms": release_ms, "makeup_db": 2.5}
    stage = SteppedCompressor(CompressorSettings(**settings), rate_hz, 2)
    out = np.concatenate([*(stage.process(audio[at : at + 700]) for at in range(0, len(audio), 700)), stage.finish()])
    np.testing.assert_allclose(out, plainly(audio, rate_hz, **settings), atol=1e-6)


def test_once_the_reduction_is_a_millionth_of_a_decibel_it_is_none():
    stage = SteppedCompressor(CompressorSettings(threshold_db=-20.0, ratio=4.0, attack_ms=5.0, release_ms=80.0), RATE_HZ, 1)
    stage.process(np.full((4800, 1), 0.5))
    quiet = np.full((RATE_HZ * 2, 1), 0.01)
    out = stage.process(quiet)
    # 10.5 dB fall to 1e-6 in ln(10.5e6) times the 70 ms that are left of the release after the hold, 1.14 s; then it is the sound.
    same = np.flatnonzero(out[:, 0] == 0.01)
    assert same[0] / RATE_HZ == pytest.approx(0.010 + 0.070 * np.log(10.48e6), abs=0.01)
    assert (out[same[0] :] == 0.01).all()


def test_nothing_fed_is_nothing_held_back():
    stage = SteppedCompressor(CompressorSettings(threshold_db=-20.0, ratio=4.0, attack_ms=5.0, release_ms=80.0), RATE_HZ, 2)
    assert stage.finish().shape == (0, 2)
    assert stage.process(np.zeros((0, 2))).shape == (0, 2)
    stage.process(np.full((30, 2), 0.5))
    assert stage.finish().shape == (6, 2)  # a step at 48 kHz is 24 samples
    assert stage.finish().shape == (0, 2)
