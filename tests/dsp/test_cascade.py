"""The cascade: block size never shows, and a damaged section cannot howl."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import butter, sosfilt

from stemwright import native
from stemwright.dsp.cascade import Cascade
from stemwright.errors import DesignError

SECTIONS = butter(6, 200, "hp", fs=48_000, output="sos")
AUDIO = np.random.default_rng(0).standard_normal((4000, 3))


@given(st.lists(st.integers(0, 900), min_size=1, max_size=20))
def test_any_blocks_equal_scipys_whole_file_bit_for_bit(sizes):
    cascade, at, parts = Cascade(SECTIONS, 3), 0, []
    for size in [*sizes, len(AUDIO)]:
        parts.append(cascade.process(AUDIO[at : at + size]))
        at += size
    assert np.array_equal(np.concatenate(parts), sosfilt(SECTIONS, AUDIO, axis=0))


def test_no_sections_are_a_wire():
    assert np.array_equal(Cascade(np.zeros((0, 6)), 3).process(AUDIO), AUDIO)


@pytest.mark.parametrize("row", [[1, 0, 0, 1, 0, 1.01], [1, 0, 0, 1, -2, 0.99], [1, 0, 0, 2, 0, 0], [np.nan, 0, 0, 1, 0, 0]])
def test_a_section_that_is_unstable_or_no_number_is_refused(row):
    with pytest.raises(DesignError, match="sections must be"):
        Cascade(np.array([row]), 1)


# What happens when a sound stops: it stops at once, fades to nothing, leaves an offset, or is below a double's digits all along.
SECOND = 48_000
NOISE = np.random.default_rng(1).standard_normal((SECOND, 2))
ENDINGS = {
    "stops": np.concatenate([NOISE, np.zeros((9 * SECOND, 2))]),
    "fades": np.tile(NOISE, (10, 1)) * 10.0 ** (-np.arange(10 * SECOND) / 1400)[:, np.newaxis],
    "leaves an offset": np.concatenate([NOISE, np.full((9 * SECOND, 2), 0.25)]),
    "is subnormal": np.tile(NOISE, (10, 1)) * 1e-310,
}


@pytest.mark.parametrize("ending", ENDINGS)
def test_what_a_file_can_hold_equals_scipys_after_a_sound_has_ended(ending):
    # float32 reaches down to 1.4e-45 (IEEE 754 binary32), 32-bit words to 4.7e-10.
    audio = ENDINGS[ending]
    expected = sosfilt(SECTIONS, audio, axis=0).astype(np.float32)
    assert np.array_equal(Cascade(SECTIONS, 2).process(audio).astype(np.float32), expected)


@pytest.mark.parametrize("kernels", [native.kernels, None])
@pytest.mark.parametrize("ending", ["stops", "fades"])
def test_no_sample_and_no_state_stays_where_processors_are_slow(ending, kernels, monkeypatch):
    monkeypatch.setattr(native, "kernels", kernels)
    cascade = Cascade(SECTIONS, 2)
    tail = cascade.process(ENDINGS[ending])[-SECOND:]
    assert not tail.any()
    assert not cascade._state.any()


@given(st.lists(st.integers(1, 30_000), min_size=1, max_size=9), st.sampled_from(list(ENDINGS)))
@settings(max_examples=20, deadline=None)
def test_blocks_and_kernels_do_not_show_when_a_sound_ends(sizes, ending):
    audio = ENDINGS[ending][: 3 * SECOND]
    whole = Cascade(SECTIONS, 2).process(audio)
    kept, native.kernels = native.kernels, None
    try:
        cascade, at, parts = Cascade(SECTIONS, 2), 0, []
        for size in [*sizes, len(audio)]:
            parts.append(cascade.process(audio[at : at + size]))
            at += size
    finally:
        native.kernels = kept
    assert whole.tobytes() == np.concatenate(parts).tobytes()
