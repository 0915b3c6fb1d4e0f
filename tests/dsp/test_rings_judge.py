"""What the judge of rings sees and how it adds up."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from stemwright.dsp.rings.curves import curves_of
from stemwright.dsp.rings.judge import Judge, fitted, log_odds_of, looks, peaks_of, places_of
from stemwright.dsp.rings.lines import line_curves
from stemwright.dsp.rings.spectra import FrameKeeper

RATE_HZ = 44100


def curves(audio):
    keeper = FrameKeeper(RATE_HZ, 1)
    keeper.feed(audio[:, np.newaxis])
    return curves_of(keeper.spectra())


def noise(seconds=3.0):
    return np.random.default_rng(4).normal(size=int(seconds * RATE_HZ)) * 0.1


def test_layers_are_what_scipy_correlates():
    rng = np.random.default_rng(1)
    layers = tuple((rng.normal(size=(7, n, 3)).astype("f4"), rng.normal(size=3).astype("f4")) for n in (12, 3))
    judge = Judge(layers, (rng.normal(size=6) * 0.1).astype("f4"), -0.5)
    seen = rng.normal(size=(60, 12)).astype("f4")
    first, second = (np.zeros((7, 12, 3)), np.zeros((13, 3, 3)))
    first[:], second[::2] = layers[0][0], layers[1][0]  # taps of the second layer lie two points apart
    below = [sum(signal.correlate(seen[:, i], first[:, i, o], "same") for i in range(12)) for o in range(3)]
    one = np.maximum(np.stack(below, 1) + layers[0][1], 0)
    above = [sum(signal.correlate(one[:, i], second[:, i, o], "same") for i in range(3)) for o in range(3)]
    two = np.maximum(np.stack(above, 1) + layers[1][1], 0) + one
    expected = one @ judge.weights[:3] + two @ judge.weights[3:] - 0.5
    inner = slice(12, -12)  # scipy takes what lies beyond the ends for nothing, we for the last value
    assert log_odds_of(seen, judge)[inner] == pytest.approx(expected[inner], rel=1e-4, abs=1e-3)


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
    assert inside[at].all()


def test_every_judge_has_the_layers_it_is_made_for():
    for judge in fitted().judges:
        assert [weights.shape[:2] for weights, _ in judge.layers] == [(7, 19), *[(7, 24)] * 4]
        assert len(judge.weights) == 24 * len(judge.layers)


def test_small_odds_beside_great_ones_keep_their_own_value():
    # Paper: odds of e^40 at one point and of 1 at another: a running sum in double precision would lose the 1.
    log_odds = np.full(600, -60.0)
    log_odds[100], log_odds[400] = 40.0, 0.0
    (first, first_at), (second, second_at) = list(peaks_of(log_odds))[:2]
    assert (first, second) == pytest.approx((np.exp(40), 1.0))
    assert (first_at, second_at) == pytest.approx((200.5, 800.5), abs=0.51)


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
