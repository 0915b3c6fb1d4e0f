"""The smallest move on a stem that brings a front back over it; the index is half of 30 dB where both are as loud."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ
from stemwright.dsp.prototypes import magnitude_db
from stemwright.plan.beat import Beat
from stemwright.plan.cures import cure

BANDS = len(CENTRES_HZ)
PLACE = slice(0, 100)
MIDDLE = slice(18, 23)  # 1.0 to 1.8 kHz
LOW_HZ, HIGH_HZ = float(CENTRES_HZ[18]), float(CENTRES_HZ[22])


def beat_of(pad_db, *, bands=slice(None), elsewhere_db=-90.0, hiss_db=None):
    front, pad = np.full((200, BANDS), 0.01), np.full((200, BANDS), 10.0 ** (elsewhere_db / 10.0))
    pad[:, bands] = 10.0 ** (pad_db / 10.0)
    stems = {"keys": front, "pad": pad}
    if hiss_db is not None:
        stems["hiss"] = np.full((200, BANDS), 10.0 ** (hiss_db / 10.0))
    return Beat(stems, ["keys"], voice=False)


# A pad as loud as the front leaves 0.5; every dB less of it is 1/30 more. Steps are half a decibel, from one decibel to nine.
@pytest.mark.parametrize(
    ("target", "gain_db", "enough"),
    [(0.4, -1.0, True), (0.5 + 0.99 / 30, -1.0, True), (0.5 + 1.01 / 30, -1.5, True), (0.5 + 3.9 / 30, -4.0, True),
     (0.5 + 8.99 / 30, -9.0, True), (0.5 + 9.01 / 30, -9.0, False)],
)  # fmt: skip
def test_a_level_is_lowered_by_what_is_missing_in_half_decibels(target, gain_db, enough):
    found = cure(beat_of(-20.0), PLACE, "pad", [], target)
    assert (found.stem, found.gain_db, found.freq_hz, found.q, found.enough) == ("pad", gain_db, None, 1.0, enough)
    assert found.index == pytest.approx(0.5 - gain_db / 30)


def test_a_dip_over_the_covered_bands_is_taken_where_it_takes_less_of_the_stem():
    beat = beat_of(-14.0, bands=MIDDLE, elsewhere_db=-30.0)
    now = beat.index_of(beat.total[PLACE], PLACE)
    found = cure(beat, PLACE, "pad", [(LOW_HZ, HIGH_HZ)], now + 0.01)
    middle_hz = (LOW_HZ * HIGH_HZ) ** 0.5
    assert found.freq_hz == round(middle_hz, -1)
    assert found.q == round(middle_hz / (HIGH_HZ - LOW_HZ), 1)
    assert found.enough
    assert found.gain_db >= -6.0


def test_a_dip_is_never_deeper_than_6_db_and_the_level_goes_further_where_that_is_not_enough():
    beat = beat_of(-14.0, bands=MIDDLE, elsewhere_db=-30.0)
    now = beat.index_of(beat.total[PLACE], PLACE)
    at_most = cure(beat, PLACE, "pad", [(LOW_HZ, HIGH_HZ)], 2.0)
    assert (at_most.freq_hz, at_most.gain_db, at_most.enough) == (None, -9.0, False)
    # Of 39 bands, all alike in the front, five come back by 9 dB, the others by the 5 dB that they lacked to be all heard.
    assert at_most.index == pytest.approx(now + (5 * 9 + 34 * 5) / BANDS / 30, abs=1e-3)


# Wide groups have a Q of no less than 0.5 and narrow ones of no more than 4.
@pytest.mark.parametrize(
    ("low_hz", "high_hz", "freq_hz", "q"),
    [(200.0, 5000.0, 1000.0, 0.5), (990.0, 1060.0, 1020.0, 4.0), (800.0, 1250.0, 1000.0, 2.2)],
)
def test_a_dip_is_as_wide_as_the_bands_it_stands_for(low_hz, high_hz, freq_hz, q):
    bands = (low_hz - 40 < CENTRES_HZ) & (high_hz + 40 > CENTRES_HZ)
    beat = beat_of(-14.0, bands=bands, elsewhere_db=-24.0)
    now = beat.index_of(beat.total[PLACE], PLACE)
    found = cure(beat, PLACE, "pad", [(low_hz, high_hz)], now + 0.002)
    assert (found.freq_hz, found.q) == (freq_hz, q)


def test_what_others_cover_besides_stays_covered():
    # The hiss alone leaves 0.5; with the pad as loud they leave 3.01 dB less, and without the pad no more than 0.5 comes back.
    beat = beat_of(-20.0, hiss_db=-20.0)
    found = cure(beat, PLACE, "pad", [], 0.49)
    left_db = 10 * np.log10(1 + 10 ** (found.gain_db / 10))
    assert found.index == pytest.approx(0.5 - left_db / 30)
    assert found.enough == (found.index >= 0.49)


@pytest.mark.parametrize("lost_back", [0.004, 0.007, 0.01])
def test_a_dip_does_what_the_bell_of_its_gain_does_and_is_the_shallowest_that_is_enough(lost_back):
    beat = beat_of(-14.0, bands=MIDDLE, elsewhere_db=-34.0)
    rest, pad = np.zeros((100, BANDS)), beat.others["pad"][PLACE]
    now = beat.index_of(pad, PLACE)
    found = cure(beat, PLACE, "pad", [(LOW_HZ, HIGH_HZ)], now + lost_back)

    def index_with(gain_db):
        curve_db = magnitude_db("bell", {"freq_hz": found.freq_hz, "gain_db": gain_db, "q": found.q}, CENTRES_HZ)
        return beat.index_of(rest + pad * 10.0 ** (curve_db / 10.0), PLACE)

    assert found.freq_hz is not None
    assert found.enough
    assert found.index == pytest.approx(index_with(found.gain_db))
    assert index_with(found.gain_db) >= now + lost_back
    assert found.gain_db == -1.0 or index_with(found.gain_db + 0.5) < now + lost_back


def test_of_a_dip_and_a_level_the_one_that_takes_less_of_the_stem_is_taken():
    # The pad sounds in the covered bands only, so a dip as deep takes as much of it, and at the edges of the dip less comes back.
    narrow = beat_of(-14.0, bands=MIDDLE, elsewhere_db=-120.0)
    now = narrow.index_of(narrow.total[PLACE], PLACE)
    wide = beat_of(-14.0, bands=MIDDLE, elsewhere_db=-35.0)
    there = wide.index_of(wide.total[PLACE], PLACE)
    for beat, target in ((narrow, now + 0.02), (wide, there + 0.02)):
        found = cure(beat, PLACE, "pad", [(LOW_HZ, HIGH_HZ)], target)
        options = []
        power = beat.others["pad"][PLACE]
        loud = power.mean(axis=0) ** 0.3
        for freq_hz in (None, found.freq_hz or 1320.0):
            for depth in np.arange(1.0, (9.0 if freq_hz is None else 6.0) + 0.1, 0.5):
                bell = {"freq_hz": freq_hz, "gain_db": depth, "q": 1.6}
                curve_db = np.full(BANDS, depth) if freq_hz is None else magnitude_db("bell", bell, CENTRES_HZ)
                if beat.index_of(power * 10.0 ** (-curve_db / 10.0), PLACE) >= target:
                    options.append((float(curve_db @ loud / loud.sum()), freq_hz))
                    break
        assert found.freq_hz == min(options)[1]


def test_no_dip_goes_deeper_than_6_db_though_a_deeper_one_would_take_less_than_the_level():
    # 7 dB are missing in five bands; the pad sounds in all the others too, where it covers nothing.
    beat = beat_of(-20.0, bands=MIDDLE, elsewhere_db=-45.0)
    now = beat.index_of(beat.total[PLACE], PLACE)
    found = cure(beat, PLACE, "pad", [(LOW_HZ, HIGH_HZ)], now + 5 * 6.9 / BANDS / 30)
    assert (found.freq_hz, found.gain_db, found.enough) == (None, -7.0, True)
