"""Filters against the outside: published coefficients, scipy's analog responses and another library's equaliser."""

from __future__ import annotations

import math

import numpy as np
import pedalboard
import pytest
from scipy import signal

from stemwright.dsp.prototypes import magnitude_db
from stemwright.dsp.sections import FLOOR_DB, TOLERANCE_DB, design

RATES = (44100, 48000, 88200, 96000, 176400, 192000)


def analog_db(kind: str, values: dict[str, float], freq_hz: np.ndarray) -> np.ndarray:
    """Audio EQ Cookbook's H(s) (W3C Note, 2021) or scipy.signal.butter(analog=True), through scipy.signal.freqs."""
    x = freq_hz / values["freq_hz"]
    if "slope_db_oct" in values:
        # Factors keep the orders of magnitude of a steep filter far from its corner; polynomials of order 8 do not.
        zeros, poles, gain = signal.butter(
            int(values["slope_db_oct"]) // 6, 1.0, kind.replace("_pass", ""), analog=True, output="zpk"
        )
        _, response = signal.freqs_zpk(zeros, poles, gain, worN=x)
    else:
        a, q = 10.0 ** (values["gain_db"] / 40.0), values["q"]
        root = math.sqrt(a) / q
        top, bottom = {
            "bell": ([1.0, a / q, 1.0], [1.0, 1.0 / (a * q), 1.0]),
            "low_shelf": ([a, a * root, a * a], [a, root, 1.0]),
            "high_shelf": ([a * a, a * root, a], [1.0, root, a]),
        }["bell" if kind == "notch" else kind]
        _, response = signal.freqs(top, bottom, worN=x)
    return 20.0 * np.log10(np.abs(response))


def random_moves(count: int, seed: int) -> list[tuple[str, dict[str, float], int]]:
    """Spread logarithmically over the whole of what a recipe may ask for; every second one in the top octaves."""
    rng = np.random.default_rng(seed)

    def logarithmic(low: float, high: float) -> float:
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))

    ranges = {"bell": (24.0, 24.0, 0.1, 60.0), "notch": (48.0, 0.0, 0.5, 100.0)}
    moves = []
    for number in range(count):
        kind = ("bell", "low_shelf", "high_shelf", "notch", "high_pass", "low_pass")[number % 6]
        low_hz = 5e3 if number // 6 % 2 else 10.0
        if kind.endswith("pass"):
            values = {"freq_hz": logarithmic(low_hz, 40e3), "slope_db_oct": float(rng.choice([6, 12, 18, 24, 36, 48]))}
        else:
            down, up, low_q, high_q = ranges.get(kind, (24.0, 24.0, 0.3, 2.0))
            values = {
                "freq_hz": logarithmic(low_hz, 80e3),
                "gain_db": float(rng.uniform(-down, up)),
                "q": logarithmic(low_q, high_q),
            }
        moves.append((kind, values, RATES[number // 12 % len(RATES)]))
    return moves


def test_five_hundred_designs_follow_scipy_s_analog_response() -> None:
    near = np.concatenate([-np.geomspace(1.0, 1e-5, 60), [0.0], np.geomspace(1e-5, 1.0, 60)])
    misses = []
    for kind, values, rate_hz in random_moves(504, seed=20240607):
        freq_hz = np.concatenate([np.geomspace(20.0, 20e3, 300), values["freq_hz"] * (1.0 + near)])
        freq_hz = freq_hz[(freq_hz >= 20.0) & (freq_hz <= 20e3)]
        _, response = signal.sosfreqz(design(kind, values, rate_hz), freq_hz, fs=rate_hz)
        ours = 20.0 * np.log10(np.maximum(np.abs(response), 1e-30))
        wanted = analog_db(kind, values, freq_hz)
        error = np.where(wanted > FLOOR_DB, np.abs(ours - wanted), np.maximum(ours - FLOOR_DB, 0.0))
        if np.max(error) > TOLERANCE_DB:
            misses.append((kind, values, rate_hz, float(np.max(error))))
    assert not misses


# Coefficients for 48 kHz that the cookbook's formulas give (a0 = 1), worked out apart from this program; shelves with S = 1.
COOKBOOK = {
    "bell": (
        {"freq_hz": 1000.0, "gain_db": 6.0, "q": 1.0},
        [1.043953086990335, -1.895320723936596, 0.867722284759857, 1.0, -1.895320723936596, 0.911675371750192],
    ),
    "low_shelf": (
        {"freq_hz": 1000.0, "gain_db": 6.0, "q": math.sqrt(0.5)},
        [1.032562483247590, -1.838856871899641, 0.828747684312470, 1.0, -1.844456867160920, 0.855710172298781],
    ),
    "high_shelf": (
        {"freq_hz": 1000.0, "gain_db": 6.0, "q": math.sqrt(0.5)},
        [1.932340509499657, -3.564118722439873, 1.653523430323866, 1.0, -1.780867406799551, 0.802612624183200],
    ),
    "high_pass": (
        {"freq_hz": 80.0, "slope_db_oct": 12.0},
        [0.992622542756119, -1.985245085512238, 0.992622542756119, 1.0, -1.985190657896261, 0.985299513128215],
    ),
}


def unwarped_hz(freq_hz: np.ndarray, corner_hz: float, rate_hz: int) -> np.ndarray:
    """Where the bilinear transform takes its response from: tan(w/2) / tan(w0/2), the cookbook's frequency warping."""
    return corner_hz * np.tan(np.pi * freq_hz / rate_hz) / math.tan(math.pi * corner_hz / rate_hz)


@pytest.mark.parametrize("kind", list(COOKBOOK))
def test_prototypes_are_what_the_published_coefficients_are_made_from(kind: str) -> None:
    values, row = COOKBOOK[kind]
    freq_hz = np.geomspace(20.0, 23.9e3, 300)
    _, response = signal.sosfreqz(np.array([row]), freq_hz, fs=48000)
    # 1e-12 in a coefficient is 1e-12 over the distance to the poles, some 1e-5 at 20 Hz.
    expected = 20.0 * np.log10(np.abs(response))
    ours = magnitude_db(kind, values, unwarped_hz(freq_hz, values["freq_hz"], 48000))
    np.testing.assert_allclose(ours, expected, atol=1e-5)


@pytest.mark.parametrize("kind", list(COOKBOOK))
def test_designs_agree_with_the_published_coefficients_where_those_are_not_yet_warped(kind: str) -> None:
    values, row = COOKBOOK[kind]
    # tan(x)/x is 1 + x^2/3: at 2 kHz of 48 kHz the formulas are 0.6 % off in frequency, 0.04 dB on 5 dB an octave.
    freq_hz = np.geomspace(20.0, 2000.0, 100)
    _, theirs = signal.sosfreqz(np.array([row]), freq_hz, fs=48000)
    _, ours = signal.sosfreqz(design(kind, values, 48000), freq_hz, fs=48000)
    np.testing.assert_allclose(20 * np.log10(np.abs(ours / theirs)), 0.0, atol=0.04)


PEDALBOARD = {
    "bell": pedalboard.PeakFilter,
    "low_shelf": pedalboard.LowShelfFilter,
    "high_shelf": pedalboard.HighShelfFilter,
}


@pytest.mark.parametrize("kind", list(PEDALBOARD))
@pytest.mark.parametrize(("corner_hz", "gain_db", "q"), [(1000.0, 6.0, 1.0), (900.0, -9.0, 0.7071), (5000.0, 12.0, 1.5)])
def test_pedalboard_s_equaliser_agrees(kind: str, corner_hz: float, gain_db: float, q: float) -> None:
    frames, rate_hz = 48000, 48000
    impulse = np.zeros((1, frames), dtype=np.float32)
    impulse[0, 0] = 1.0
    effect = PEDALBOARD[kind](cutoff_frequency_hz=corner_hz, gain_db=gain_db, q=q)
    spectrum = np.abs(np.fft.rfft(effect(impulse, rate_hz)[0].astype(np.float64)))
    freq_hz = np.arange(20, 20000, 10)  # 1 Hz a bin
    theirs = 20.0 * np.log10(spectrum[freq_hz])
    values = {"freq_hz": corner_hz, "gain_db": gain_db, "q": q}
    # It is the bilinear cookbook in float32 (1.2e-4 dB measured at 1 kHz), so the prototype at the unwarped frequency is it.
    np.testing.assert_allclose(magnitude_db(kind, values, unwarped_hz(freq_hz, corner_hz, rate_hz)), theirs, atol=1e-3)
    # Warping itself moves a 12 dB slope by less than this up to 1 kHz at corners of up to 1 kHz.
    if corner_hz <= 1000.0:
        low = freq_hz <= 1000
        _, ours = signal.sosfreqz(design(kind, values, rate_hz), freq_hz[low], fs=rate_hz)
        np.testing.assert_allclose(20.0 * np.log10(np.abs(ours)), theirs[low], atol=0.01)


def test_an_air_shelf_above_half_the_rate_does_what_the_analog_one_does() -> None:
    # On paper, cookbook highShelf at x = 20/27, A = 10^(4/40), Q = 1/sqrt 2: |H|^2 = A^2 (1 + A^2 x^4) / (A^2 + x^4).
    a, x = 10.0 ** (4.0 / 40.0), 20.0 / 27.0
    on_paper = 10.0 * math.log10(a**2 * (1.0 + a**2 * x**4) / (a**2 + x**4))
    rows = design("high_shelf", {"freq_hz": 27e3, "gain_db": 4.0, "q": math.sqrt(0.5)}, 44100)
    _, response = signal.sosfreqz(rows, np.array([20e3]), fs=44100)
    assert on_paper == pytest.approx(0.94, abs=0.01)
    assert 20.0 * math.log10(abs(response[0])) == pytest.approx(on_paper, abs=TOLERANCE_DB)


def test_half_gain_edges_of_a_bell_lie_where_its_q_says() -> None:
    # Cookbook: analog 1/Q = 2 sinh(ln 2 / 2 BW); an octave around 1 kHz is Q = sqrt 2, edges at 1000 Hz * 2^(-1/2), 2^(1/2).
    rows = design("bell", {"freq_hz": 1000.0, "gain_db": 8.0, "q": math.sqrt(2.0)}, 48000)
    _, response = signal.sosfreqz(rows, 1000.0 * np.sqrt([0.5, 1.0, 2.0]), fs=48000)
    np.testing.assert_allclose(20.0 * np.log10(np.abs(response)), [4.0, 8.0, 4.0], atol=TOLERANCE_DB)
