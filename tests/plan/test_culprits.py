"""Who covers a front, from when to when: index by its definition, the share of 30 dB that a band stands out, half at 0 dB."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.audibility import FREQ_HZ
from stemwright.dsp.bands import CENTRES_HZ, FRAMES_A_SECOND
from stemwright.plan.balance import judge
from stemwright.plan.beat import Beat
from stemwright.plan.culprits import Covering, Culprit

BANDS = len(CENTRES_HZ)
LOW, HIGH = slice(0, 20), slice(20, BANDS)


def stem(*parts, seconds=40.0):
    """Return powers: parts of (from s, to s, dB a band, which bands) over what is too faint to cover."""
    power = np.full((round(seconds * FRAMES_A_SECOND), BANDS), 1e-5)
    for start_s, end_s, db, bands in parts:
        power[round(start_s * FRAMES_A_SECOND) : round(end_s * FRAMES_A_SECOND), bands] = 10.0 ** (db / 10.0)
    return power


def covered(front=None, **others):
    front = stem((0.0, 40.0, -20.0, slice(None))) if front is None else front
    return judge(Beat({"keys": front, **others}, ["keys"], voice=False)).covered


# The loop lies 10 dB over half of the front always and takes most of it: without it the index would rise by 0.4 anywhere.
# The pad takes a quarter, in that place only.
def test_what_always_covers_is_not_who_covers_a_place():
    loop = stem((0.0, 40.0, -10.0, LOW))
    (place,) = covered(loop=loop, pad=stem((10.0, 13.0, -20.0, HIGH)))
    assert [each.stem for each in place.culprits] == ["pad"]
    assert place.culprits[0].raises == pytest.approx(0.5 * 19 / 39, abs=0.01)
    assert place.bands_hz[0][0] > CENTRES_HZ[18]


def test_of_two_that_cover_together_both_are_named_and_a_bystander_is_not():
    (place,) = covered(
        hat=stem((10.0, 13.0, -34.0, HIGH)),
        pad=stem((10.0, 13.0, -14.0, HIGH)),
        guitar=stem((10.0, 13.0, -20.0, slice(None))),
    )
    assert [each.stem for each in place.culprits] == ["guitar", "pad"]


# -28.5 dB takes 0.22 of the front where -20 dB takes 0.5: over a quarter. -33 dB takes 0.07: under it.
def test_a_place_begins_where_its_cover_comes_over_a_quarter_of_what_it_takes_there():
    for before_db, start_s in ((-28.5, 10.0), (-33.0, 10.8)):
        (place,) = covered(pad=stem((10.0, 10.8, before_db, slice(None)), (10.8, 13.0, -20.0, slice(None))))
        assert (place.start_s, place.end_s) == pytest.approx((start_s, 13.0), abs=0.03)


# What else comes and goes beside it, here a drum that takes 0.2 for a fifth of a second before and after, moves no edge.
def test_a_beat_that_comes_and_goes_does_not_move_a_places_edges():
    hits = [(at, at + 0.2, -29.0, slice(None)) for at in np.arange(0.7, 39.0, 1.0)]
    (place,) = covered(drum=stem(*hits), pad=stem((10.0, 13.0, -24.0, slice(None))))
    assert (place.start_s, place.end_s) == pytest.approx((10.0, 13.0), abs=0.03)
    assert [each.stem for each in place.culprits] == ["pad"]


# Of a cover nothing is heard while the front is silent.
def test_a_cover_that_begins_in_a_pause_begins_with_the_front():
    front = stem((0.0, 9.0, -20.0, slice(None)), (10.4, 12.6, -20.0, slice(None)), (13.4, 40.0, -20.0, slice(None)))
    (place,) = covered(front, pad=stem((9.6, 13.1, -20.0, slice(None))))
    assert (place.start_s, place.end_s) == pytest.approx((10.4, 12.6), abs=0.03)


# The two last for a fifth of the song, which is no reason to take them for how it usually is.
def test_where_one_stem_takes_over_from_another_each_has_its_place():
    pad, guitar = stem((10.0, 11.5, -20.0, slice(None))), stem((11.5, 18.0, -10.0, slice(None)))
    one, two = covered(pad=pad, guitar=guitar)
    assert [(each.culprits[0].stem, each.start_s, each.end_s) for each in (one, two)] == [
        ("guitar", 11.5, 18.0), ("pad", 10.0, 11.5),
    ]  # fmt: skip


def test_a_cover_that_pauses_for_longer_than_half_a_second_is_one_place_of_one_stem():
    pad = stem((10.0, 11.5, -20.0, slice(None)), (11.5, 12.2, -24.5, slice(None)), (12.2, 14.0, -20.0, slice(None)))
    (place,) = covered(pad=pad)
    assert (place.start_s, place.end_s) == pytest.approx((10.0, 14.0), abs=0.03)


# The loop takes 0.4 and 0.3 of the front by turns, a deviation of 0.05 to either side: by the conventions 0.125 under the median is
# usual here, more is not. The pad as loud as the front takes 0.3 more.
def test_what_a_beat_does_all_the_time_is_no_place_and_what_is_far_more_is_one():
    loop = stem(*((at, at + 2.0, -23.0 if at % 4.0 else -26.0, slice(None)) for at in np.arange(0.0, 40.0, 2.0)))
    assert covered(loop=loop) == ()
    (place,) = covered(loop=loop, pad=stem((20.0, 24.0, -14.0, slice(None))))
    assert (place.start_s, place.end_s) == pytest.approx((20.0, 24.0), abs=0.03)


# Where most is lost, by 0.35 of the most and more; neighbours are one, three at most, the worst first; 7 % beyond the outer centres.
def test_bands_are_told_where_most_is_lost():
    front = stem((0.0, 40.0, -20.0, slice(None)))
    pad = stem((10.0, 13.0, -20.0, slice(5, 9)), (10.0, 13.0, -10.0, slice(20, 22)), (10.0, 13.0, -31.0, slice(30, 31)))
    beat = Beat({"keys": front, "pad": pad}, ["keys"], voice=False)
    found = Covering(beat).bands_hz(slice(500, 650), ["pad"])
    # 0 dB takes half of 30 dB, 10 dB over takes 25 of 30, 11 dB under takes 4 of 30, which is less than 0.35 of 25.
    edges_hz = [CENTRES_HZ[5] / 1.07, CENTRES_HZ[8] * 1.07, CENTRES_HZ[20] / 1.07, CENTRES_HZ[21] * 1.07]
    assert np.ravel(found) == pytest.approx(edges_hz)


def test_three_bands_are_told_at_most_and_none_where_nothing_is_lost():
    bands = (3, 9, 15, 21)
    pad = stem(*((10.0, 13.0, -20.0 + number, slice(band, band + 1)) for number, band in enumerate(bands)))
    beat = Beat({"keys": stem((0.0, 40.0, -20.0, slice(None))), "pad": pad}, ["keys"], voice=False)
    found = Covering(beat).bands_hz(slice(500, 650), ["pad"])
    assert [low_hz for low_hz, _ in found] == pytest.approx([CENTRES_HZ[band] / 1.07 for band in (21, 15, 9)])
    assert Covering(beat).bands_hz(slice(0, 400), ["pad"]) == ()


@pytest.mark.parametrize(("faint_db", "count"), [(-24.0, 2), (-30.5, 1)])
def test_a_second_culprit_takes_two_fifths_of_the_first(faint_db, count):
    # By itself -20 dB takes 0.5 of the front, -24 dB 0.37, -30.5 dB 0.15; together they take more than either.
    beat = Beat({
        "keys": stem((0.0, 40.0, -20.0, slice(None))),
        "pad": stem((10.0, 13.0, -20.0, slice(None))),
        "guitar": stem((10.0, 13.0, faint_db, slice(None))),
    }, ["keys"], voice=False)  # fmt: skip
    found = Covering(beat).culprits(slice(500, 650))
    assert [each.stem for each in found] == ["pad", "guitar"][:count]
    assert found[0].over_db == pytest.approx(0.0, abs=0.01)
    # Without the pad the guitar alone is left: the index rises by what 10 lg(1 + 10^(d/10)) dB more of cover took.
    rise_db = 10 * np.log10(1 + 10 ** (faint_db / 10) * 100) - faint_db - 20.0
    assert found[0].raises == pytest.approx(rise_db / 30, abs=0.005)


def test_of_silence_nobody_is_a_culprit():
    beat = Beat({"keys": stem((0.0, 40.0, -20.0, slice(None))), "pad": np.zeros((4000, BANDS))}, ["keys"], voice=False)
    assert Covering(beat).culprits(slice(500, 650)) == ()


@pytest.mark.parametrize("over_db", [-3.0, 0.0, 6.0])
def test_a_culprit_says_by_how_much_it_lies_over_the_front(over_db):
    beat = Beat(
        {"keys": stem((0.0, 40.0, -20.0, slice(None))), "pad": stem((10.0, 13.0, -20.0 + over_db, slice(None)))},
        ["keys"],
        voice=False,
    )
    assert Covering(beat).culprits(slice(500, 650))[0].over_db == pytest.approx(over_db, abs=0.01)


def lost_db(lost, front_db=-20.0):
    """Return how loud a cover is that takes so much of a band, by the index's definition."""
    return front_db - 15.0 + 30.0 * lost


def keys_under(**others):
    return Covering(Beat({"keys": stem((0.0, 40.0, -20.0, slice(None))), **others}, ["keys"], voice=False))


# The pad takes half of the lower 20 of 39 bands always and 0.65 there: 0.077 more. What the guitar takes of the 19 others, 0.039 or
# 0.058, is over two fifths of that; but both together raise the index by no more than that beyond the pad alone, and 0.05 is asked.
@pytest.mark.parametrize(("takes", "named"), [(0.08, ["pad"]), (0.12, ["pad", "guitar"])])
def test_two_are_named_where_both_raise_the_index_by_more_than_one(takes, named):
    covering = keys_under(
        pad=stem((0.0, 40.0, lost_db(0.5), LOW), (10.0, 13.0, lost_db(0.65), LOW)),
        guitar=stem((10.0, 13.0, lost_db(takes), HIGH)),
    )
    assert [each.stem for each in covering.culprits(slice(500, 650))] == named


def place_of(covering, start, end):
    found = covering.place(slice(start, end), [Culprit(stem="pad", raises=0.3, over_db=0.0)])
    return found.start, found.stop


# The pad takes 0.3 always and 0.7 there: its place begins where it comes over 0.3 + 0.4 / 4. A shoulder of 0.5 is in it, 0.38 not.
@pytest.mark.parametrize(("shoulder", "place"), [(0.5, (475, 675)), (0.38, (500, 650))])
def test_the_quarter_is_of_what_comes_to_what_is_usual(shoulder, place):
    all_ = slice(None)
    pad = stem((0.0, 40.0, lost_db(0.3), all_), (9.5, 13.5, lost_db(shoulder), all_), (10.0, 13.0, lost_db(0.7), all_))
    assert place_of(keys_under(pad=pad), 500, 650) == place


def test_what_is_usual_there_is_what_the_index_would_rise_by():
    # A hiss leaves 0.5; a pad as loud leaves 0.4 of it (3 dB are 0.1), though by itself it takes 0.5. There it takes all that is left.
    hiss = stem((0.0, 40.0, -20.0, slice(None)))
    pad = stem((0.0, 40.0, -20.0, slice(None)), (10.0, 13.0, -3.0, slice(None)))
    assert place_of(keys_under(hiss=hiss, pad=pad), 510, 640) == (500, 650)


@pytest.mark.parametrize(("start_s", "end_s"), [(0.0, 3.0), (37.0, 40.0)])
def test_a_place_may_begin_and_end_with_the_song(start_s, end_s):
    (place,) = covered(pad=stem((start_s, end_s, -20.0, slice(None))))
    assert (place.start_s, place.end_s) == (start_s, end_s)


def test_bands_with_one_between_them_are_two():
    covering = keys_under(pad=stem((10.0, 13.0, -20.0, slice(5, 7)), (10.0, 13.0, -19.0, slice(8, 10))))
    edges_hz = [CENTRES_HZ[8] / 1.07, CENTRES_HZ[9] * 1.07, CENTRES_HZ[5] / 1.07, CENTRES_HZ[6] * 1.07]
    assert np.ravel(covering.bands_hz(slice(500, 650), ["pad"])) == pytest.approx(edges_hz)


def test_a_voices_bands_are_third_octaves():
    # IEC 61260: a third of an octave reaches from 10^-0.05 to 10^0.05 of its middle. All of them are lost, from 160 Hz to 8 kHz.
    voice = stem((0.0, 40.0, -20.0, slice(None)))
    beat = Beat({"voice": voice, "pad": stem((10.0, 13.0, 0.0, slice(None)))}, ["voice"], voice=True)
    bands_hz = Covering(beat).bands_hz(slice(500, 650), ["pad"])
    for low_hz, high_hz in bands_hz:
        assert np.abs(low_hz * 10**0.05 / FREQ_HZ - 1).min() == pytest.approx(0.0, abs=1e-9)
        assert np.abs(high_hz / 10**0.05 / FREQ_HZ - 1).min() == pytest.approx(0.0, abs=1e-9)
    assert (FREQ_HZ[0], FREQ_HZ[-1]) == (160.0, 8000.0)
    assert bands_hz
