"""The analog prototypes against the cookbook's formulas, Butterworth's closed form and scipy's analog filters."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal

from stemwright.dsp.prototypes import analog_sections, butterworth_qs, checked, magnitude_db, pass_order
from stemwright.errors import DesignError

SLOPES = (6, 12, 18, 24, 36, 48)
FREQ_HZ = np.geomspace(1.0, 200e3, 400)
ROUNDING_DB = 1e-9  # float64 sums of squares, a few hundred rounding steps apart


def scipy_db(top: list[float], bottom: list[float], x: np.ndarray) -> np.ndarray:
    _, response = signal.freqs(top, bottom, worN=x)
    return 20.0 * np.log10(np.abs(response))


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize(("kind", "btype"), [("low_pass", "low"), ("high_pass", "high")])
def test_passes_are_scipy_s_analog_butterworth(kind: str, btype: str, slope: int) -> None:
    # scipy.signal.butter(analog=True) is the reference; orders of 6 dB per octave each.
    top, bottom = signal.butter(slope // 6, 1.0, btype, analog=True)
    x = np.geomspace(0.05, 20.0, 200)
    ours = magnitude_db(kind, {"freq_hz": 1000.0, "slope_db_oct": slope}, 1000.0 * x)
    np.testing.assert_allclose(ours, scipy_db(top, bottom, x), atol=1e-8)


@pytest.mark.parametrize("slope", SLOPES)
def test_a_low_pass_has_butterworth_s_closed_form(slope: int) -> None:
    # Butterworth 1930: |H|^2 = 1 / (1 + x^(2n)), and x -> 1/x for the high-pass.
    x = np.geomspace(0.01, 100.0, 200)
    expected = -10.0 * np.log10(1.0 + x ** (2 * (slope // 6)))
    settings = {"freq_hz": 80.0, "slope_db_oct": slope}
    np.testing.assert_allclose(magnitude_db("low_pass", settings, 80.0 * x), expected, atol=ROUNDING_DB)
    np.testing.assert_allclose(magnitude_db("high_pass", settings, 80.0 / x), expected, atol=ROUNDING_DB)


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("kind", ["low_pass", "high_pass"])
def test_passes_are_half_power_at_freq(kind: str, slope: int) -> None:
    # Half power is 10 log10(1/2) = -3.0103 dB, by definition of the Butterworth cut-off.
    level = magnitude_db(kind, {"freq_hz": 250.0, "slope_db_oct": slope}, np.array([250.0]))
    assert level[0] == pytest.approx(10.0 * math.log10(0.5), abs=ROUNDING_DB)


@pytest.mark.parametrize(
    ("order", "qs"),
    # The usual handbook table of Butterworth section Qs (the formula from memory, the values checked by scipy below).
    [
        (1, []),
        (2, [0.70710678]),
        (3, [1.0]),
        (4, [0.54119610, 1.30656296]),
        (6, [0.51763809, 0.70710678, 1.93185165]),
        (8, [0.50979558, 0.60134489, 0.89997622, 2.56291545]),
    ],
)
def test_butterworth_section_qs_are_the_handbook_s(order: int, qs: list[float]) -> None:
    assert butterworth_qs(order) == pytest.approx(qs, abs=1e-8)
    # A pole pair on the unit circle has Q = 1 / (2 |Re p|); scipy.signal.buttap gives the poles.
    poles = signal.buttap(order)[1]
    from_poles = sorted(1.0 / (-2.0 * p.real) for p in poles if p.imag > 1e-9)
    assert butterworth_qs(order) == pytest.approx(from_poles, abs=1e-12)


def test_a_slope_is_six_db_per_octave_for_every_order() -> None:
    assert [pass_order(slope) for slope in SLOPES] == [1, 2, 3, 4, 6, 8]


@pytest.mark.parametrize("gain_db", [-24.0, -3.0, 0.5, 6.0, 24.0])
@pytest.mark.parametrize("q", [0.3, 0.7071, 2.0])
def test_bells_and_shelves_are_the_cookbook_s_analog_prototypes(gain_db: float, q: float) -> None:
    # Audio EQ Cookbook (W3C Note, 2021), H(s) of peakingEQ, lowShelf and highShelf, run by scipy.signal.freqs.
    a = 10.0 ** (gain_db / 40.0)
    root = math.sqrt(a) / q
    formulas = {
        "bell": ([1.0, a / q, 1.0], [1.0, 1.0 / (a * q), 1.0]),
        "low_shelf": ([a, a * root, a * a], [a, root, 1.0]),
        "high_shelf": ([a * a, a * root, a], [1.0, root, a]),
    }
    for kind, (top, bottom) in formulas.items():
        ours = magnitude_db(kind, {"freq_hz": 2000.0, "gain_db": gain_db, "q": q}, FREQ_HZ)
        np.testing.assert_allclose(ours, scipy_db(top, bottom, FREQ_HZ / 2000.0), atol=ROUNDING_DB, err_msg=kind)


def test_a_notch_is_a_bell_s_cut() -> None:
    # Our definition (design of the moves): a notch of finite depth is the cookbook's bell with a negative gain.
    settings = {"freq_hz": 3150.0, "gain_db": -12.0, "q": 30.0}
    np.testing.assert_array_equal(magnitude_db("notch", settings, FREQ_HZ), magnitude_db("bell", settings, FREQ_HZ))


GAINS = st.floats(-24.0, 24.0)
SHELF_QS = st.floats(0.3, 2.0)


@given(gain_db=GAINS, q=st.floats(0.1, 60.0))
def test_a_bell_has_its_gain_at_freq_and_none_far_away(gain_db: float, q: float) -> None:
    # Cookbook identity: H(j) = A^2, H(0) = H(infinity) = 1.
    level = magnitude_db("bell", {"freq_hz": 1000.0, "gain_db": gain_db, "q": q}, np.array([0.0, 1000.0, 1e15]))
    np.testing.assert_allclose(level, [0.0, gain_db, 0.0], atol=ROUNDING_DB)


@given(gain_db=GAINS, q=SHELF_QS)
def test_a_shelf_has_half_its_gain_at_freq_and_all_of_it_on_its_side(gain_db: float, q: float) -> None:
    # Cookbook identity: |H(j)| = A whatever the Q; the far ends are A^2 and 1.
    far = np.array([0.0, 1000.0, 1e15])
    settings = {"freq_hz": 1000.0, "gain_db": gain_db, "q": q}
    np.testing.assert_allclose(magnitude_db("low_shelf", settings, far), [gain_db, gain_db / 2, 0.0], atol=ROUNDING_DB)
    np.testing.assert_allclose(magnitude_db("high_shelf", settings, far), [0.0, gain_db / 2, gain_db], atol=ROUNDING_DB)


@given(gain_db=GAINS, q=SHELF_QS, kind=st.sampled_from(["bell", "low_shelf", "high_shelf"]))
def test_a_boost_then_its_cut_is_a_wire(gain_db: float, q: float, kind: str) -> None:
    # Cookbook: "cut and boost are complementary", a boost followed by the same cut is a wire.
    boost = magnitude_db(kind, {"freq_hz": 500.0, "gain_db": gain_db, "q": q}, FREQ_HZ)
    cut = magnitude_db(kind, {"freq_hz": 500.0, "gain_db": -gain_db, "q": q}, FREQ_HZ)
    np.testing.assert_allclose(boost + cut, 0.0, atol=ROUNDING_DB)


@given(octaves=st.floats(0.05, 4.0), gain_db=GAINS)
def test_q_is_the_cookbook_s_bandwidth_between_the_half_gain_points(octaves: float, gain_db: float) -> None:
    # Cookbook: analog 1/Q = 2 sinh(ln 2 / 2 BW), BW in octaves between the midpoint (dBgain/2) frequencies.
    q = 1.0 / (2.0 * math.sinh(math.log(2.0) / 2.0 * octaves))
    edges = 1000.0 * 2.0 ** np.array([-octaves / 2.0, octaves / 2.0])
    level = magnitude_db("bell", {"freq_hz": 1000.0, "gain_db": gain_db, "q": q}, edges)
    np.testing.assert_allclose(level, gain_db / 2.0, atol=1e-8)


@pytest.mark.parametrize("gain_db", [3.0, 12.0, 24.0])
def test_the_default_q_is_the_steepest_shelf_that_does_not_overshoot(gain_db: float) -> None:
    # Cookbook: with shelf slope S = 1 the shelf is as steep as it can be and stay monotonic; 1/Q^2 = (A + 1/A)(1/S - 1) + 2.
    a = 10.0 ** (gain_db / 40.0)
    steeper_q = 1.0 / math.sqrt((a + 1.0 / a) * (1.0 / 1.2 - 1.0) + 2.0)
    x = np.geomspace(10.0, 100e3, 2000)
    at_most = magnitude_db("high_shelf", {"freq_hz": 1000.0, "gain_db": gain_db, "q": math.sqrt(0.5)}, x)
    above = magnitude_db("high_shelf", {"freq_hz": 1000.0, "gain_db": gain_db, "q": steeper_q}, x)
    assert np.min(np.diff(at_most)) > -ROUNDING_DB
    assert np.min(above) < -1e-3
    assert np.max(above) > gain_db + 1e-3


def test_a_high_pass_lets_nothing_through_at_0_hz() -> None:
    assert magnitude_db("high_pass", {"freq_hz": 30.0, "slope_db_oct": 12}, np.array([0.0]))[0] == -np.inf


def test_a_gain_is_the_same_at_every_frequency() -> None:
    np.testing.assert_allclose(magnitude_db("gain", {"gain_db": -3.0}, FREQ_HZ), -3.0, atol=1e-12)


def test_rows_are_in_descending_powers_of_s() -> None:
    # By hand: q = 2, gain 0 dB makes A = 1, so both sides are s^2 + s/2 + 1.
    rows = analog_sections("bell", {"freq_hz": 100.0, "gain_db": 0.0, "q": 2.0})
    np.testing.assert_array_equal(rows, [[1.0, 0.5, 1.0, 1.0, 0.5, 1.0]])


@pytest.mark.parametrize(
    ("kind", "settings", "message"),
    [
        (
            "low_cut",
            {},
            "'low_cut' is not a filter; one of high_pass, low_pass, low_shelf, high_shelf, bell, notch, gain is",
        ),
        ("bell", {"freq_hz": 100.0, "gain_db": 3.0}, "bell needs q, a number from 0.1 to 60"),
        (
            "bell",
            {"freq_hz": 5.0, "gain_db": 3.0, "q": 1.0},
            "bell.freq_hz is 5; it must be from 10 to 80000",
        ),
        (
            "notch",
            {"freq_hz": 100.0, "gain_db": 3.0, "q": 1.0},
            "notch.gain_db is 3; it must be from -48 to 0",
        ),
        (
            "high_shelf",
            {"freq_hz": 100.0, "gain_db": math.nan, "q": 1.0},
            "high_shelf.gain_db is nan; it must be from -24 to 24",
        ),
        (
            "high_pass",
            {"freq_hz": 100.0, "slope_db_oct": 30},
            "high_pass.slope_db_oct is 30; it must be one of 6, 12, 18, 24, 36, 48",
        ),
    ],
)
def test_wrong_settings_are_named_with_what_is_allowed(kind: str, settings: dict[str, float], message: str) -> None:
    with pytest.raises(DesignError) as caught:
        magnitude_db(kind, settings, FREQ_HZ)
    assert str(caught.value) == message


# What may be asked of each kind, both ends included.
@pytest.mark.parametrize(
    ("kind", "name", "least", "most"),
    [
        *((kind, "freq_hz", 10.0, 40_000.0) for kind in ("high_pass", "low_pass")),
        *((kind, "freq_hz", 10.0, 80_000.0) for kind in ("low_shelf", "high_shelf", "bell", "notch")),
        *((kind, "gain_db", -24.0, 24.0) for kind in ("low_shelf", "high_shelf", "bell")),
        *((kind, "q", 0.3, 2.0) for kind in ("low_shelf", "high_shelf")),
        ("bell", "q", 0.1, 60.0), ("notch", "q", 0.5, 100.0), ("notch", "gain_db", -48.0, 0.0), ("gain", "gain_db", -48.0, 24.0),
    ],
)  # fmt: skip
def test_what_may_be_asked(kind: str, name: str, least: float, most: float) -> None:
    usual = {"freq_hz": 1000.0, "gain_db": -3.0, "q": 1.0} | ({"slope_db_oct": 12.0} if kind.endswith("pass") else {})
    for value in (least, most):
        assert checked(kind, {**usual, name: value})[name] == value
    for value in (least - 0.01, most + 0.01):
        with pytest.raises(DesignError, match=rf"^{kind}\.{name} is .*; it must be from {least:g} to {most:g}$"):
            checked(kind, {**usual, name: value})
