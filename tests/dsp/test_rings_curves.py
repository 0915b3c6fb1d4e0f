"""From spectra to the curves that the judge sees: points, lines, rises and which frames count, each worked out plainly."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage

from stemwright.dsp.rings.curves import curves_of, thin_hz
from stemwright.dsp.rings.grid import decibels, local, onto_points, points_hz
from stemwright.dsp.rings.lines import _lines, line_curves
from stemwright.dsp.rings.moments import NAMES, _rises, moment_curves
from stemwright.dsp.rings.spectra import Spectra

RNG = np.random.default_rng(4)
BIN_HZ, SHORT_HZ = 3.0, 12.0


def test_points_begin_at_50_hz_and_end_below_the_top():
    assert len(points_hz(49.0, 240)) == len(points_hz(50.0, 240)) == len(points_hz(0.0, 240)) == 0
    assert points_hz(100.1, 12) == pytest.approx(50.0 * 2.0 ** (np.arange(12) / 12))
    assert len(points_hz(20_000.0, 240)) == int(np.log2(400) * 240)


@pytest.mark.parametrize("dtype", [np.float64, np.float32])
def test_a_point_has_the_mean_over_its_cell_or_over_one_bin_where_that_is_wider(dtype):
    # The integral over a curve of steps, each bin one bin wide about its middle.
    rows = RNG.normal(-40.0, 10.0, (3, 900)).astype(dtype)
    freq_hz = points_hz(2000.0, 120)
    edges_hz = (np.arange(901) - 0.5) * BIN_HZ
    sums = np.concatenate([np.zeros((3, 1)), np.cumsum(rows.astype(float), axis=1) * BIN_HZ], axis=1)
    low = np.minimum(freq_hz / 2 ** (1 / 240), freq_hz - BIN_HZ / 2)
    high = np.maximum(freq_hz * 2 ** (1 / 240), freq_hz + BIN_HZ / 2)
    expected = [(np.interp(high, edges_hz, row) - np.interp(low, edges_hz, row)) / (high - low) for row in sums]
    found = onto_points(rows, freq_hz, BIN_HZ, 120)
    assert found.dtype == dtype
    np.testing.assert_allclose(found, expected, atol=2e-4)


@pytest.mark.parametrize(("per_octave", "width"), [(240, 161), (120, 81), (12, 9)])
def test_local_is_against_the_mean_of_two_thirds_of_an_octave(per_octave, width):
    rows = RNG.normal(0.0, 10.0, (2, 500))
    expected = rows - ndimage.uniform_filter1d(rows, width, axis=1, mode="nearest")
    np.testing.assert_allclose(local(rows, per_octave), expected, atol=1e-4)


def test_decibels_are_ten_times_the_logarithm():
    power = np.array([1e-12, 0.5, 1.0, 100.0], np.float32)
    assert decibels(power) == pytest.approx(10 * np.log10(power.astype(float)), abs=1e-4)


# A line stands over two bins to each side (what is as high on its right may follow it) and over 8 dB above the least of 13 bins.
@pytest.mark.parametrize(
    ("heights", "found"),
    [
        ({60: 9.0}, [60]), ({60: 8.1}, [60]), ({60: 8.0}, []), ({60: 9.0, 61: 9.5}, [61]), ({60: 9.0, 62: 9.5}, [62]),
        ({60: 9.0, 63: 9.5}, [60, 63]), ({60: 9.0, 61: 9.0}, [60]), ({60: 9.0, 62: 9.0}, [60]), ({59: 9.0, 60: 9.0}, [59]),
        ({33: 9.0}, [33]), ({32: 9.0}, []), ({2: 9.0}, []), ({197: 9.0}, [197]), ({198: 9.0}, []),
    ],
)  # fmt: skip
def test_what_a_line_is(heights, found):
    # 3 Hz a bin, so 100 Hz lies in bin 33.
    level = np.zeros((1, 200), np.float32)
    for at, height in heights.items():
        level[0, at] = height
    frames, bins = _lines(level, BIN_HZ)
    assert (frames.tolist(), bins.tolist()) == ([0] * len(found), found)


@pytest.mark.parametrize(("away", "found"), [(6, [60]), (7, [])])
def test_the_foot_of_a_line_is_the_least_of_six_bins_to_each_side(away, found):
    level = np.full((1, 200), 5.0, np.float32)
    level[0, 60], level[0, 60 + away] = 9.0, 0.0
    assert _lines(level, BIN_HZ)[1].tolist() == found


# The median of nine lines; with eleven or fewer in all there is nothing to hold one against.
@pytest.mark.parametrize(("lines", "any_there"), [(11, False), (12, True)])
def test_so_many_lines_are_needed(lines, any_there):
    level = np.zeros((1, 2000), np.float32)
    level[0, 100 : 100 + 100 * lines : 100] = 20.0
    freq_hz = points_hz(5900.0, 240)
    excess, share = line_curves(level, freq_hz, BIN_HZ)
    assert (excess.any(), share.any()) == (False, any_there)  # all as high as those beside them


def test_a_line_counts_where_it_lies_and_two_triangles_of_four_points_around():
    # Twelve lines of 20 dB, the sixth 26: it stands 6 dB over the median of nine. Its weight spreads as five ones twice, 25 in all.
    level = np.zeros((2, 2000), np.float32)
    level[:, 100:1300:100] = 20.0
    level[0, 600] = 26.0
    freq_hz = points_hz(5900.0, 240)
    excess, share = line_curves(level, freq_hz, BIN_HZ)
    middle = int(np.rint(np.log2(1800.0 / 50.0) * 240))
    spread = np.array([1, 2, 3, 4, 5, 4, 3, 2, 1]) / 25
    assert share[middle - 4 : middle + 5] == pytest.approx(np.log1p(2 * spread * 20 / 2))
    assert excess[middle - 4 : middle + 5] == pytest.approx(6 * spread / (2 * spread + 0.02 * 2))
    assert share[middle - 5] == share[middle + 5] == 0.0


def plain_rises(power, loudness):
    """Return what came in, of the quarter of windows where most of it came in for what was there (three at least)."""
    change = np.maximum(power[:, 1:] - power[:, :-1], 0).astype(float)
    rise, was = change.sum(axis=2).ravel(), loudness[:, :-1].ravel().astype(float)
    least = rise.max() * 1e-4
    score = np.where(rise > least, rise / (was + least * 1e-13), 0.0)
    order = sorted(range(len(score)), key=lambda at: -score[at])[: max(3, len(score) // 4)]
    return change.reshape(len(score), -1)[[at for at in order if score[at] > 0]]


@pytest.mark.parametrize("frames", [2, 4, 11])
def test_rises_are_where_most_comes_in(frames):
    power = (RNG.uniform(0.0, 1.0, (frames, 4, 50)) ** 6).astype(np.float32)
    power[0, 0] = 1e-7
    power[0, 1] = 1e-5  # far less comes in here than the greatest rise: no onset, however little was there
    loudness = power.sum(axis=2)
    np.testing.assert_allclose(_rises(power, loudness), plain_rises(power, loudness), rtol=1e-4)


def test_a_sound_that_never_rises_has_no_rises():
    power = np.ones((3, 4, 50), np.float32)
    assert len(_rises(power, power.sum(axis=2))) == 0


def test_moments_are_the_quantiles_of_what_they_are_named_for():
    power = (RNG.uniform(0.1, 1.0, (12, 4, 800)) ** 3 * RNG.uniform(0.01, 1.0, (12, 4, 1))).astype(np.float32)
    power[3, 2] *= 1e-7  # under -50 dB of the loudest: no sound
    freq_hz = points_hz(8000.0, 120)
    found = moment_curves(power, freq_hz, SHORT_HZ, 120)
    loudness = power[:, :, 8:].sum(axis=2)  # from 100 Hz on
    active = power[loudness > loudness.max() * 1e-5].astype(float)
    assert len(active) == 47

    def local_of(rows):
        return local(onto_points(10 * np.log10(rows), freq_hz, SHORT_HZ, 120), 120)

    levels = local_of(active)
    rises = plain_rises(power, loudness)
    rises_db = local_of(rises + rises.max(axis=1, keepdims=True) * 1e-7)
    assert tuple(found) == NAMES
    for name, rows, share in (
        ("floor", levels, 0.05), ("quarter", levels, 0.25), ("rise_floor", rises_db, 0.1), ("rise", rises_db, 0.5),
    ):  # fmt: skip
        np.testing.assert_allclose(found[name], np.quantile(rows, share, axis=0), atol=0.01, err_msg=name)


def spectra_of(power):
    return Spectra(power, BIN_HZ, np.ones((len(power), 4, (power.shape[1] + 2) // 4 + 1), np.float32), SHORT_HZ)


def test_curves_are_what_they_are_named_for():
    power = (RNG.uniform(0.1, 1.0, (15, 3000)) ** 4).astype(np.float32)
    power[2] *= 10**-3.9
    power[7] *= 10**-4.1  # 40 dB under the loudest, a frame is no longer active
    found = curves_of(spectra_of(power))
    loudness = power[:, 33:].sum(axis=1)
    active = power[loudness > loudness.max() * 1e-4].astype(float)
    assert len(active) == len(found.local) == 14
    freq_hz = points_hz(2997 * BIN_HZ, 240)
    assert found.freq_hz == pytest.approx(freq_hz)
    level = 10 * np.log10(active)
    on_points = onto_points(level, freq_hz, BIN_HZ, 240)
    near = local(on_points, 240)
    low = np.quantile(level - level[:, 33:].mean(axis=1, keepdims=True), 0.10, axis=0)
    expected = {
        "power": onto_points(10 * np.log10(active.mean(axis=0)), freq_hz, BIN_HZ, 240),
        "typical": on_points.mean(axis=0),
        "lowest": np.quantile(near, 0.03, axis=0),
        "floor": np.quantile(near, 0.10, axis=0),
        "quarter": np.quantile(near, 0.25, axis=0),
        "lines": np.quantile(near, 0.95, axis=0),
        "low": onto_points(low, freq_hz, BIN_HZ, 240),
        "between": onto_points(ndimage.grey_opening(low, (7,)), freq_hz, BIN_HZ, 240),
    }
    for name, curve in expected.items():
        np.testing.assert_allclose(found.level[name], curve, atol=2e-3, err_msg=name)


def test_silence_and_rates_too_low_have_no_curves():
    assert curves_of(spectra_of(np.full((5, 3000), 1e-13, np.float32))) is None
    assert curves_of(spectra_of(np.ones((0, 3000), np.float32))) is None
    # Four octaves over 50 Hz are 800 Hz, 267 bins and the three at the top that are not used.
    assert curves_of(spectra_of(np.ones((5, 269), np.float32))) is None
    assert curves_of(spectra_of(np.ones((5, 271), np.float32))) is not None


def test_thin_points_lie_midway_between_two():
    freq_hz = points_hz(3000.0, 240)[:101]
    assert thin_hz(freq_hz) == pytest.approx(np.sqrt(freq_hz[:100:2] * freq_hz[1:100:2]))
