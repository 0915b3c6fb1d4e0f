"""A stem in third octaves: a tone is in the band it lies in by the standard's edges, and in no other."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.prototypes import magnitude_db
from stemwright.passes.heard import CENTRES_HZ, FFT, change, curve_db, in_thirds, scale, spectrum_of
from stemwright.plan.items import NoteMark, PlannedMove

RATE_HZ = 8_000  # bins of under 1 Hz, so that the lowest band has some


def tone(freq_hz, seconds=8.192):
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return np.sin(2 * np.pi * freq_hz * t)[:, None]


# IEC 61260-1: a third octave reaches from 10^-0.05 to 10^0.05 times its centre: 20 Hz (19.95) from 17.8 to 22.4 Hz.
@pytest.mark.parametrize(("freq_hz", "band"), [(20.0, 0), (31.5, 2), (1000.0, 17), (1100.0, 17), (1150.0, 18)])
def test_a_tone_lies_in_its_third_octave(freq_hz, band):
    power = spectrum_of([tone(freq_hz)], RATE_HZ)
    assert int(np.argmax(power)) == band
    assert power[band] > 0.95 * power.sum()


def test_what_lies_under_the_lowest_band_is_in_none():
    inside, under = spectrum_of([tone(20.0)], RATE_HZ), spectrum_of([tone(16.2)], RATE_HZ)
    assert under.sum() < 0.05 * inside.sum()


def test_blocks_follow_each_other_and_channels_are_averaged():
    sound = tone(1000.0)
    twice = np.hstack([sound, sound])
    assert spectrum_of([twice[:FFT], twice[FFT:]], RATE_HZ) == pytest.approx(spectrum_of([sound], RATE_HZ))


def test_a_gain_is_all_of_its_change_everywhere_and_what_depends_on_the_sound_is_none():
    curve = curve_db([("gain", {"gain_db": -3.0}), ("compress", {})])
    assert curve.tolist() == [-3.0] * len(CENTRES_HZ)
    found = change(np.ones(len(CENTRES_HZ)), curve)
    assert (found.mean_db, found.share_db) == (pytest.approx(-3.0), pytest.approx(0.0))
    assert curve_db([]).tolist() == [0.0] * len(CENTRES_HZ)


BANDS = len(CENTRES_HZ)


def curve_of(**bands):
    curve = np.zeros(BANDS)
    for band, db in bands.items():
        curve[int(band[1:])] = db
    return curve


# The band of a change is where it does half of its most or more, and the same way: 6, 3 and 3.1 dB, not 2.9, not -6.
@pytest.mark.parametrize(
    ("curve", "first", "last", "mean_db"),
    [
        (curve_of(b9=2.9, b10=3.0, b11=6.0, b12=3.1, b13=2.9, b20=-6.0), 10, 12, (3.0 + 6.0 + 3.1) / 3),
        (curve_of(b10=-3.0, b11=-6.0, b12=-2.9, b20=5.9), 10, 11, -4.5),
        (curve_of(b5=1.0), 5, 5, 1.0),
    ],
)
def test_a_change_is_the_mean_over_the_band_that_it_does_most_in(curve, first, last, mean_db):
    found = change(np.ones(BANDS), curve)
    assert found.low_hz == pytest.approx(CENTRES_HZ[first] / 10**0.05)
    assert found.high_hz == pytest.approx(CENTRES_HZ[last] * 10**0.05)
    assert found.mean_db == pytest.approx(mean_db)
    assert found.share_db == pytest.approx(10 * np.log10((last - first + 1) / BANDS))


def test_a_change_counts_by_the_power_that_the_stem_has_there():
    power = np.ones(BANDS)
    power[11] = 8.0
    found = change(power, curve_of(b10=4.0, b11=6.0, b12=4.0))
    assert found.mean_db == pytest.approx((4.0 + 8 * 6.0 + 4.0) / 10)
    assert found.share_db == pytest.approx(10 * np.log10(10 / (BANDS + 7)))
    power[10:13] = 0.0
    nothing_there = change(power, curve_of(b10=4.0, b11=6.0, b12=4.0))
    assert (nothing_there.mean_db, nothing_there.share_db) == (pytest.approx(14 / 3), -np.inf)
    silent = change(np.zeros(BANDS), curve_of(b10=4.0))
    assert (silent.mean_db, silent.share_db) == (4.0, -np.inf)


def marked(kind, base_db, **settings):
    note = NoteMark(word="bite", meaning="", amount=1.0, base_db=base_db, said=())
    return PlannedMove(kind=kind, name="m", why="", settings={"gain_db": base_db, **settings}, note=note)


# At least 1 dB, at most three times what was meant; never less than what was meant.
@pytest.mark.parametrize(
    ("base_db", "amount", "times"),
    [(0.5, 1.0, 2.0), (0.5, -1.0, 2.0), (0.25, 1.0, 3.0), (0.5, 0.5, 3.0), (1.0, 1.0, 1.0), (2.0, 1.0, 1.0), (2.0, 0.25, 2.0),
     (0.0, 1.0, 1.0), (-0.5, 1.0, 2.0)],
)  # fmt: skip
def test_an_amount_grows_until_its_change_is_a_decibel(base_db, amount, times):
    assert scale(np.ones(BANDS), [marked("gain", base_db)], amount) == pytest.approx(times)


def test_what_a_note_did_not_make_does_not_count():
    plain = PlannedMove(kind="gain", name="g", why="", settings={"gain_db": 0.5})
    assert scale(np.ones(BANDS), [plain], 1.0) == 1.0
    assert scale(np.ones(BANDS), [], 1.0) == 1.0
    assert scale(np.ones(BANDS), [plain, marked("gain", 0.5)], 1.0) == pytest.approx(2.0)


def test_the_curve_of_moves_is_their_sum_in_each_third_octave():
    bell, shelf = {"freq_hz": 2000.0, "gain_db": 4.0, "q": 1.0}, {"freq_hz": 5000.0, "gain_db": -3.0, "q": 0.7071}
    expected = magnitude_db("bell", bell, CENTRES_HZ) + magnitude_db("high_shelf", shelf, CENTRES_HZ) - 2.0
    moves = [("bell", bell), ("high_shelf", shelf), ("gain", {"gain_db": -2.0}), ("polarity", {})]
    assert curve_db(moves) == pytest.approx(expected)


def test_a_band_narrower_than_a_bin_has_its_share_of_what_is_near():
    # At 192 kHz a bin is 23.4 Hz: none lies from 17.8 to 22.4 and from 28.2 to 44.7 Hz, where white noise has as much power a hertz.
    noise = np.random.default_rng(2).standard_normal((FFT * 100, 1))
    density = spectrum_of([noise], 192_000) / (CENTRES_HZ * (10**0.05 - 10**-0.05))
    off_db = 10 * np.log10(density[[0, 2, 3]] / np.median(density))
    assert off_db == pytest.approx(np.zeros(3), abs=1.5)


def test_a_last_piece_shorter_than_a_window_counts_with_silence_after_it():
    sound = tone(1000.0)[: FFT + 3000]
    alone = spectrum_of([sound[:FFT]], RATE_HZ) + spectrum_of([sound[FFT:]], RATE_HZ)
    assert spectrum_of([sound], RATE_HZ) == pytest.approx(alone)
    padded = np.concatenate([sound, np.zeros((FFT - 3000, 1))])
    assert spectrum_of([padded], RATE_HZ) == pytest.approx(alone)


def test_a_band_narrower_than_a_bin_is_read_off_at_its_own_middle():
    # Power that grows with frequency in a straight line, at 192 kHz: of the band from 17.78 to 22.39 Hz (IEC 61260-1), whose
    # middle is 19.95 Hz, its share of a bin of 23.44 Hz.
    freq_hz = np.fft.rfftfreq(FFT, 1.0 / 192_000)
    assert in_thirds(freq_hz, 192_000)[0] == pytest.approx(19.953 * (22.387 - 17.783) / 23.4375, rel=1e-3)
