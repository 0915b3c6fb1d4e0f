"""What the judge of rings sees and how it adds up."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage, signal

from stemwright.dsp.rings.curves import Curves, curves_of
from stemwright.dsp.rings.judge import (
    HARMONICS,
    Harmonics,
    Judge,
    Judges,
    Layer,
    fitted,
    log_odds_of,
    looks,
    peaks_of,
    places_of,
)
from stemwright.dsp.rings.lines import line_curves
from stemwright.dsp.rings.spectra import FrameKeeper

RATE_HZ = 44100


def curves(audio):
    keeper = FrameKeeper(RATE_HZ, 1)
    keeper.feed(audio[:, np.newaxis])
    return curves_of(keeper.spectra())


def noise(seconds=3.0):
    return np.random.default_rng(4).normal(size=int(seconds * RATE_HZ)) * 0.1


def weights(rng, *shape):
    return rng.normal(size=shape).astype("f4")


NO_HARMONICS = Harmonics(np.zeros((3, 2), "f4"), np.zeros((12, 2), "f4"), np.zeros(2, "f4"), np.zeros(2, "f4"))


def test_layers_are_what_scipy_correlates():
    rng = np.random.default_rng(1)
    layers = tuple(Layer(weights(rng, 7, n, 3), weights(rng, 3)) for n in (12, 3))
    judge = Judge(layers, weights(rng, 6) * np.float32(0.1), -0.5, NO_HARMONICS)
    seen = weights(rng, 60, 12)
    first, second = (np.zeros((7, 12, 3)), np.zeros((13, 3, 3)))
    first[:], second[::2] = layers[0].weights, layers[1].weights  # taps of the second layer lie two points apart
    below = [sum(signal.correlate(seen[:, i], first[:, i, o], "same") for i in range(12)) for o in range(3)]
    one = np.maximum(np.stack(below, 1) + layers[0].offsets, 0)
    above = [sum(signal.correlate(one[:, i], second[:, i, o], "same") for i in range(3)) for o in range(3)]
    two = np.maximum(np.stack(above, 1) + layers[1].offsets, 0) + one
    expected = one @ judge.weights[:3] + two @ judge.weights[3:] - 0.5
    inner = slice(12, -12)  # scipy takes what lies beyond the ends for nothing, we for the last value
    assert log_odds_of(seen, judge)[inner] == pytest.approx(expected[inner], rel=1e-4, abs=1e-3)


def test_a_layer_may_see_the_mean_and_the_greatest_of_all_points():
    rng = np.random.default_rng(2)
    whole, offsets, seen = weights(rng, 6, 3), weights(rng, 3), weights(rng, 40, 3)
    judge = Judge((Layer(np.zeros((7, 3, 3), "f4"), offsets, whole),), np.ones(3, "f4"), 0.0, NO_HARMONICS)
    halves = seen.mean(0) @ whole[:3] / 2 + seen.max(0) @ whole[3:] / 2
    assert log_odds_of(seen, judge) == pytest.approx(np.full(40, np.maximum(halves + offsets, 0).sum()), rel=1e-4)


def test_an_answer_counts_what_lies_at_the_harmonics_and_nothing_beyond_the_ends():
    # What is narrow passes on the one number of a point; each harmonic's share is another power of ten.
    one = np.zeros((7, 1, 1), "f4")
    one[3] = 1.0
    harmonics = Harmonics(
        np.ones((1, 1), "f4"), 10.0 ** np.arange(6, dtype="f4")[:, np.newaxis], np.zeros(1, "f4"), np.ones(1, "f4")
    )
    judge = Judge((Layer(one, np.zeros(1, "f4")),), np.zeros(1, "f4"), 0.0, harmonics)
    for number, points in enumerate(HARMONICS, 1):
        seen = np.zeros((600, 1), "f4")
        seen[300] = 1.0
        got = log_odds_of(seen, judge)
        assert got[300 - points] == pytest.approx(10.0**number)
        assert got[300] == pytest.approx(1.0)
    # 120 points an octave: these are twice, three and four times, a half and a third of the frequency.
    assert 2 ** (np.array(HARMONICS) / 120) == pytest.approx([2, 3, 4, 1 / 2, 1 / 3], rel=0.002)
    at_the_end = np.zeros((300, 1), "f4")
    at_the_end[-1] = 1.0
    assert log_odds_of(at_the_end, judge)[-1] == pytest.approx(1.0)


def test_what_is_seen_does_not_depend_on_the_level():
    loud, quiet = (looks(curves(noise() * gain)) for gain in (1.0, 0.001))
    assert np.abs(loud - quiet).max() < 1e-3


def test_places_lie_a_twelfth_of_an_octave_apart_and_inside_the_band():
    found = curves(noise())
    inside = (found.freq_hz > 500) & (found.freq_hz < 4000)
    places = list(places_of(found, inside))
    assert [c for c, _ in places] == sorted((c for c, _ in places), reverse=True)
    assert all(0 <= c <= 1 for c, _ in places)
    at = np.array(sorted(place for _, place in places))
    assert np.diff(at).min() >= 10  # tops are 20 points apart; each moves to the middle of its odds
    assert inside[np.rint(at).astype(int)].all()


def test_every_judge_has_the_layers_it_is_made_for():
    for judge in fitted().judges:
        assert [layer.weights.shape for layer in judge.layers] == [(7, 22, 32), *[(7, 32, 32)] * 5]
        assert [layer.whole is not None for layer in judge.layers] == [False, True, False, True, False, False]
        assert len(judge.weights) == 32 * len(judge.layers)
        assert judge.harmonics.mixed.shape == (judge.harmonics.narrow.shape[1] * (1 + len(HARMONICS)), 16)


def test_spread_and_median_are_numpys_of_the_local_level():
    found = curves(noise() * (np.arange(int(3 * RATE_HZ)) % RATE_HZ < RATE_HZ // 2))
    pairs = found.local[:, : found.local.shape[1] // 2 * 2].reshape(len(found.local), -1, 2).mean(axis=2)
    assert found.spread == pytest.approx(pairs.std(axis=0), abs=1e-3)
    assert found.median == pytest.approx(np.median(pairs, axis=0), abs=1e-3)


def test_small_odds_beside_great_ones_keep_their_own_value():
    # Paper: odds of e^40 at one point and of 1 at another: a running sum in double precision would lose the 1.
    log_odds = np.full(600, -60.0)
    log_odds[100], log_odds[400] = 40.0, 0.0
    (first, first_at), (second, second_at) = list(peaks_of(log_odds))[:2]
    assert (first, second) == pytest.approx((np.exp(40), 1.0))
    assert (first_at, second_at) == pytest.approx((200.5, 800.5))


def test_a_place_may_lie_between_two_points():
    # Paper: equal odds at 100 and 101, each of two points (200, 201 and 202, 203), have their middle at 201.5.
    log_odds = np.full(600, -60.0)
    log_odds[[100, 101]] = 3.0
    odds, place = next(peaks_of(log_odds))
    assert (odds, place) == pytest.approx((2 * np.exp(3.0), 201.5))


def test_a_lifted_line_stands_over_the_lines_beside_it_by_its_lift():
    # Arithmetic: lines of one height, the tenth 12 dB up; the median of nine lines does not mind one. Seven of ten frames have
    # it: the mean over the lines there is 12 n / (n + 0.02 frames), n seven times 5/25 at the point in the middle.
    level = np.zeros((10, 3000), np.float32)
    level[:, 100:2500:100] = 40
    level[:7, 1000] += 12
    level[7:, 1000] = 0
    bin_hz = 2.0
    freq_hz = 50 * np.exp2(np.arange(2000) / 240)
    excess, share = line_curves(level, freq_hz, bin_hz)
    middle = round(np.log2(2000 / 50) * 240)
    lines = 7 * 5 / 25
    assert excess[middle] == pytest.approx(12 * lines / (lines + 0.2))
    assert share[middle] == pytest.approx(np.log(1 + lines * 20 / 10))
    assert not excess[round(np.log2(2200 / 50) * 240)]
    assert not share[round(np.log2(2100 / 50) * 240)]


def test_no_lines_no_excess():
    flat = np.zeros((5, 7000), np.float32)
    assert not any(curve.any() for curve in line_curves(flat, 50 * np.exp2(np.arange(2000) / 240), 2.69))


# Where a point lies is told from -1 at 120 Hz and below to 1 at 10 kHz (6.4 octaves above) and beyond.
def test_where_a_point_lies_goes_from_minus_one_to_one():
    told = looks(curves(noise()))[:, -1]
    assert (told[0], told[-1]) == (-1.0, 1.0)
    assert (np.diff(told) >= 0).all()
    # Half way, 120 Hz and 3.2 octaves more, is 0: the point nearest to 1103 Hz.
    assert told[np.argmin(np.abs(told))] == pytest.approx(0.0, abs=0.01)


# A frame begins every quarter of one, 4096 samples at 48 kHz: a second of steady noise begins 12 of them (48,000 / 4096 is 11.7).
@pytest.mark.parametrize(("seconds", "frames"), [(1, 12), (2, 24), (3, 36)])
def test_of_a_short_sound_every_frame_is_kept(seconds, frames):
    keeper = FrameKeeper(48_000, 1)
    keeper.feed(np.random.default_rng(1).standard_normal((48_000 * seconds, 1)) * 0.1)
    assert len(keeper.spectra().power) == frames


# What the shipped networks were fitted to look at; another scale, order or mean asks for another fit. An octave is 120 of the points.
def test_what_is_seen_is_what_the_judges_were_fitted_to():
    rng = np.random.default_rng(5)
    points = 900
    names = ("power", "typical", "lines", "quarter", "floor", "lowest", "low", "between", "line_excess", "line_share")
    level = {name: rng.normal(0, 12, points) for name in names}
    moments = {str(number): rng.normal(0, 20, points // 2) for number in range(7)}
    spread, median = rng.normal(8, 9, points // 2), rng.normal(0, 30, points // 2)
    freq_hz = 80.0 * np.exp2(np.arange(points) / 120)
    seen = looks(Curves(freq_hz, level, np.zeros((3, points), "f4"), moments, spread, median))
    thin = {name: curve.reshape(-1, 2).mean(axis=1) for name, curve in level.items()}
    against = {name: thin[name] - ndimage.uniform_filter1d(thin[name], 121, mode="nearest") for name in thin}
    over = thin["power"] - thin["low"]
    expected = [
        against["power"] / 10, against["typical"] / 10, thin["lines"] / 10, thin["quarter"] / 10, thin["floor"] / 10,
        thin["lowest"] / 10, against["low"] / 10, against["between"] / 10, thin["line_excess"] / 10, thin["line_share"],
        (over - over.mean() - 20) / 20, (thin["low"] - thin["between"]) / 10, *(curve / 10 for curve in moments.values()),
        spread / 5, median / 10,
    ]  # fmt: skip
    assert seen.shape == (points // 2, 22)
    np.testing.assert_allclose(seen[:, :-1], np.clip(np.array(expected).T, -5.0, 5.0), atol=1e-5)
    assert (np.abs(seen).max(), seen.dtype) == (5.0, np.float32)
    # A point lies midway between two, a 480th of an octave from each; 120 Hz to 10.1 kHz (6.4 octaves) goes from -1 to 1.
    middle_hz = np.sqrt(freq_hz[::2] * freq_hz[::2] * 2 ** (1 / 240))
    assert seen[:, -1] == pytest.approx(2 * np.clip(np.log2(middle_hz / 120) / 6.4, 0, 1) - 1, abs=1e-5)


def judged(monkeypatch, inside, certainty=(2.0, -1.0), offset=-2.0):
    """Return the places that a judge finds who gives every point the same odds."""
    none = Judge((Layer(np.zeros((7, 22, 3), "f4"), np.zeros(3, "f4")),), np.zeros(3, "f4"), offset, NO_HARMONICS)
    monkeypatch.setattr("stemwright.dsp.rings.judge.fitted", lambda: Judges((none, none), certainty))
    points = len(inside)
    level = dict.fromkeys(
        ("power", "typical", "lines", "quarter", "floor", "lowest", "low", "between", "line_excess", "line_share"),
        np.zeros(points),
    )
    moments = {str(number): np.zeros(points // 2) for number in range(7)}
    half = np.zeros(points // 2)
    found = Curves(100.0 * np.exp2(np.arange(points) / 240), level, np.zeros((3, points), "f4"), moments, half, half)
    return list(places_of(found, inside))


def test_certainty_is_a_logistic_of_the_odds_that_lie_together(monkeypatch):
    # Paper: a 24th of an octave to each side is 5 of the points, so 11 odds of e^-2 add up; 2 ln(11 e^-2) - 1 = -0.204.
    confidence, place = judged(monkeypatch, np.ones(400, bool))[0]
    assert confidence == pytest.approx(1 / (1 + np.exp(-(2 * (np.log(11) - 2) - 1))))
    assert place == pytest.approx(10.5)  # the first point with five on each side lies between 10 and 11


def test_places_come_from_inside_the_band_only(monkeypatch):
    inside = np.zeros(400, bool)
    inside[101:141] = True  # whole pairs of points: 102 to 139, nineteen of them
    places = judged(monkeypatch, inside)
    # Eleven lie together in the middle, 56 to 64; the first of those is the place, and ten to each side go with it.
    assert places[0][1] == pytest.approx(112.5)
    assert places[0][0] > places[1][0]
    assert [place for _, place in places[1:]] == [pytest.approx(131.5, abs=0.5)]


def test_odds_beyond_any_certainty_are_all_one():
    (first, _), *_ = peaks_of(np.array([-np.inf] * 30 + [200.0] + [-np.inf] * 30))
    assert first == pytest.approx(np.exp(60.0))


def test_the_answer_of_the_harmonics_is_a_layer_with_offsets_and_weights():
    # Paper: a point's one number goes through two hidden ones: 3 x + 0.5 and -2 x + 1, each if it is over 0, weighed 1 and 10.
    one = np.zeros((7, 1, 1), "f4")
    one[3] = 1.0
    mixed = np.zeros((1 + len(HARMONICS), 2), "f4")
    mixed[0] = [3.0, -2.0]
    harmonics = Harmonics(np.ones((1, 1), "f4"), mixed, np.array([0.5, 1.0], "f4"), np.array([1.0, 10.0], "f4"))
    judge = Judge((Layer(one, np.zeros(1, "f4")),), np.zeros(1, "f4"), 0.25, harmonics)
    got = log_odds_of(np.array([[0.0], [0.25], [2.0]], "f4"), judge)
    assert got == pytest.approx([0.25 + 0.5 + 10.0, 0.25 + 1.25 + 5.0, 0.25 + 6.5])
