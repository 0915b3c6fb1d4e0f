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


# 4 dB under the rest is the last that is heard (critical ratio): the stem's lifted band against the others' power there.
@pytest.mark.parametrize(("over_db", "share"), [(3.99, 1.0), (4.01, 0.0)])
def test_a_band_is_heard_down_to_four_decibels_under_the_rest(over_db, share):
    own, cover = flat(-30.0), flat(-80.0)
    cover[:, AT] = 10.0 ** ((-28.0 + over_db) / 10.0)
    found = heard_of(own, lifted(own, 2.0), {"guitar": cover})
    assert (found.share, found.change_db) == (share, pytest.approx(2.0))


def test_a_cut_is_heard_by_what_was_there():
    own, cover = flat(-30.0), flat(-80.0)
    cover[:, AT] = 10.0**-2.7
    assert heard_of(own, lifted(own, -6.0), {"guitar": cover}).share == 1.0
    assert heard_of(own, lifted(own, -6.0), {"guitar": cover}).change_db == pytest.approx(-6.0)


# By the conventions a change under 0.25 dB is none, and 25 dB under the loud moments a stem does not sound.
@pytest.mark.parametrize(("db", "judged_at_all"), [(0.24, False), (0.26, True), (-0.26, True)])
def test_a_change_of_a_quarter_decibel_is_one(db, judged_at_all):
    assert (heard_of(flat(-30.0), lifted(flat(-30.0), db), {}) is not None) == judged_at_all


@pytest.mark.parametrize(("down_db", "share"), [(24.5, 0.5), (25.5, 1.0)])
def test_where_a_stem_does_not_sound_nothing_counts(down_db, share):
    own, cover = flat(-30.0), flat(-90.0)
    own[FRAMES // 2 :] *= 10.0 ** (-down_db / 10.0)
    cover[FRAMES // 2 :] = 1.0
    assert heard_of(own, lifted(own, 0.5), {"guitar": cover}).share == pytest.approx(share)


def test_silence_has_no_change():
    nothing = np.zeros((FRAMES, BANDS))
    assert heard_of(nothing, nothing, {"guitar": flat(-20.0)}) is None
    own = flat(-30.0)
    assert heard_of(own, lifted(own, 3.0), {}, np.zeros(FRAMES, bool)) is None


# All bands within 0.05 dB of each other are one level; bands in which the stem has nothing do not count.
@pytest.mark.parametrize(("other_db", "level"), [(2.96, True), (2.94, False)])
def test_bands_that_change_alike_are_a_level(other_db, level):
    own = flat(-30.0)
    own[:, :5] = 0.0
    after = own * 10.0**0.3
    after[:, 10] = own[:, 10] * 10.0 ** (other_db / 10.0)
    assert (heard_of(own, after, {}).freq_hz is None) == level


# Half of the time is enough to ask for nothing; what covers is named from two fifths of the first on, two at most.
def test_heard_half_of_the_time_nothing_is_missing():
    own, cover = flat(-30.0), flat(-90.0)
    cover[: FRAMES // 2] = 1.0
    found = heard_of(own, lifted(own, 2.0), {"guitar": cover})
    assert (found.share, found.covered_by, found.more_db) == (0.5, (), None)
    cover[: FRAMES // 2 + 6] = 1.0
    assert heard_of(own, lifted(own, 2.0), {"guitar": cover}).covered_by == ("guitar",)


@pytest.mark.parametrize(("second", "named"), [(0.41, ("a", "b")), (0.39, ("a",))])
def test_a_second_cover_is_named_from_two_fifths_of_the_first_on(second, named):
    own = flat(-40.0)
    beds = {"c": flat(-20.0) * 0.1, "b": flat(-20.0) * second, "a": flat(-20.0)}
    assert heard_of(own, lifted(own, 2.0), beds).covered_by == named


# Whole decibels up to nine: the lifted band lies 4 dB and so much under its cover.
@pytest.mark.parametrize(("missing_db", "offered"), [(0.5, 1.0), (1.5, 2.0), (8.9, 9.0), (9.1, None)])
def test_up_to_nine_decibels_are_offered(missing_db, offered):
    own, cover = flat(-30.0), flat(-80.0)
    cover[:, AT] = 10.0 ** ((-28.0 + 4.0 + missing_db) / 10.0)
    found = heard_of(own, lifted(own, 2.0), {"guitar": cover})
    assert (found.more_db, found.less_db) == (offered, offered)


def test_a_stem_louder_at_the_end_than_its_change_is_long_counts_as_far_as_that():
    # Others may be shorter or longer; beyond their end there is nothing of them, beyond the stem's nothing is asked.
    own = flat(-30.0)
    found = heard_of(own, lifted(own, 2.0), {"short": flat(-10.0, FRAMES // 4), "long": flat(-90.0, 3 * FRAMES)})
    assert found.share == pytest.approx(0.75)


# A clash is one from a tenth of the front on; here n of 39 bands alike are covered (4 bands 0.103, 3 bands 0.077).
@pytest.mark.parametrize(("bands", "there"), [(4, True), (3, False)])
def test_a_clash_begins_at_a_tenth_of_the_front(bands, there):
    over = flat(-90.0)
    over[:, 10 : 10 + bands] = 1e-2
    assert (clash(flat(-30.0), over) is not None) == there


@pytest.mark.parametrize(("over_db", "hidden"), [(4.1, True), (3.9, False)])
def test_in_a_clash_a_band_is_hidden_from_four_decibels_on(over_db, hidden):
    assert (clash(flat(-30.0), flat(-30.0 + over_db)) is not None) == hidden


def test_a_clash_that_no_nine_decibels_halve_is_said_with_nine():
    found = clash(flat(-60.0), flat(-20.0))
    assert (found.share, found.less_db, found.more_db) == (pytest.approx(1.0), 9.0, 9.0)
    assert clash(np.zeros((FRAMES, BANDS)), flat(-20.0)) is None


def test_the_two_ways_out_of_a_clash_halve_different_things():
    # Most is lost to one side of the cover, five bands 10 dB louder than others and 12.5 dB under it; ten more lie 5.5 dB under it.
    # Less of the cover must halve what is lost about the five, 8.5 dB; more of the front halves all that is lost as soon as the ten
    # are out, 1.5 dB: loudness grows with the power to 0.3, so they are 10 of 10 + 5 * 10^0.3.
    front, over = flat(-30.0), flat(-90.0)
    front[:, 25:30] *= 10.0
    over[:, 25:30] = front[:, 25:30] * 10.0**1.25
    over[:, 2:12] = front[:, 2:12] * 10.0**0.55
    found = clash(front, over)
    assert CENTRES_HZ[27] == found.freq_hz
    assert (found.less_db, found.more_db) == (9.0, 2.0)


# By the conventions a band is heard where its power is no more than 4 dB under the rest: at exactly 4 dB it still is.
def test_at_exactly_four_decibels_a_band_is_heard():
    cover = flat(-30.0)
    own = cover * 10.0**-0.4
    assert clash(own, cover) is None
    assert heard_of(own * 10.0**-0.1, own, {"guitar": cover}).share == 1.0


def graded(first, *lacking_db):
    """Return a cover of neighbouring bands, each so many dB more over a front of -30 dB than lets it be heard."""
    over = flat(-90.0)
    for number, db in enumerate(lacking_db):
        over[:, first + number] = 10.0 ** (-3.0 + 0.4 + db / 10.0)
    return over


# Paper: of five bands that lack 0.5 to 4.5 dB every decibel brings one back, and three leave less than half. What lies beside the five
# counts for all that is lost, not for what is lost there: of seven bands half are back after four.
@pytest.mark.parametrize(
    ("first", "lacking_db", "less_db", "more_db"),
    [
        (20, (0.5, 1.5, 2.5, 3.5, 4.5), 3.0, 3.0),
        (20, (4.5, 3.5, 2.5, 1.5, 0.5), 3.0, 3.0),
        (0, (4.5, 0.5, 1.5, 2.5, 3.5), 3.0, 3.0),
        (BANDS - 5, (0.5, 1.5, 2.5, 3.5, 4.5), 3.0, 3.0),
        (20, (0.5, 1.5, 2.5, 3.5, 4.5, -50.0, 8.5, 8.5), 3.0, 4.0),
        (20, (8.5, 8.5, -50.0, 0.5, 1.5, 2.5, 3.5, 4.5), 3.0, 4.0),
        (20, (0.5, 1.5, 2.5, 3.5), 2.0, 2.0),  # exactly half is half
    ],
)
def test_a_clash_is_halved_about_where_most_is_lost(first, lacking_db, less_db, more_db):
    found = clash(flat(-30.0), graded(first, *lacking_db))
    assert (found.less_db, found.more_db) == (less_db, more_db)


# 300 frames: 149 are 0.497, which is told as half and asks for nothing; 148 are 0.493.
@pytest.mark.parametrize(("heard", "covered_by"), [(149, ()), (148, ("guitar",))])
def test_half_is_half_to_the_hundredth_that_is_told(heard, covered_by):
    cover = flat(-90.0)
    cover[heard:] = 1.0
    found = heard_of(flat(-30.0), lifted(flat(-30.0), 2.0), {"guitar": cover})
    assert (found.share, found.covered_by) == (heard / FRAMES, covered_by)


def test_what_would_be_heard_exactly_half_of_the_time_is_offered():
    # In half of the frames 2.5 dB are missing, in the others far more.
    cover = flat(0.0)
    cover[::2] = 10.0 ** ((-28.0 + 4.0 + 2.5) / 10.0)
    cover[:, :AT] = cover[:, AT + 1 :] = 10.0**-8
    found = heard_of(flat(-30.0), lifted(flat(-30.0), 2.0), {"guitar": cover})
    assert (found.share, found.more_db, found.less_db) == (0.0, 3.0, 3.0)


def test_what_lies_far_beside_the_most_does_not_count_there():
    # Five bands as above, and four bands below their middle one that is 10 dB louder, so that it weighs 2 (loudness to 0.3): with it
    # 3 dB would leave 4 of 7.
    front, over = flat(-30.0), graded(23, 0.5, 1.5, 2.5, 3.5, 4.5)
    front[:, 21] *= 10.0
    over[:, 21] = front[:, 21] * 10.0**1.25
    assert clash(front, over).less_db == 3.0


def test_the_least_that_is_offered_in_a_clash_is_one_decibel():
    found = clash(flat(-30.0), graded(20, 0.5, 0.5, 0.5, 0.5, 0.5))
    assert (found.less_db, found.more_db) == (1.0, 1.0)


# The second half of the front is covered: 24 dB under the first it weighs 10^-0.72 of it, 0.16 of all; 26 dB under, it does not sound.
@pytest.mark.parametrize(("down_db", "share"), [(24.0, 10**-0.72 / (1 + 10**-0.72)), (26.0, None)])
def test_in_a_clash_the_front_sounds_down_to_25_db_under_its_loud_moments(down_db, share):
    front, over = flat(-30.0), flat(-90.0)
    front[FRAMES // 2 :] *= 10.0 ** (-down_db / 10.0)
    over[FRAMES // 2 :] = 1.0
    found = clash(front, over)
    assert (found and found.share) == (share and pytest.approx(share))


def test_two_stems_that_cover_are_named_at_most():
    beds = {"c": flat(-20.0) * 0.8, "b": flat(-20.0) * 0.9, "a": flat(-20.0)}
    assert heard_of(flat(-40.0), lifted(flat(-40.0), 2.0), beds).covered_by == ("a", "b")


def test_a_single_moment_counts_as_it_is():
    found = heard_of(flat(-30.0, 1), lifted(flat(-30.0, 1), 2.0), {})
    assert (found.change_db, found.freq_hz) == (pytest.approx(2.0), CENTRES_HZ[AT])
    # A band in which the stem has something for one moment changes by less than the others: it is not the level that changes.
    own = flat(-30.0)
    own[1:, 3] = 0.0
    after = own * 10.0**0.3
    after[0, 3] = own[0, 3] * 10.0**0.1
    assert heard_of(own, after, {}).freq_hz is not None
