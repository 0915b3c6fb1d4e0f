"""Which frames of a sound are kept, and that their spectra are what numpy's transform gives."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.rings.spectra import MOST_FRAMES, FrameKeeper
from stemwright.errors import AudioError

RATE_HZ = 44_100
FRAME, HOP = 16_384, 4096


def keeper_of(sound, rate_hz=RATE_HZ, size=10**9):
    keeper = FrameKeeper(rate_hz, sound.shape[1])
    for start in range(0, len(sound), size):
        keeper.feed(sound[start : start + size])
    return keeper


def noise(frames, channels=1, seed=1):
    return np.random.default_rng(seed).standard_normal((frames, channels)) * 0.1


def frames_of(sound):
    """Return all frames, each centred on a multiple of the hop, silence around the sound, shape (frames, samples, channels)."""
    count = -(-len(sound) // HOP)
    padded = np.pad(sound, ((FRAME // 2, FRAME + HOP), (0, 0)))
    return np.array([padded[at * HOP : at * HOP + FRAME] for at in range(count)])


def hann(size):
    return 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(size) / size)


@pytest.mark.parametrize("channels", [1, 2])
def test_spectra_are_numpys_summed_over_channels(channels):
    sound = noise(10 * HOP - 500, channels)
    found = keeper_of(sound).spectra()
    expected = (np.abs(np.fft.rfft(frames_of(sound) * hann(FRAME)[:, np.newaxis], axis=1)) ** 2).sum(axis=2)
    assert found.power.shape == (10, int(20_600 * FRAME / RATE_HZ) + 2)
    assert found.bin_hz == RATE_HZ / FRAME
    np.testing.assert_allclose(found.power, expected[:, : found.power.shape[1]], rtol=1e-3, atol=1e-3)


def test_short_windows_lie_half_a_length_apart_about_the_middle_of_each_frame():
    sound = noise(10 * HOP)
    found = keeper_of(sound).spectra()
    starts = [HOP // 2 * number for number in range(1, 5)]
    expected = [
        [np.abs(np.fft.rfft(frame[start : start + HOP, 0] * hann(HOP))) ** 2 for start in starts]
        for frame in frames_of(sound)
    ]
    assert found.short_bin_hz == RATE_HZ / HOP
    np.testing.assert_allclose(
        found.short_power, np.array(expected)[..., : found.short_power.shape[2]], rtol=1e-3, atol=1e-3
    )
    assert found.short_power.shape[2] == (found.power.shape[1] + 2) // 4 + 1


# About 0.37 s: 16,384 samples near 46 kHz, twice as many for every octave of the rate, never fewer.
@pytest.mark.parametrize(
    ("rate_hz", "frame"),
    [(8_000, 16_384), (48_000, 16_384), (64_000, 16_384), (66_000, 32_768), (96_000, 32_768), (192_000, 65_536)],
)
def test_frames_are_as_long_as_their_rate_asks(rate_hz, frame):
    keeper = FrameKeeper(rate_hz, 1)
    assert (keeper.frame, keeper.hop) == (frame, frame // 4)
    # 3 % over 20 kHz, or all there is.
    assert keeper.bins == min(frame // 2 + 1, int(20_600 * frame / rate_hz) + 2)


def energies(sound):
    """Return each frame's loudness, the low end held back by x[n] - 0.9 x[n-1], its outer hops counting 0.15 and its inner 0.85."""
    flat = frames_of(sound)[:, :, 0].reshape(-1, 4, HOP).astype(np.float32).astype(np.float64)
    hops = 1.81 * (flat**2).sum(axis=2) - 1.8 * (flat[..., 1:] * flat[..., :-1]).sum(axis=2)
    return hops @ [0.15, 0.85, 0.85, 0.15]


# Paper: 40 frames are kept; over that groups of 2, 4, 8 frames keep their loudest, from the start of the sound on.
@pytest.mark.parametrize(
    ("hops", "group"),
    [(20, 1), (39, 1), (40, 1), (41, 2), (70, 2), (80, 2), (81, 4), (130, 4), (160, 4), (161, 8)],
)
def test_of_more_frames_than_are_kept_the_loudest_of_each_group_stays(hops, group):
    sound = noise(hops * HOP, seed=hops) * np.random.default_rng(hops).uniform(0.05, 1.0, (hops, 1)).repeat(HOP, axis=0)
    loudness = energies(sound)
    wanted = [start + int(np.argmax(loudness[start : start + group])) for start in range(0, len(loudness), group)]
    found = keeper_of(sound, size=5000).spectra().power
    assert len(found) == len(wanted) <= MOST_FRAMES
    expected = np.abs(np.fft.rfft(frames_of(sound)[wanted][:, :, 0] * hann(FRAME), axis=1)) ** 2
    np.testing.assert_allclose(found.sum(axis=1), expected[:, : found.shape[1]].sum(axis=1), rtol=1e-4)


def test_of_two_neighbours_the_one_with_more_of_the_top_is_the_louder():
    # Of x[n] - 0.9 x[n-1] a tone has 1.81 - 1.8 cos w of its power: 100 Hz 0.0102, 5 kHz 0.44: 43 times as much, 16.4 dB.
    time = np.arange(8 * HOP) / RATE_HZ
    for gain_db, top in ((-15.0, True), (-18.0, False)):
        low, high = np.sin(2 * np.pi * 100 * time), 10 ** (gain_db / 20) * np.sin(2 * np.pi * 5000 * time)
        sound = np.tile(np.concatenate([low, high]), 6)[:, np.newaxis] * 0.3
        keeper = keeper_of(sound)
        loudest = keeper.spectra().power[int(np.argmax(keeper._loudness))]
        assert (loudest.argmax() * RATE_HZ / FRAME > 1000) == top


def test_silence_round_a_sound_keeps_no_frames_and_what_is_60_db_down_is_silence():
    sound = noise(8 * HOP)
    alone = len(keeper_of(sound).spectra().power)
    quiet = np.concatenate([sound, np.zeros((20 * HOP, 1))])
    assert len(keeper_of(quiet).spectra().power) == alone + 2  # which still hold the end of the sound
    for down_db, heard in ((-57.0, True), (-63.0, False)):
        tail = np.concatenate([sound, noise(12 * HOP, seed=2) * 10 ** (down_db / 20)])
        assert (len(keeper_of(tail).spectra().power) > alone + 5) == heard


@pytest.mark.parametrize(("rate_hz", "channels"), [(0.0, 1), (-1.0, 1), (44_100.0, 0)])
def test_no_rate_and_no_channels_are_refused(rate_hz, channels):
    with pytest.raises(AudioError) as caught:
        FrameKeeper(rate_hz, channels)
    assert str(caught.value) == f"rings: cannot work with {channels} channels at {rate_hz:g} Hz"


def test_a_block_without_channels_of_its_own_is_refused():
    with pytest.raises(AudioError, match=r"^rings: a block has the shape \(5,\); expected \(frames, 1\)$"):
        FrameKeeper(RATE_HZ, 1).feed(np.zeros(5))
