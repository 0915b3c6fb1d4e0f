"""Zero phase: nothing is turned, nothing is late, and block size does not show."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.cascade import Cascade
from stemwright.dsp.zero_phase import ZeroPhase, ahead_of_a_step, frames_to_forget
from stemwright.plan.resolve import sections_of

RATE_HZ = 48_000


def rows(freq_hz, slope_db_oct=12.0):
    return np.array(
        sections_of("high_pass", {"freq_hz": freq_hz, "slope_db_oct": slope_db_oct, "linear_phase": 1.0}, RATE_HZ)
    )


def run(sections, sound, block):
    stage = ZeroPhase(sections, sound.shape[1])
    parts = [stage.process(sound[start : start + block]) for start in range(0, len(sound), block)]
    return np.concatenate([*parts, stage.finish()])


def test_block_size_does_not_show_and_the_length_stays(noise):
    sound = noise(seconds=5.3)
    whole = run(rows(20.0), sound, len(sound))
    assert whole.shape == sound.shape
    assert np.array_equal(run(rows(20.0), sound, 8191), whole)


# Butterworth run twice: the gain is 1 / (1 + (sqrt 2 - 1) (f_c/f)^(slope/6)), -3.01 dB at the frequency asked for (arithmetic).
@pytest.mark.parametrize("slope", [12.0, 24.0])
def test_gain_is_that_of_the_definition_and_no_phase_is_turned(slope):
    impulse = np.zeros((1 << 18, 1))
    impulse[1 << 17] = 1.0
    response = np.fft.rfft(np.roll(run(rows(100.0, slope), impulse, 1 << 14)[:, 0], -(1 << 17)))
    bins = np.array([137, 328, 546, 1092])  # 25, 60, 100 and 200 Hz, nearly
    below = 100.0 / (bins * RATE_HZ / (1 << 18))
    assert np.abs(response[bins]) == pytest.approx(1 / (1 + (2**0.5 - 1) * below ** (slope / 6)), rel=1e-3)
    assert np.abs(np.angle(response[bins])).max() < 1e-6


# Of a first-order high-pass at f run both ways a step has exp(-2 pi f t)/2 ahead of it (arithmetic): -6.02 dB at most, -60 dB
# after ln(500)/(2 pi f).
def test_what_is_heard_ahead_of_a_step_is_as_long_as_arithmetic_says():
    early_ms, most_db = ahead_of_a_step(rows(40.0), RATE_HZ)
    half_hz = 40.0 * (2**0.5 - 1) ** 0.5
    assert early_ms == pytest.approx(1000 * np.log(500) / (2 * np.pi * half_hz), rel=0.01)
    assert most_db == pytest.approx(-6.02, abs=0.05)


# A sound a little longer than a stretch still waits for all it looks ahead when the sound ends, so two stretches are left.
@pytest.mark.parametrize("over", [-1, 0, 1, 100])
def test_the_end_is_run_like_the_rest_at_whatever_length(over):
    sections = rows(20.0)
    frames = ZeroPhase(sections, 1)._stretch + over
    sound = np.random.default_rng(3).standard_normal((frames, 1))
    found = run(sections, sound, 4096)
    assert len(found) == frames
    # Forward over all of it and backward over all of it, with the tail that the forward run rings on for.
    forward = Cascade(sections, 1).process(np.concatenate([sound, np.zeros((1 << 16, 1))]))
    whole = Cascade(sections, 1).process(forward[::-1])[::-1][:frames]
    assert np.abs(found - whole).max() < 1e-6


# A pole of radius r has fallen to 1e-15 (-300 dB) after ln(1e-15) / ln(r) frames (arithmetic); no pole has forgotten after one.
@pytest.mark.parametrize(
    ("sections", "frames"),
    [
        ([[1.0, 0.0, 0.0, 1.0, 0.0, 0.81]], 328),  # two poles at 0.9
        ([[1.0, 0.0, 0.0, 1.0, -0.5, 0.0]], 50),
        ([[1.0, 0.0, 0.0, 1.0, -0.5, 0.0], [1.0, 0.0, 0.0, 1.0, 0.99, 0.0]], 3437),
        ([[1.0, 2.0, 0.0, 1.0, 0.0, 0.0]], 1),
    ],
)
def test_sections_forget_as_their_slowest_pole_does(sections, frames):
    assert frames_to_forget(np.array(sections)) == frames


def test_a_stretch_is_65536_frames_and_longer_where_the_sections_remember_longer():
    def stretch_of(radius):
        return ZeroPhase(np.array([[1.0, 0.0, 0.0, 1.0, -radius, 0.0]]), 1)._stretch

    assert stretch_of(0.5) == 1 << 16
    slow = 1.0 - 1e-3  # 34,522 frames, and the next power of two over twice that
    assert stretch_of(slow) == 1 << 17


def test_a_wire_is_heard_nowhere_ahead_of_a_step():
    assert ahead_of_a_step(np.array([[1.0, 0.0, 0.0, 1.0, 0.0, 0.0]]), RATE_HZ) == (0.0, -np.inf)


def test_nothing_comes_out_before_a_whole_stretch_is_known():
    stage = ZeroPhase(np.array([[1.0, 0.0, 0.0, 1.0, -0.5, 0.0]]), 2)
    assert stage.process(np.ones(((1 << 16) + 49, 2))).shape == (0, 2)
    assert stage.process(np.ones((1, 2))).shape == (1 << 16, 2)
    assert stage.finish().shape == (50, 2)
    assert stage.finish().shape == (0, 2)
