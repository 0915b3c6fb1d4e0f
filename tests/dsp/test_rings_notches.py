"""Notches planned for rings: how deep, how wide, and when the depth gives way."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from stemwright.dsp.prototypes import magnitude_db
from stemwright.dsp.rings import Ring, RingEvidence, RingSettingsError, band_losses, plan_notches


def ring(freq_hz=2000.0, excess_db=12.0, q=30.0):
    numbers = RingEvidence(
        peak_to_neighbours_db=excess_db,
        peak_to_harmonics_db=5.0,
        floor_excess_db=excess_db,
        average_excess_db=excess_db,
        between_partials_db=excess_db,
        persistence=0.9,
        decay_s=0.06,
        pitch_independence=0.9,
    )
    return Ring(freq_hz, excess_db, q, freq_hz / q, 0.9, 0.95, numbers)


def test_half_depth_leaves_half_the_excess_in_db():
    (notch,) = plan_notches([ring(excess_db=10.0)], depth_percent=50, deepest_db=24)
    lifted = magnitude_db("bell", {"freq_hz": 2000.0, "gain_db": 10.0, "q": 30.0}, np.array([2000.0]))
    cut = magnitude_db("notch", notch.settings(), np.array([2000.0]))
    assert lifted + cut == pytest.approx(5.0, abs=1e-9)


def test_full_depth_undoes_the_bell_everywhere():
    # Audio EQ Cookbook: a boost and the same cut are a wire.
    (notch,) = plan_notches([ring(excess_db=12.0, q=40.0)], depth_percent=100, deepest_db=24)
    freq_hz = np.geomspace(20, 20000, 400)
    bell = magnitude_db("bell", {"freq_hz": 2000.0, "gain_db": 12.0, "q": 40.0}, freq_hz)
    assert bell + magnitude_db("notch", notch.settings(), freq_hz) == pytest.approx(np.zeros(400), abs=1e-9)


@pytest.mark.parametrize("depth_percent", [25, 50, 100])
def test_notch_is_as_wide_as_the_ring_at_any_depth(depth_percent):
    # A bell's width at half its gain in dB is freq / Q, whatever the gain (Audio EQ Cookbook): edges of Q 25 at 2 kHz lie at
    # 2000 (sqrt(1 + 1/2500) +- 1/50) = 2040.4 and 1960.4 Hz.
    (notch,) = plan_notches([ring(q=25.0)], depth_percent=depth_percent, deepest_db=24)
    edges = 2000 * (np.sqrt(1 + 1 / 2500) + np.array([-1, 1]) / 50)
    assert magnitude_db("notch", notch.settings(), edges) == pytest.approx([notch.gain_db / 2] * 2, abs=1e-9)


def test_deepest_limits_the_depth():
    (notch,) = plan_notches([ring(excess_db=20.0)], depth_percent=50, deepest_db=6)
    assert (notch.gain_db, notch.asked_db, notch.gave_way) == (-6.0, -6.0, "")


@pytest.mark.parametrize("asked", [{"depth_percent": 0.0}, {"deepest_db": 0.0}])
def test_notch_of_nothing_is_left_out(asked):
    assert plan_notches([ring()], **asked) == []


def test_loss_of_a_band_is_the_mean_power_a_flat_sound_loses_in_it():
    # Paper: with u = f/f0 - f0/f, which is 2 (f - f0)/f0 close to f0, the cookbook's cut of c dB is |H|^2 = 1 - d w^2 / (u^2 + w^2)
    # with w = 10^(c/40) / Q and d = 1 - 10^(-c/10). The band of f0 is 10^0.05 - 10^-0.05 = 0.230768 f0 wide: u runs to +-0.230768,
    # and the mean over it is 1 - d w atan(0.230768 / w) / 0.230768. 1 %: u is not quite 2 (f - f0)/f0 at the edges.
    cut_db, q, mid_hz = 12.0, 100.0, 1995.2623
    w, share = 10 ** (cut_db / 40) / q, 1 - 10 ** (-cut_db / 10)
    expected_db = -10 * np.log10(1 - share * w * np.arctan(0.230768 / w) / 0.230768)
    (band,) = [b for b in band_losses([{"freq_hz": mid_hz, "gain_db": -cut_db, "q": q}]) if b.nominal_hz == 2000]
    assert band.loss_db == pytest.approx(expected_db, rel=0.01)


def test_hollow_guard_leaves_narrow_notches_alone():
    notches = plan_notches([ring(), ring(freq_hz=3200.0)], depth_percent=100, deepest_db=12)
    assert [n.gain_db for n in notches] == [-12.0, -12.0]
    assert [n.gave_way for n in notches] == ["", ""]


def test_hollow_guard_eases_notches_until_no_band_loses_more_than_three_db():
    rings = [ring(1900.0, 20.0, 8.0), ring(2100.0, 20.0, 8.0), ring(8000.0, 10.0, 30.0)]
    notches = plan_notches(rings, depth_percent=100, deepest_db=24)
    losses = band_losses([n.settings() for n in notches])
    assert max(b.loss_db for b in losses) == pytest.approx(3.0, abs=0.01)
    assert notches[0].gain_db > -20.0
    assert notches[0].gain_db == pytest.approx(notches[1].gain_db)
    assert notches[2].gain_db == -10.0
    assert notches[2].gave_way == ""


def test_hollow_guard_says_what_gave_way_and_where():
    notch = plan_notches([ring(2000.0, 24.0, 8.0), ring(2010.0, 24.0, 8.0)], depth_percent=100, deepest_db=24)[0]
    taken, lost = (
        -notch.gain_db,
        max(b.loss_db for b in band_losses([{"freq_hz": f, "gain_db": -24, "q": 8} for f in (2000, 2010)])),
    )
    assert notch.gave_way == (
        f"the notch at 2 kHz takes {taken:.1f} dB instead of 24.0 dB: "
        f"the third-octave band at 2 kHz would lose {lost:.1f} dB, and more than 3 dB hollows it out"
    )
    assert notch.found_as_json()["gave_way"] == notch.gave_way


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"depth_percent": 101.0}, "rings: depth is 101 %; allowed are 0 to 100 %"),
        ({"depth_percent": float("nan")}, "rings: depth is nan %; allowed are 0 to 100 %"),
        ({"deepest_db": 30.0}, "rings: deepest is 30 dB; allowed are 0 to 24 dB"),
        ({"most_band_loss_db": 0.0}, "rings: most_band_loss is 0 dB; it must be above 0"),
    ],
)
def test_plan_that_makes_no_sense_says_so(wrong, message):
    with pytest.raises(RingSettingsError) as caught:
        plan_notches([ring()], **wrong)
    assert str(caught.value) == message


def test_bands_are_the_standards_third_octaves():
    # IEC 61260-1: base 10, from 16 Hz to 20 kHz, with the nominal frequencies of its table.
    bands = band_losses([])
    assert [band.nominal_hz for band in bands] == pytest.approx([
        16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500,
        3150, 4000, 5000, 6300, 8000, 10_000, 12_500, 16_000, 20_000,
    ])  # fmt: skip
    assert [band.mid_hz for band in bands] == pytest.approx(1000 * 10 ** (np.arange(-18, 14) / 10))
    assert all(band.loss_db == 0.0 for band in bands)


@pytest.mark.parametrize("notch", [(900.0, -9.0, 3.0), (1100.0, -20.0, 60.0), (60.0, -6.0, 5.0)])
def test_loss_is_the_integral_over_the_band(notch):
    # scipy's adaptive quadrature over |H|^2 between the band's edges.
    settings = dict(zip(("freq_hz", "gain_db", "q"), notch, strict=True))
    for band in band_losses([settings]):
        if abs(np.log2(band.mid_hz / notch[0])) > 0.5:
            continue
        low, high = band.mid_hz * 10**-0.05, band.mid_hz * 10**0.05
        power, _ = quad(lambda f: 10 ** (float(magnitude_db("notch", settings, np.array([f]))[0]) / 10), low, high, points=[
            min(max(notch[0], low), high)
        ])  # fmt: skip
        assert band.loss_db == pytest.approx(-10 * np.log10(power / (high - low)), abs=1e-4)


@pytest.mark.parametrize(("excess_db", "kept"), [(0.1, False), (0.1002, True)])
def test_a_notch_of_a_twentieth_of_a_decibel_is_nothing(excess_db, kept):
    assert len(plan_notches([ring(excess_db=excess_db)])) == int(kept)


def test_a_depth_that_is_not_given_is_half_and_six_decibels_at_most():
    assert [n.gain_db for n in plan_notches([ring(excess_db=10.0), ring(4000.0, 20.0)])] == [-5.0, -6.0]


@pytest.mark.parametrize("most_db", [1.0, 2.0])
def test_the_guard_keeps_to_the_limit_it_is_given_and_no_more_than_a_hundredth_under_it(most_db):
    (notch,) = plan_notches([ring(2000.0, 24.0, 8.0)], depth_percent=100, deepest_db=24, most_band_loss_db=most_db)
    rounded = notch.settings() | {"gain_db": round(notch.gain_db, 2)}
    worst_db = max(band.loss_db for band in band_losses([rounded]))
    assert most_db - 0.02 < worst_db <= most_db


def test_notches_that_hardly_reach_the_worst_band_are_not_eased():
    # A narrow notch an octave away takes a few hundredths from it, one a third of an octave beside it some tenths.
    near, far = ring(2500.0, 12.0, 20.0), ring(4000.0, 12.0, 30.0)
    losses = [next(b.loss_db for b in band_losses([
        {"freq_hz": each.freq_hz, "gain_db": -12.0, "q": each.q}
    ]) if b.nominal_hz == 2000) for each in (near, far)]  # fmt: skip
    assert losses[0] > 0.1 > losses[1]
    _, eased, left = plan_notches([ring(2000.0, 24.0, 6.0), near, far], depth_percent=100, deepest_db=24)
    assert eased.gain_db > -12.0
    assert (left.gain_db, left.gave_way) == (-12.0, "")
    assert "more than 3 dB hollows it out" in eased.gave_way


@pytest.mark.parametrize(("freq_hz", "said"), [(999.0, "999 Hz"), (1000.0, "1 kHz"), (2345.0, "2.345 kHz")])
def test_a_frequency_is_said_in_hz_or_khz(freq_hz, said):
    (notch,) = plan_notches([ring(freq_hz, 24.0, 2.0)], depth_percent=100, deepest_db=24)
    assert notch.gave_way.startswith(f"the notch at {said} takes ")


@pytest.mark.parametrize(
    "fine", [{"depth_percent": 0.0}, {"depth_percent": 100.0}, {"deepest_db": 0.0}, {"deepest_db": 24.0}]
)
def test_the_ends_of_what_may_be_asked_are_allowed(fine):
    plan_notches([ring()], **fine)
