"""A stem from far away: the same whatever blocks it comes in, and whether as floats or as the integers of its file."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stemwright import native
from stemwright.dsp.overview import CLIPPED_RUN, COLUMNS, MOMENT_FRAMES, Overviewer, extremes, overview_of

RATE_HZ = 48_000


def seen(blocks, frames, scale=1.0):
    overviewer = Overviewer(frames, RATE_HZ)
    for block in blocks:
        overviewer.feed(block, scale)
    return overviewer.overview()


def assert_same(one, other):
    assert one.lows.tolist() == other.lows.tolist()
    assert one.highs.tolist() == other.highs.tolist()
    assert one.swings.tolist() == other.swings.tolist()
    assert one.clipped == other.clipped


@given(st.integers(1, 60_000), st.integers(1, 3), st.lists(st.integers(1, 9000), max_size=5), st.integers(0, 9))
def test_blocks_do_not_show(frames, channels, sizes, seed):
    # The reference: columns and moments cut from the whole sound at once, by their definition.
    audio = np.clip(np.random.default_rng(seed).standard_normal((frames, channels)), -1.0, 1.0)
    edges = [*np.minimum(np.cumsum([0, *sizes]), frames).tolist(), frames]
    found = seen([audio[a:b] for a, b in pairwise(edges)], frames)
    assert_same(found, seen([audio], frames))
    assert found.lows.min() == audio.min()
    assert found.highs.max() == audio.max()


@pytest.mark.parametrize("split", range(997, 1006))
def test_a_clipped_run_counts_once_at_its_start_wherever_a_block_ends(split):
    audio = np.zeros((5000, 2))
    audio[1000 : 1000 + CLIPPED_RUN, 1] = 1.0
    audio[2000 : 2000 + CLIPPED_RUN - 1, 0] = -1.0  # too short
    audio[split - 1 : split + 1, 0] = -1.0  # too short, on both sides of the border
    found = seen([audio[:split], audio[split:]], len(audio))
    assert found.clipped == (1000 / RATE_HZ,)


def test_a_run_longer_than_blocks_counts_once():
    audio = np.zeros((300, 1))
    audio[20:290] = 1.0
    assert seen([audio[at : at + 10] for at in range(0, 300, 10)], len(audio)).clipped == (20 / RATE_HZ,)


@pytest.mark.parametrize("bits", [8, 16, 24])
def test_the_integers_of_a_file_look_as_their_floats_do(bits):
    full = 2 ** (bits - 1)
    words = np.random.default_rng(3).integers(-full, full, (40_001, 2), dtype=np.int32)
    found = seen([words[:30_000], words[30_000:]], len(words), 2.0 ** (1 - bits))
    assert_same(found, overview_of([words / full], len(words), RATE_HZ))


def test_the_loudest_moment_of_a_long_stem_is_where_it_is():
    # Half an hour and more, so that a column is longer than a moment.
    frames, block = 6000 * MOMENT_FRAMES, np.zeros((4 * MOMENT_FRAMES, 1))
    loud = np.ones((4 * MOMENT_FRAMES, 1))
    loud[: 3 * MOMENT_FRAMES] = 0.0
    loud[::2] *= -1.0
    found = seen([loud if number == 1000 else block for number in range(1500)], frames)
    assert len(found.swings) == 6000
    assert int(found.swings.argmax()) == 4003


@pytest.mark.skipif(native.kernels is None, reason="NOT TESTED: this installation has no compiled kernels")
@given(
    frames=st.integers(0, 3000),
    channels=st.integers(1, 3),
    width=st.sampled_from([1, 2, 31, 64, 100, 1024]),
    odd=st.sampled_from([None, np.nan, np.inf, -np.inf]),
    seed=st.integers(0, 99),
)
def test_the_kernel_finds_the_same_extremes(frames, channels, width, odd, seed):
    random = np.random.default_rng(seed)
    rows = random.standard_normal((channels, frames))
    if odd is not None and frames:
        rows[random.integers(channels), random.integers(frames)] = odd
    made = extremes(rows, width)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(native, "kernels", None)
        twin = extremes(rows, width)
    assert np.array_equal(made, twin, equal_nan=True)
    assert np.isnan(made[0]).sum() == (odd is not None and frames > 0)
    assert np.array_equal(np.isnan(made[0]), np.isnan(made[1]))


def test_extremes_are_those_of_each_part_and_channel():
    rows = np.array([[1.0, -2.0, 3.0, 4.0, 5.0], [0.0, 0.5, -0.5, 0.0, -9.0]])
    lows, highs = extremes(rows, 2)
    assert lows.tolist() == [[-2.0, 3.0, 5.0], [0.0, -0.5, -9.0]]
    assert highs.tolist() == [[1.0, 4.0, 5.0], [0.5, 0.0, -9.0]]


# The last step of a 16-bit word is 32767 of 32768 above and all of full scale below; one step less on either side is no clipping.
@pytest.mark.parametrize(
    ("step", "clipped"), [(32_767, True), (32_766, False), (-32_768, True), (-32_767, True), (-32_766, False)]
)
def test_the_last_step_of_16_bits_is_full_scale(step, clipped):
    audio = np.zeros((1000, 1))
    audio[500:503] = step / 32_768
    assert seen([audio], len(audio)).clipped == ((500 / RATE_HZ,) if clipped else ())


# A column is put together from at most eight bins (3840 in all) of a power of two of frames, none longer than a moment.
@pytest.mark.parametrize(("frames", "bin_frames"), [(3840, 1), (3841, 2), (7680, 2), (7681, 4), (10**9, 16_384)])
def test_bins_are_as_fine_as_the_columns_ask(frames, bin_frames):
    assert Overviewer(frames, RATE_HZ).bin_frames == bin_frames


def two_and_a_half_moments():
    """Return noise in bins of 16 frames: 2500 bins for 480 columns, and 1024 bins a moment."""
    return np.random.default_rng(4).uniform(-0.9, 0.9, (40_000, 2))


def test_columns_and_moments_are_cut_by_their_definition():
    audio = two_and_a_half_moments()
    bins = audio.reshape(2500, -1)
    edges = [number * 2500 // COLUMNS * 16 for number in range(COLUMNS + 1)]
    reach = (bins.max(axis=1) - bins.min(axis=1)) ** 2
    found = seen([audio], len(audio))
    assert found.lows.tolist() == [audio[a:b].min() for a, b in pairwise(edges)]
    assert found.highs.tolist() == [audio[a:b].max() for a, b in pairwise(edges)]
    # What the last moment lacks counts as still.
    assert found.swings == pytest.approx(
        [reach[:1024].sum() / 1024, reach[1024:2048].sum() / 1024, reach[2048:].sum() / 1024]
    )


def test_a_stem_of_few_samples_has_a_column_for_each():
    found = seen([np.array([[0.5, -0.5], [0.25, 0.125]])], 2)
    assert (found.lows.tolist(), found.highs.tolist()) == ([-0.5, 0.125], [0.5, 0.25])
    # (1 + 1/64) / 16384 places, one bin a frame
    assert found.swings == pytest.approx([1.015625 / 16_384])


def test_blocks_that_lie_channel_by_channel_look_the_same():
    audio = two_and_a_half_moments()
    audio[3000:3003, 1] = 1.0
    beside = [np.asfortranarray(audio[:30_000]), np.asfortranarray(audio[30_000:])]
    assert_same(seen(beside, len(audio)), seen([audio], len(audio)))
    assert_same(seen([each * 2 for each in beside], len(audio), 0.5), seen([audio], len(audio)))


@pytest.mark.parametrize("width", [4, 16])
def test_extremes_that_are_known_are_taken_as_if_fed(width):
    audio = two_and_a_half_moments()
    audio[15_998:16_001, 1] = 1.0  # over the border of two blocks
    overviewer = Overviewer(len(audio), RATE_HZ)
    for block in (audio[:16_000], audio[16_000:]):
        overviewer.take(*extremes(np.ascontiguousarray(block.T), width), width, block)
    found = overviewer.overview()
    assert_same(found, seen([audio], len(audio)))
    assert found.clipped == (15_998 / RATE_HZ,)


def test_nothing_looks_like_nothing():
    found = overview_of([], 0, RATE_HZ)
    assert (found.lows.tolist(), found.highs.tolist(), found.clipped, found.swings.tolist()) == ([], [], (), [])


def test_a_run_that_a_quiet_block_ends_does_not_go_on_in_the_next():
    audio = np.zeros((30, 1))
    audio[8:10] = audio[20:22] = 1.0
    assert seen([audio[:10], audio[10:20], audio[20:]], len(audio)).clipped == ()


def test_a_run_goes_on_in_its_own_channel_and_side_only():
    audio = np.zeros((20, 2))
    audio[8:10, 0] = 1.0
    audio[10:12, 0] = -1.0
    audio[10:12, 1] = 1.0
    assert seen([audio[:10], audio[10:]], len(audio)).clipped == ()


def test_runs_beside_one_that_goes_on_count_too():
    audio = np.zeros((40, 1))
    audio[7:12] = audio[15:18] = audio[37:40] = 1.0
    assert seen([audio[:10], audio[10:]], len(audio)).clipped == (7 / RATE_HZ, 15 / RATE_HZ, 37 / RATE_HZ)
