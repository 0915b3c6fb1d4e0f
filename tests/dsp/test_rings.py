"""The ring finder: what it finds, what it leaves alone, and what it does with sound that is no sound."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from stemwright.dsp.rings import RingFinder, RingSettings, RingSettingsError, find_rings, plan_notches
from stemwright.dsp.rings.spectra import MOST_FRAMES, FrameKeeper
from stemwright.errors import AudioError, StemwrightError

RATE_HZ = 44100


def planted(audio, freq_hz, q=30.0, gain_db=12.0):
    """Lift a bell by the Audio EQ Cookbook's peakingEQ."""
    root, turn = 10 ** (gain_db / 40), 2 * math.pi * freq_hz / RATE_HZ
    alpha, c = math.sin(turn) / (2 * q), math.cos(turn)
    row = np.array([1 + alpha * root, -2 * c, 1 - alpha * root, 1 + alpha / root, -2 * c, 1 - alpha / root])
    return signal.sosfilt((row / row[3])[np.newaxis], audio, axis=0)


def noise(seconds, seed=1, channels=1):
    return np.random.default_rng(seed).normal(size=(int(seconds * RATE_HZ), channels)) * 0.1


def hits(seconds=6.0, seed=2):
    """Noise bursts of uneven strength and colour on a loose grid, as a made-up drum."""
    rng = np.random.default_rng(seed)
    out = np.zeros(int(seconds * RATE_HZ))
    for start in np.arange(0.05, seconds - 0.3, 0.25):
        length = int(rng.uniform(0.08, 0.2) * RATE_HZ)
        burst = rng.normal(size=length) * np.exp(-np.arange(length) / (0.03 * RATE_HZ)) * 10 ** (rng.uniform(-12, 0) / 20)
        at = int((start + rng.normal(0, 0.003)) * RATE_HZ)
        out[at : at + length] += signal.lfilter([1.0], [1.0, -rng.uniform(0.3, 0.8)], burst)
    return out * 0.2


def note(f0_hz, seconds):
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    partials = range(1, int(8000 / f0_hz) + 1)
    tone = sum(k**-1.2 * np.exp(-t * (1 + 0.1 * k)) * np.sin(2 * np.pi * k * f0_hz * t + k * k) for k in partials)
    return tone * np.minimum(1, np.arange(len(t)) / 200)


def melody(seed=5, count=24):
    rng = np.random.default_rng(seed)
    steps = rng.integers(0, 15, count)
    line = np.concatenate([note(196.0 * 2 ** (s / 12), 0.3) for s in steps]) * 0.2
    return line + rng.normal(size=len(line)) * 1e-4


@pytest.mark.parametrize("freq_hz", [900.0, 2400.0, 6100.0])
def test_ring_planted_in_hits_is_found_first(freq_hz):
    # 10 cents in any one trial; over many the median is under 5 (tests/bench/rings).
    rings = find_rings(planted(hits(), freq_hz), RATE_HZ)
    assert 1200 * math.log2(rings[0].freq_hz / freq_hz) == pytest.approx(0, abs=10)


def test_ring_planted_in_a_melody_is_among_the_first_two():
    rings = find_rings(planted(melody(), 2750.0, gain_db=14.0), RATE_HZ)
    assert min(abs(1200 * math.log2(ring.freq_hz / 2750.0)) for ring in rings) < 20


def test_rings_come_most_certain_first_and_never_more_than_asked():
    audio = planted(planted(noise(6), 1200.0, gain_db=9.0), 4000.0, gain_db=15.0)
    rings = find_rings(audio, RATE_HZ, RingSettings(at_most=8))
    assert [r.confidence for r in rings] == sorted((r.confidence for r in rings), reverse=True)
    assert {round(r.freq_hz, -2) for r in rings} == {1200.0, 4000.0}
    assert len(find_rings(audio, RATE_HZ, RingSettings(at_most=1))) == 1


def test_half_of_two_equal_channels_has_the_same_rings_as_one():
    audio = planted(noise(4), 3000.0)
    one, two = find_rings(audio, RATE_HZ), find_rings(np.repeat(audio, 2, axis=1), RATE_HZ)
    assert [r.freq_hz for r in one] == pytest.approx([r.freq_hz for r in two], rel=1e-6)


def test_channels_in_opposite_polarity_do_not_hide_a_ring():
    audio = planted(noise(4), 3000.0)
    rings = find_rings(np.concatenate([audio, -audio], axis=1), RATE_HZ)
    assert rings[0].freq_hz == pytest.approx(3000, rel=0.003)


def test_rings_do_not_depend_on_the_level():
    audio = planted(hits(), 2400.0)
    loud, quiet = find_rings(audio, RATE_HZ), find_rings(audio * 0.01, RATE_HZ)
    assert [r.freq_hz for r in loud] == pytest.approx([r.freq_hz for r in quiet], rel=1e-4)


@settings(max_examples=12, deadline=None)
@given(st.lists(st.integers(1, 30000), min_size=1, max_size=12), st.integers(0, 20000))
def test_rings_do_not_depend_on_the_blocks(sizes, cut):
    audio = planted(noise(1.5, channels=2), 3000.0)[: len(noise(1.5)) - cut]
    finder, at, turn = RingFinder(RATE_HZ, 2), 0, 0
    while at < len(audio):
        finder.feed(audio[at : at + sizes[turn % len(sizes)]])
        at, turn = at + sizes[turn % len(sizes)], turn + 1
    assert finder.finish() == find_rings(audio, RATE_HZ)


def test_finish_may_be_asked_again_with_other_settings():
    finder = RingFinder(RATE_HZ, 1)
    finder.feed(planted(noise(3), 3000.0))
    first = finder.finish()
    assert finder.finish() == first
    assert finder.finish(RingSettings(from_hz=5000.0)) == []


def test_memory_does_not_grow_with_the_stem():
    keeper = FrameKeeper(RATE_HZ, 1)
    block = noise(5)
    held = set()
    for _ in range(30):
        keeper.feed(block)
        held.add(len(keeper._frames) <= MOST_FRAMES and len(keeper._recent) == 4 and len(keeper._pending) < keeper.hop)
    assert held == {True}
    assert all(part.base is None for parts in keeper._frames for part in parts), "a view would keep a whole block alive"
    assert MOST_FRAMES // 2 <= len(keeper.spectra().power) <= MOST_FRAMES


def test_of_a_long_stem_the_loud_moments_are_kept():
    # Paper: 150 s are 1615 hops; groups of 32 hops hold one hit each, and the loudest frame of each group is the one with the hit.
    keeper = FrameKeeper(RATE_HZ, 1)
    audio = noise(150) * 1e-4
    for start in range(0, len(audio) - 8000, 32 * keeper.hop):
        audio[start + 20000 : start + 28000] += noise(8000 / RATE_HZ)[:8000]
    keeper.feed(audio)
    loudness = keeper.spectra().power.sum(axis=1)
    assert np.mean(loudness > loudness.max() / 100) > 0.9


@pytest.mark.parametrize(
    "audio",
    [np.zeros((0, 1)), np.zeros((3, 1)), np.ones((3, 2)), np.zeros((RATE_HZ, 2)), np.full((RATE_HZ, 1), 0.5)],
    ids=["nothing", "three zeros", "three ones", "silence", "constant"],
)
def test_no_sound_has_no_rings(audio):
    assert find_rings(audio, RATE_HZ) == []


@pytest.mark.parametrize("seed", range(4))
def test_white_noise_has_no_rings(seed):
    assert find_rings(noise(5, seed), RATE_HZ) == []


@pytest.mark.parametrize("freq_hz", [220.0, 1000.0, 3520.0])
def test_lone_sine_is_a_note_and_no_ring(freq_hz):
    tone = 0.3 * np.sin(2 * np.pi * freq_hz * np.arange(4 * RATE_HZ) / RATE_HZ)
    assert find_rings(tone + noise(4)[:, 0] * 1e-4, RATE_HZ) == []


def test_held_chord_has_no_rings():
    chord = sum(note(f0_hz, 5.0) for f0_hz in (220.0, 277.18, 329.63)) * 0.2
    assert find_rings(chord + noise(5)[:, 0] * 1e-3, RATE_HZ) == []


def test_one_shot_of_a_tenth_of_a_second_is_no_crash_and_few_rings():
    assert len(find_rings(hits(0.4)[: RATE_HZ // 10], RATE_HZ)) <= 1


def test_a_melody_has_few_rings():
    assert sum(len(find_rings(melody(seed), RATE_HZ)) for seed in range(6)) <= 2


def test_every_ring_that_is_listed_is_no_narrower_than_a_notch_may_be():
    # A melody's partials are lines, narrower than any fit; a notch's Q goes up to 100 (the table of moves).
    rings = find_rings(melody(), RATE_HZ, RingSettings(at_most=8, least_db=0, least_confidence=0))
    assert max(ring.q for ring in rings) <= 100
    assert len(rings) == 8
    harmless = [ring for ring in rings if ring.most_cut_db > 0.05]  # what no notch is sure to help gets none
    assert len(plan_notches(rings, depth_percent=50, deepest_db=6)) == len(harmless) > 4


def test_band_holds_only_its_own_rings():
    audio = planted(planted(noise(5), 1200.0), 4000.0)
    rings = find_rings(audio, RATE_HZ, RingSettings(from_hz=2000.0, to_hz=8000.0))
    assert [round(r.freq_hz, -2) for r in rings] == [4000.0]


def test_band_above_the_file_s_range_holds_none():
    audio = np.random.default_rng(1).normal(size=16000 * 3)
    assert find_rings(audio, 16000, RingSettings(from_hz=9000.0, to_hz=20000.0)) == []


def test_excess_smaller_than_least_is_left_alone():
    audio = planted(noise(6), 3000.0, gain_db=8.0)
    assert len(find_rings(audio, RATE_HZ)) == 1
    assert find_rings(audio, RATE_HZ, RingSettings(least_db=12.0)) == []


def test_ring_is_plain_numbers_for_json():
    ring = find_rings(planted(noise(3), 3000.0), RATE_HZ)[0]
    back = json.loads(json.dumps(ring.as_json()))
    assert back["freq_hz"] == ring.freq_hz
    assert back["evidence"]["persistence"] == ring.evidence.persistence
    assert 0 <= ring.share <= 1
    assert 0 <= ring.confidence <= 1


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
@pytest.mark.parametrize("at", [5, 30000, 43990])
def test_sample_that_is_no_number_is_refused(bad, at):
    audio = noise(1)
    audio[at] = bad
    finder = RingFinder(RATE_HZ, 1)
    message = r"^rings: the sound has samples that are not numbers \(NaN or infinite\); repair it first$"
    with pytest.raises(AudioError, match=message):
        finder.feed(audio)


def test_block_of_another_shape_is_refused():
    with pytest.raises(AudioError, match=r"^rings: a block has the shape \(10, 3\); expected \(frames, 2\)$"):
        RingFinder(RATE_HZ, 2).feed(np.zeros((10, 3)))


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"from_hz": 5000.0, "to_hz": 200.0}, "rings: from (5000 Hz) must be below to (200 Hz)"),
        ({"from_hz": 5.0}, "rings: from is 5 Hz; allowed are 20 to 20000 Hz"),
        ({"to_hz": float("nan")}, "rings: to is nan Hz; allowed are 20 to 20000 Hz"),
        ({"at_most": 9}, "rings: at_most is 9; allowed are 1 to 8"),
        ({"least_db": -1.0}, "rings: least is -1 dB; allowed are 0 to 24 dB"),
    ],
)
def test_settings_that_make_no_sense_say_so(wrong, message):
    with pytest.raises(RingSettingsError) as caught:
        RingSettings(**wrong)
    assert str(caught.value) == message
    assert isinstance(caught.value, StemwrightError)
