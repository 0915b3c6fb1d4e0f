"""The cascade: block size never shows, and a damaged section cannot howl."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import butter, sosfilt

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
