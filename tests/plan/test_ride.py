"""Which phrases are ridden and by how much, on powers whose answer can be worked out on paper."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ, FRAMES_A_SECOND
from stemwright.dsp.loudness import k_weights
from stemwright.plan.ride import Phrase, along, beyond_words, level_db, phrases_of, points_of, ridden, spread_db

BANDS = len(CENTRES_HZ)


def sung(*phrases, seconds=20.0):
    """Return powers with phrases (from s, to s, dB) over silence."""
    power = np.zeros((round(seconds * FRAMES_A_SECOND), BANDS))
    for start_s, end_s, db in phrases:
        power[round(start_s * FRAMES_A_SECOND) : round(end_s * FRAMES_A_SECOND)] = 10.0 ** (db / 10.0)
    return power


def gains(power, **named):
    asked = {"track": np.full_like(power, 0.01), "keep": 0.0, "follow": 0.0, "at_most_db": 9.0} | named
    return [each.gain_db for each in ridden(power, **asked)]


# Arithmetic by the conventions: of a gain w wanted, w (1 - (0.8/w)^2) is done; of 6 dB 5.89, of 3 dB 2.79, of 2 dB 1.68.
def test_a_phrase_of_three_tenths_of_a_second_is_ridden_and_a_shorter_one_goes_with_the_nearest():
    ends = [(1.0, 3.0, -30.0), (12.0, 14.0, -30.0)]
    assert gains(sung(ends[0], (6.0, 6.3, -24.0), ends[1])) == [0.0, -5.89, 0.0]
    assert gains(sung(ends[0], (6.0, 6.29, -24.0), ends[1])) == [0.0, 0.0, 0.0]


def test_what_is_kept_stays_and_what_is_more_than_allowed_is_not_done():
    power = sung((1.0, 3.0, -30.0), (6.0, 8.0, -24.0), (12.0, 14.0, -36.0), (16.0, 18.0, -30.0))
    assert gains(power) == [0.0, -5.89, 5.89, 0.0]
    assert gains(power, keep=0.5) == [0.0, -2.79, 2.79, 0.0]
    assert gains(power, at_most_db=2.0) == [0.0, -2.0, 2.0, 0.0]


# The track is 4 dB louder under the second phrase: half of that is followed, 2 dB.
def test_the_track_under_a_phrase_is_followed_in_part():
    power = sung((1.0, 3.0, -30.0), (6.0, 8.0, -30.0), (12.0, 14.0, -30.0))
    track = np.full_like(power, 0.01)
    track[550:850] *= 10.0**0.4
    assert gains(power, track=track, follow=0.5) == [0.0, pytest.approx(1.68, abs=0.006), 0.0]


def test_one_phrase_has_no_other_to_be_held_against():
    assert ridden(sung((1.0, 3.0, -30.0)), sung(), 0.0, 0.0, 9.0) == []
    assert spread_db(sung((1.0, 3.0, -30.0))) == 0.0


def test_silence_has_nothing_to_ride():
    assert ridden(sung(), sung(), 0.0, 0.0, 9.0) == []
    assert ridden(sung(seconds=0.0), sung(seconds=0.0), 0.0, 0.0, 9.0) == []


def test_the_spread_is_the_standard_deviation_of_the_levels():
    power = sung((1.0, 3.0, -30.0), (6.0, 8.0, -24.0))
    assert spread_db(power) == pytest.approx(3.0)  # two values 6 dB apart: 3 dB from their mean


def test_a_pause_of_more_than_35_hundredths_parts_two_phrases():
    assert phrases_of(sung((1.0, 2.0, -30.0), (2.34, 3.0, -30.0))) == [(100, 300)]
    assert phrases_of(sung((1.0, 2.0, -30.0), (2.36, 3.0, -30.0))) == [(100, 200), (236, 300)]
    assert phrases_of(sung()) == []


# By the conventions: still from 50 ms before a phrase to 50 ms after it, there in 100 ms, and not over 0 dB in the pause.
def test_the_points_of_two_phrases_far_apart():
    found = points_of([Phrase(1.0, 2.0, 3.0), Phrase(5.0, 6.0, -2.0)], 1000)
    assert [point[:2] for point in found] == [
        (850, 0.0), (950, 3.0), (2050, 3.0), (2150, -2.0), (4850, -2.0), (4950, -2.0), (6050, -2.0), (6150, -2.0),
    ]  # fmt: skip
    assert [point[2] for point in found] == pytest.approx([10.0 ** (gain_db / 20.0) for _, gain_db, _ in found])
    assert points_of([Phrase(1.0, 2.0), Phrase(5.0, 6.0)], 1000) == ()


# BS.1770: blocks of 400 ms. A word 20 dB softer for 0.3 s lies in blocks with loud neighbours, so none is gated away: over ten
# blocks' worth of loud sound and three tenths of soft the mean is 10 lg of the share that sounds, whatever frames of 10 ms say.
def test_a_level_is_of_blocks_of_400_ms_and_not_of_moments():
    power = sung((1.0, 1.3, -20.0), (1.5, 1.8, -20.0), (2.0, 2.3, -20.0), (2.5, 2.8, -20.0))
    shares = [np.mean([0.01 if (n % 50) < 30 else 0.0 for n in range(at, at + 40)]) for at in range(0, 141, 10)]
    expected = 10.0 * np.log10(np.mean(shares) * BANDS * np.mean(k_weights(CENTRES_HZ)))
    assert level_db(power, 100, 280) == pytest.approx(expected, abs=0.01)


def test_a_softer_first_sound_belongs_to_its_phrase_and_one_long_before_does_not():
    ends = [(1.0, 3.0, -30.0), (12.0, 14.0, -30.0)]
    for soft, start_s in (((5.85, 5.95, -60.0), 5.85), ((5.6, 5.75, -60.0), 6.0), ((5.85, 5.95, -68.0), 6.0)):
        power = sung(ends[0], soft, (6.0, 8.0, -26.0), ends[1])
        assert ridden(power, np.zeros_like(power), 0.0, 0.0, 9.0)[1].start_s == start_s


def test_a_performance_ridden_well_stays_as_it_is():
    found = gains(sung((1.0, 3.0, -30.0), (6.0, 8.0, -29.4), (12.0, 14.0, -30.6)))
    assert [repr(gain_db) for gain_db in found] == ["0.0"] * 3  # and none is told as -0.0


# By hand. Blocks of powers 1 and 3 have mean 2 and variance 1: a squared spread of 1/4. A level of n blocks then varies by
# (10 / ln 10)^2 (1/4) / n = 4.715 / n dB^2, over 4 s (ten blocks) 0.4715. Two phrases 2d apart: d^2 / 0.4715 * 2/1 against 1.07.
TALK = np.array([1.0, 3.0] * 5)


@pytest.mark.parametrize(("d_db", "share"), [(0.0, 0.0), (0.49, 0.0), (0.55, 0.199), (0.6, 0.427), (0.72, 1.0), (3.0, 1.0)])
def test_phrases_that_differ_no_more_than_their_words_are_left(d_db, share):
    found = beyond_words(np.array([-20.0 - d_db, -20.0 + d_db]), [TALK] * 2, [400, 400])
    assert found == pytest.approx([share] * 2, abs=0.002)


# Five phrases, four of them alike: d^2 / 0.4715 * 5/4 over 3.5^2 of the one, 14.890 / 12.25 for 2.37 dB.
@pytest.mark.parametrize(("d_db", "share"), [(2.1, 0.0), (2.37, 0.2155), (3.0, 0.948), (6.0, 1.0)])
def test_one_that_stands_out_among_good_ones_is_moved_alone(d_db, share):
    found = beyond_words(np.array([-20.0, -20.0, -20.0 - d_db, -20.0, -20.0]), [TALK] * 5, [400] * 5)
    assert found == pytest.approx([0.0, 0.0, share, 0.0, 0.0], abs=0.002)


def test_where_two_of_five_stand_apart_all_are_uneven():
    assert beyond_words(np.array([-20.0, -18.0, -20.0, -18.0, -20.0]), [TALK] * 5, [400] * 5) == pytest.approx([1.0] * 5)


# Sorted by distance the middles of three phrases of 4, 4 and 8 s lie at 2, 6 and 12 of 16 s; 70 % are 11.2 s, 0.867 of the way.
def test_the_percentile_is_by_time():
    apart = 0.9**2 / 0.4715 * 1.5, 0.9**2 / 0.23575 * 1.5  # of the long one: half the variance
    found = beyond_words(np.array([-20.0, -20.9, -19.1]), [TALK, TALK, np.tile(TALK, 2)], [400, 400, 800])
    expected = (apart[0] + (11.2 - 6.0) / 6.0 * (apart[1] - apart[0])) / 1.07 - 1.0
    assert found == pytest.approx([min(expected, 1.0)] * 3, abs=0.002)


# A phrase of a tenth of the length says a tenth as much, one under a block as much as a block: 49 / 4.715 * 3/2 = 15.589 for 7 dB.
@pytest.mark.parametrize(("short", "d_db", "share"), [(40, 6.0, 0.0), (40, 7.0, 0.273), (35, 7.0, 0.273), (60, 7.0, 0.909)])
def test_a_short_phrase_says_less(short, d_db, share):
    found = beyond_words(np.array([-20.0, -20.0, -20.0 - d_db]), [TALK, TALK, np.array([2.0])], [400, 400, short])
    assert found == pytest.approx([0.0, 0.0, share], abs=0.002)


# Phrases of one level never differ; only what is too short to say so is ridden whatever it says.
@pytest.mark.parametrize(("blocks", "share"), [(7, 1.0), (8, 0.0)])
def test_phrases_too_short_to_say_how_words_differ_are_ridden(blocks, share):
    found = beyond_words(np.array([-20.0, -20.0]), [np.array([1.0, 3.0] * 4)[:blocks]] * 2, [110, 110])
    assert list(found) == [share] * 2


def test_words_that_differ_inside_phrases_are_no_reason_to_ride():
    """Four phrases of 2 s, half of it 8 dB louder: 1 dB between them is nothing beside that, 8 dB is."""

    def two(shift_db):
        words = [(at, at + 1.0, db) for at, db in ((1.0, -30.0), (5.0, -30.0), (9.0, -30.0), (13.0, -30.0 + shift_db))]
        louder = [(end, end + 1.0, db - 8.0) for _, end, db in words]
        return gains(sung(*words, *louder))

    assert two(1.5) == [0.0] * 4
    assert two(8.0)[3] < -7.0


# Three phrases at -30 dB for 2 s and a breath of 0.8 s: all that sounds has a mean of -30.54 dB (6 s of 6.8), less 20: -50.54 dB.
# A breath of 0.79 s, -30.54 dB, less 10; at -40 dB its own power counts: 10 lg ((6 + 0.079) / 6.79) = -0.48, so -40.48 dB.
@pytest.mark.parametrize(
    ("seconds", "breath_db", "phrases"), [(0.8, -50.8, 3), (0.8, -50.3, 4), (0.79, -40.7, 3), (0.79, -40.3, 4)]
)
def test_a_breath_is_no_phrase_and_comes_up_with_nothing(seconds, breath_db, phrases):
    power = sung((1.0, 3.0, -30.0), (6.0, 8.0, -30.0), (9.0, 9.0 + seconds, breath_db), (12.0, 14.0, -30.0))
    assert len(phrases_of(power)) == phrases
    assert len(gains(power)) == phrases


# Between two phrases 0.4 s apart a room sounds 35 dB under them, in 0.2 s of it 3 dB less: there the gain moves, in 100 ms.
@pytest.mark.parametrize("quiet_s", [3.05, 3.1, 3.15])
def test_in_a_pause_that_is_not_silent_gain_moves_where_it_is_quietest(quiet_s):
    power = sung((1.0, 3.0, -30.0), (3.4, 5.4, -36.0), (8.0, 10.0, -30.0))
    first, end = round(quiet_s * 100), round((quiet_s + 0.2) * 100)
    power[300:340] = 10.0**-6.5
    power[first:end] = 10.0**-6.8
    phrases = ridden(power, np.full_like(power, 0.01), 0.0, 0.0, 9.0)
    assert (phrases[0].end_s, phrases[1].start_s) == (quiet_s, pytest.approx(quiet_s + 0.2))
    moving = [point for point in points_of(phrases, 1000) if quiet_s * 1000 <= point[0] <= quiet_s * 1000 + 200]
    assert [point[1] for point in moving] == [phrases[0].gain_db, phrases[1].gain_db]
    assert moving[1][0] - moving[0][0] == pytest.approx(100, abs=1)


# Arithmetic by the conventions, at 1000 Hz: still from 50 ms before to 50 ms after, or a quarter of the pause where that is less; moved
# to the pause's gain in 100 ms where the pause has more than 300 ms; without a pause, over 50 ms about the cut or half of a phrase
# under a fifth of a second.
@pytest.mark.parametrize(
    ("phrases", "points"),
    [
        (
            [(1.0, 2.0, 3.0), (2.2, 3.0, -2.0)],
            [(850, 0.0), (950, 3.0), (2050, 3.0), (2150, -2.0), (3050, -2.0), (3150, -2.0)],
        ),
        ([(1.0, 2.0, 3.0), (2.1, 3.0, 4.0)], [(850, 0.0), (950, 3.0), (2025, 3.0), (2075, 4.0), (3050, 4.0), (3150, 0.0)]),
        (
            [(1.0, 2.0, 3.0), (2.0, 3.0, -2.0)],
            [(850, 0.0), (950, 3.0), (1975, 3.0), (2025, -2.0), (3050, -2.0), (3150, -2.0)],
        ),
        ([(1.0, 2.0, 3.0), (2.0, 2.08, 1.0)], [(850, 0.0), (950, 3.0), (1975, 3.0), (2020, 1.0), (2130, 1.0), (2230, 0.0)]),
        ([(0.0, 1.0, 3.0)], [(25, 3.0), (1050, 3.0), (1150, 0.0)]),
        ([(0.1, 1.0, 3.0)], [(75, 3.0), (1050, 3.0), (1150, 0.0)]),
        ([(0.28, 1.0, 3.0)], [(230, 3.0), (1050, 3.0), (1150, 0.0)]),
        ([(0.32, 1.0, 3.0)], [(170, 0.0), (270, 3.0), (1050, 3.0), (1150, 0.0)]),
        ([(1.0, 2.0, 3.0), (2.28, 3.0, 1.0)], [(850, 0.0), (950, 3.0), (2050, 3.0), (2230, 1.0), (3050, 1.0), (3150, 0.0)]),
        (
            [(1.0, 2.0, -3.0), (2.32, 3.0, -1.0)],
            [(850, -3.0), (950, -3.0), (2050, -3.0), (2150, -3.0), (2170, -3.0), (2270, -1.0), (3050, -1.0), (3150, -1.0)],
        ),
        (
            [(1.0, 2.0, 3.0), (2.5, 3.0, 1.0)],
            [(850, 0.0), (950, 3.0), (2050, 3.0), (2150, 0.0), (2350, 0.0), (2450, 1.0), (3050, 1.0), (3150, 0.0)],
        ),
        # Points that would fall on one frame, or before one that is there already, are left out.
        ([(1.0, 1.001, 3.0), (1.001, 1.002, 2.0)], [(850, 0.0), (950, 3.0), (1001, 3.0), (1052, 2.0), (1152, 0.0)]),
    ],
)
def test_the_points_of_a_ride(phrases, points):
    found = points_of([Phrase(*each) for each in phrases], 1000)
    assert [point[:2] for point in found] == points


def test_points_go_along_to_another_rate():
    assert along(((0, 1.0, 1.1), (441, 2.0, 1.2), (44_100, 0.0, 1.0)), 44_100, 48_000) == (
        (0, 1.0, 1.1), (480, 2.0, 1.2), (48_000, 0.0, 1.0),
    )  # fmt: skip


# Gated 10 dB under the phrase's own mean (BS.1770's relative gate): half at -20, half at so much; the mean of both lies 3 dB down.
@pytest.mark.parametrize(("soft_db", "kept"), [(-32.0, True), (-34.0, False)])
def test_soft_blocks_of_a_phrase_are_gated(soft_db, kept):
    power = sung((0.0, 4.0, -20.0), (4.0, 8.0, soft_db))
    weighted = np.sum(k_weights(CENTRES_HZ))
    found = 10.0 ** (level_db(power, 0, 800) / 10.0) / weighted
    # 73 blocks a tenth apart: 37 loud ones, 33 soft ones, three across the edge.
    across = [0.01 * share + 10.0 ** (soft_db / 10.0) * (1 - share) for share in (0.75, 0.5, 0.25)]
    blocks = [0.01] * 37 + across + [10.0 ** (soft_db / 10.0)] * (37 if kept else 0)
    assert found == pytest.approx(np.mean(blocks), rel=1e-6)


def test_a_phrase_no_longer_than_a_block_has_its_frames_level():
    power = sung((1.0, 1.4, -20.0))
    assert level_db(power, 100, 140) == pytest.approx(-20.0 + 10.0 * np.log10(np.sum(k_weights(CENTRES_HZ))))
    assert level_db(np.zeros((50, BANDS)), 0, 50) == -120.0
    # Of 400 ms the second half lies 14 dB lower, which is over 10 dB under the mean of both: moments are gated, one block would not be.
    softer = sung((1.0, 1.2, -20.0), (1.2, 1.4, -34.0))
    assert level_db(softer, 100, 140) == pytest.approx(level_db(power, 100, 140))


# A first or last sound belongs to its phrase within 0.2 s and 40 dB; between two phrases each may have half of the pause.
@pytest.mark.parametrize(
    ("soft", "start_s", "end_s"),
    [
        ((5.81, 5.9, -60.0), 5.81, 8.0),
        ((5.7, 5.9, -60.0), 5.8, 8.0),
        ((5.85, 5.95, -65.9), 5.85, 8.0),
        ((5.85, 5.95, -66.1), 6.0, 8.0),
        ((8.1, 8.19, -60.0), 6.0, 8.19),
        ((8.1, 8.3, -60.0), 6.0, 8.2),
        ((8.1, 8.19, -66.1), 6.0, 8.0),
    ],
)
def test_how_far_a_soft_end_reaches(soft, start_s, end_s):
    power = sung((1.0, 3.0, -26.0), soft, (6.0, 8.0, -26.0), (12.0, 14.0, -26.0))
    whole = ridden(power, np.zeros_like(power), 0.0, 0.0, 9.0)[1]
    assert (whole.start_s, whole.end_s) == (start_s, end_s)


def test_a_soft_first_sound_may_begin_with_the_song_and_a_last_one_end_with_it():
    power = sung((0.0, 0.1, -60.0), (0.1, 3.0, -26.0), (17.0, 19.9, -26.0), (19.9, 20.0, -60.0))
    phrases = ridden(power, np.zeros_like(power), 0.0, 0.0, 9.0)
    assert (phrases[0].start_s, phrases[-1].end_s) == (0.0, 20.0)


def test_where_the_track_stops_it_is_not_followed():
    power = sung((1.0, 3.0, -30.0), (6.0, 8.0, -30.0), (12.0, 14.0, -30.0))
    track = np.full_like(power, 0.01)
    # 29 dB under where it is loudest is followed down as far as is allowed, 31 dB under is a track that has stopped.
    for down_db, gain_db in ((29.0, -9.0), (31.0, 0.0)):
        track[550:850] = 0.01 * 10.0 ** (-down_db / 10.0)
        assert gains(power, track=track, follow=1.0) == [0.0, gain_db, 0.0]


# Of 0.8 dB wanted nothing is done; of 1 dB, 1 - 0.64.
@pytest.mark.parametrize(("off_db", "done_db"), [(0.7, 0.0), (0.8, 0.0), (1.0, 0.36), (4.0, 3.84)])
def test_what_is_hardly_heard_is_hardly_ridden(off_db, done_db):
    found = gains(sung((1.0, 3.0, -30.0), (6.0, 8.0, -30.0 - off_db), (12.0, 14.0, -30.0)))
    assert found == [0.0, pytest.approx(done_db, abs=0.006), 0.0]


def test_the_spread_is_of_phrases_long_enough_to_have_a_level():
    assert spread_db(sung((1.0, 3.0, -30.0), (6.0, 8.0, -24.0), (10.0, 10.2, -10.0))) == pytest.approx(3.0)
