"""The steps of the Speech Intelligibility Index written out band by band, and how powers of ERB bands become spectrum levels."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.audibility import (
    FREQ_HZ,
    IMPORTANCE,
    INTERNAL_DB,
    NORMAL_DB,
    band_audibility,
    disturbance_db,
    full_scale_db,
    index,
    spectrum_levels,
)
from stemwright.dsp.bands import ERB_NUMBERS, WIDTHS_HZ

RNG = np.random.default_rng(8)
SPEECH_DB, NOISE_DB = RNG.uniform(0.0, 95.0, (40, 18)), RNG.uniform(-20.0, 90.0, (40, 18))


def plainly(speech_db, noise_db, threshold_db):
    """Return one frame's disturbance and audibility: ANSI S3.5-1997, 5.4 to 5.8, third octaves."""
    own = speech_db - 24.0
    masker = np.maximum(noise_db, own)
    slope = [-80.0 + 0.6 * (masker[k] + 10 * np.log10(FREQ_HZ[k]) - 6.353) for k in range(18)]
    disturbance = [masker[0]]
    for i in range(1, 18):
        spread = [10 ** (0.1 * (masker[k] + 3.32 * slope[k] * np.log10(0.89 * FREQ_HZ[i] / FREQ_HZ[k]))) for k in range(i)]
        disturbance.append(10 * np.log10(10 ** (0.1 * noise_db[i]) + sum(spread)))
    heard_over = np.maximum(disturbance, INTERNAL_DB + threshold_db)
    distortion = np.minimum(1.0, 1.0 - (speech_db - NORMAL_DB - 10.0) / 160.0)
    return np.array(disturbance), np.clip((speech_db - heard_over + 15.0) / 30.0, 0.0, 1.0) * distortion


@pytest.mark.parametrize("threshold_db", [0.0, 25.0])
def test_the_index_is_the_standards_step_by_step(threshold_db):
    expected = [plainly(speech, noise, threshold_db) for speech, noise in zip(SPEECH_DB, NOISE_DB, strict=True)]
    assert disturbance_db(SPEECH_DB, NOISE_DB) == pytest.approx(np.array([each[0] for each in expected]))
    heard = np.array([each[1] for each in expected])
    assert band_audibility(SPEECH_DB, NOISE_DB, threshold_db) == pytest.approx(heard)
    assert index(SPEECH_DB, NOISE_DB, threshold_db) == pytest.approx(heard @ IMPORTANCE)
    equal = np.full(18, 1.0 / 18.0)
    assert index(SPEECH_DB, NOISE_DB, threshold_db, equal) == pytest.approx(heard.mean(axis=1))


def test_shouted_beyond_170_db_over_normal_nothing_is_left():
    assert band_audibility((NORMAL_DB + 169.0)[None], np.full((1, 18), -50.0)).max() < 0.01
    assert (band_audibility((NORMAL_DB + 175.0)[None], np.full((1, 18), -50.0)) == 0.0).all()


# Table 3 of the standard as its working group's program has it, each band told from the others.
def test_the_table_is_the_standards():
    assert FREQ_HZ.tolist() == [
        160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000,
    ]  # fmt: skip
    assert (IMPORTANCE * 1e4).round().astype(int).tolist() == [
        83, 95, 150, 289, 440, 578, 653, 711, 818, 844, 882, 898, 868, 844, 771, 527, 364, 185,
    ]  # fmt: skip
    assert NORMAL_DB.tolist() == [
        32.41, 34.48, 34.75, 33.98, 34.59, 34.27, 32.06, 28.30, 25.01, 23.00, 20.15, 17.32, 13.18, 11.55, 9.33, 5.31, 2.59, 1.13,
    ]  # fmt: skip
    assert INTERNAL_DB.tolist() == [
        0.6, -1.7, -3.9, -6.1, -8.2, -9.7, -10.8, -11.9, -12.5, -13.5, -15.4, -17.7, -21.2, -24.2, -25.9, -23.6, -15.8, -7.1,
    ]  # fmt: skip


def test_between_two_bands_the_density_runs_straight():
    # Powers whose density is linear along the ERB scale keep it at any frequency: Glasberg & Moore's number of it.
    density = 1e-6 * (1.0 + ERB_NUMBERS)
    numbers = 21.4 * np.log10(4.37 * FREQ_HZ / 1000.0 + 1.0)
    found = spectrum_levels((density * WIDTHS_HZ)[None], 90.0)[0]
    assert found == pytest.approx(10.0 * np.log10(1e-6 * (1.0 + numbers)) + 90.0, abs=1e-5)


def test_silence_has_a_level_so_low_that_nothing_is_heard_of_it():
    assert spectrum_levels(np.zeros((1, len(ERB_NUMBERS))), 100.0)[0].tolist() == [-100.0] * 18


def test_a_voice_of_the_normal_spectrum_is_calibrated_to_its_level():
    # 62.35 dB is the standard's level of normal effort; a third octave is 10^0.05 - 10^-0.05 of its middle wide (it has 0.02 dB more).
    widths_hz = 1000.0 * 10.0 ** (np.arange(-8, 10) / 10.0) * (10.0**0.05 - 10.0**-0.05)
    flat = np.full((3, len(ERB_NUMBERS)), 1e-4) * WIDTHS_HZ
    flat[1] *= 2.0
    mean_density = 1e-4 * 4.0 / 3.0
    assert full_scale_db(flat) == pytest.approx(62.35 - 10.0 * np.log10(mean_density * widths_hz.sum()), abs=0.03)


def test_where_no_hearing_is_said_it_is_normal_and_where_no_importance_the_standards():
    # Thresholds of 0 dB HL, in quiet, where hearing alone decides.
    speech, quiet = NORMAL_DB[None] - 30.0, np.full((1, 18), -60.0)
    assert np.array_equal(band_audibility(speech, quiet), band_audibility(speech, quiet, 0.0))
    assert index(speech, quiet)[0] == pytest.approx(plainly(speech[0], quiet[0], 0.0)[1] @ IMPORTANCE)
    assert index(speech, quiet)[0] != pytest.approx(plainly(speech[0], quiet[0], 1.0)[1] @ IMPORTANCE, abs=1e-3)
