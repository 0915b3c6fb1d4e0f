"""Audible: a change over others is heard, one under them is not, and what would help does."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ
from stemwright.plan.audible import clash, heard_of, together

FRAMES, BANDS = 300, len(CENTRES_HZ)
AT = int(np.argmin(np.abs(CENTRES_HZ - 3000.0)))


def flat(db, frames=FRAMES):
    return np.full((frames, BANDS), 10.0 ** (db / 10.0))


def lifted(power, db):
    out = power.copy()
    out[:, AT] *= 10.0 ** (db / 10.0)
    return out


def judged(own_db, *others_db, place=None):
    own = flat(own_db)
    return heard_of(own, lifted(own, 1.2), {f"{n}": flat(db) for n, db in enumerate(others_db)}, place)


def test_a_change_on_a_stem_that_lies_over_the_others_is_heard():
    found = judged(-20.0, -30.0, -35.0)
    assert (found.share, found.covered_by) == (1.0, ())
    assert found.change_db == pytest.approx(1.2)
    assert found.freq_hz == CENTRES_HZ[AT]


def test_a_change_far_under_the_others_is_not_heard_and_they_are_named_the_loudest_first():
    found = judged(-40.0, -31.0, -30.0, -50.0)
    assert (found.share, found.covered_by) == (0.0, ("1", "0"))


# Arithmetic: the lifted band lies at -33.8 dB and is heard under others of up to -29.8; the guitar at -26 is 3.8 dB too loud.
def test_what_would_help_is_what_is_missing_in_whole_decibels():
    found = heard_of(flat(-35.0), lifted(flat(-35.0), 1.2), {"guitar": flat(-26.0)})
    assert (found.share, found.more_db, found.less_db) == (0.0, 4.0, 4.0)


def test_nothing_is_offered_that_would_not_help():
    found = judged(-60.0, -20.0)
    assert (found.more_db, found.less_db) == (None, None)


def test_only_the_time_in_which_the_stem_sounds_and_the_place_count():
    own, cover = flat(-40.0), flat(-20.0)
    cover[:150] = 1e-9
    own[200:] = 1e-9
    place = np.arange(FRAMES) >= 150
    everywhere = heard_of(own, lifted(own, 2.0), {"guitar": cover})
    there = heard_of(own, lifted(own, 2.0), {"guitar": cover}, place)
    assert (everywhere.share, there.share) == (pytest.approx(0.75), 0.0)  # 150 of 200 frames


def test_where_all_of_a_stem_changes_alike_it_is_its_level_that_changes():
    own = flat(-20.0)
    assert heard_of(own, own * 10.0**0.3, {}).freq_hz is None
    assert heard_of(own, lifted(own, 3.0), {}).freq_hz == CENTRES_HZ[AT]


def test_no_change_is_nothing_to_judge():
    assert heard_of(flat(-20.0), flat(-20.0), {"guitar": flat(-20.0)}) is None


def test_stems_of_any_length_lie_over_each_other_from_the_start():
    both = together([flat(-20.0, 10), flat(-20.0, 30)])
    assert both[0, 0] == pytest.approx(0.02)
    assert both[20, 0] == pytest.approx(0.01)


# Arithmetic: 10.5 dB over it in nine bands; 6.5 dB less would leave the 4 dB that do not hide, so 7 in whole decibels.
def test_a_clash_is_found_where_it_is_with_what_halves_it():
    front, over = flat(-30.0), flat(-60.0)
    over[:, AT - 4 : AT + 5] = 10.0**-1.95
    found = clash(front, over)
    assert found.share == pytest.approx(9 / BANDS)
    assert abs(int(np.argmin(np.abs(CENTRES_HZ - found.freq_hz))) - AT) <= 2
    assert found.less_db == 7.0
    assert found.more_db == 7.0


def test_stems_that_leave_each_other_room_do_not_clash():
    assert clash(flat(-30.0), flat(-40.0)) is None


# Arithmetic: only bands that change by 0.7 of the most or more count; 0.7 * 1.2 is 0.84, so the band with 0.8 dB does not.
@pytest.mark.parametrize(("second_db", "share"), [(0.8, 0.0), (0.9, 1.0)])
def test_a_band_counts_as_changed_from_seven_tenths_of_the_most_on(second_db, share):
    own, cover = flat(-30.0), flat(-60.0)
    cover[:, AT] = 10.0**-1.0
    after = lifted(own, 1.2)
    after[:, 0] *= 10.0 ** (second_db / 10.0)
    found = heard_of(own, after, {"guitar": cover})
    assert (found.freq_hz, found.share) == (CENTRES_HZ[AT], share)


def test_in_a_clash_only_the_moments_count_in_which_the_front_sounds():
    front, over = flat(-30.0), flat(-80.0)
    front[100:] = 10.0**-6.0  # 30 dB under its loud moments: it does not sound there
    over[100:] = 10.0**-3.0
    assert clash(front, over) is None


def test_a_clash_in_one_band_is_said_no_more_than_two_bands_beside_it():
    front, over = flat(-60.0), flat(-90.0)
    front[:, AT] = 10.0**-3.0
    over[:, AT] = 10.0**-2.0
    found = clash(front, over)
    assert abs(int(np.argmin(np.abs(CENTRES_HZ - found.freq_hz))) - AT) <= 2
    # Loudness grows with the power to 0.3 (Stevens): that band is 10^0.9 of all, the other 38 are 1 each.
    assert found.share == pytest.approx(10**0.9 / (10**0.9 + BANDS - 1))
