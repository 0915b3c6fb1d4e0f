"""The numbers shown for a ring, on a curve whose peak stands where it was drawn."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.signal.windows import hann

from stemwright.dsp.rings.evidence import evidence_at, peak_to_harmonics_db
from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, bell_db
from stemwright.dsp.rings.spectra import _hann

PLACE = 600
CURVE = bell_db((np.arange(1200) - PLACE) / POINTS_PER_OCTAVE, 10.0, 20.0)
NEAR = POINTS_PER_OCTAVE // 60


def at(place):
    curves = SimpleNamespace(level=dict.fromkeys(("floor", "power", "between", "typical"), CURVE))
    return evidence_at(place, curves, persistence=0.5, decay_s=0.1)


def test_a_place_a_little_beside_the_peak_is_judged_by_the_peak():
    middle = at(PLACE)
    for place in (PLACE - NEAR, PLACE + NEAR):
        beside = at(place)
        assert beside.peak_to_neighbours_db == middle.peak_to_neighbours_db
        assert beside.floor_excess_db == pytest.approx(middle.floor_excess_db)
    # The bell that was drawn: 10 dB.
    assert middle.floor_excess_db == pytest.approx(10.0, abs=0.5)
    assert at(PLACE + 4 * NEAR).peak_to_neighbours_db < middle.peak_to_neighbours_db - 0.5


def test_curves_alike_are_independent_of_the_pitch():
    assert at(PLACE).pitch_independence == pytest.approx(1.0)
    assert at(PLACE).around_db[12] == max(at(PLACE).around_db)


# Eq. 45 of the source: over the loudest of 0.5, 1.5, 2, 3 and 4 times the frequency.
@pytest.mark.parametrize(("times", "expected_db"), [(0.5, 4.0), (1.5, 4.0), (2, 4.0), (3, 4.0), (4, 4.0), (1.2, 10.0)])
def test_a_place_is_held_against_its_harmonics(times, expected_db):
    level = np.zeros(1200)
    level[PLACE] = 10.0
    level[PLACE + round(np.log2(times) * POINTS_PER_OCTAVE)] = 6.0
    assert peak_to_harmonics_db(PLACE, level) == expected_db


@pytest.mark.parametrize("size", [16, 1024])
def test_the_window_is_scipys_hann_for_spectra(size):
    assert _hann(size) == pytest.approx(hann(size, sym=False), abs=1e-6)
