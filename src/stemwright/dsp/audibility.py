"""Audibility: how much of a voice is heard over the rest, by the Speech Intelligibility Index in short frames.

Conventions
-----------
Third-octave method of ANSI S3.5-1997: tables and steps as the standard's working group published them in its program. Levels
are spectrum levels, dB re 20 uPa in 1 Hz. Short frames after Rhebergen & Versfeld (JASA 117:2181, 2005): the index of each frame,
then their mean. The standard speaks of speech in noise, in one ear, of listeners of normal hearing; music is no noise and
singing is no speech, so the index ranks places of one song and says nothing of a song as such.
"""

from __future__ import annotations

import numpy as np

from stemwright.dsp.bands import CENTRES_HZ, ERB_NUMBERS, WIDTHS_HZ

FREQ_HZ = np.array(
    [160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000], dtype=np.float64
)
IMPORTANCE = np.array(
    [.0083, .0095, .0150, .0289, .0440, .0578, .0653, .0711, .0818, .0844, .0882, .0898, .0868, .0844, .0771, .0527, .0364, .0185]
)  # fmt: skip
NORMAL_DB = np.array(
    [
        32.41,
        34.48,
        34.75,
        33.98,
        34.59,
        34.27,
        32.06,
        28.30,
        25.01,
        23.00,
        20.15,
        17.32,
        13.18,
        11.55,
        9.33,
        5.31,
        2.59,
        1.13,
    ]
)
INTERNAL_DB = np.array(
    [0.6, -1.7, -3.9, -6.1, -8.2, -9.7, -10.8, -11.9, -12.5, -13.5, -15.4, -17.7, -21.2, -24.2, -25.9, -23.6, -15.8, -7.1]
)
NORMAL_LEVEL_DB = 62.35  # the normal spectrum as a whole
_BANDWIDTHS_HZ = 10.0 ** (np.arange(15.65, 33.0, 1.0) / 10.0)
_SILENT = 1e-20
_NEPER = np.log(10.0) / 10.0  # of a power's dB: numpy's exp takes a tenth of the time of its power of ten


def disturbance_db(speech_db: np.ndarray, noise_db: np.ndarray) -> np.ndarray:
    """Return what a voice must be heard over: noise, its spread upward, and the voice's own; shape (frames, 18), before hearing."""
    own = speech_db - 24.0
    masker = np.maximum(noise_db, own)
    slope = -80.0 + 0.6 * (masker + 10.0 * np.log10(FREQ_HZ) - 6.353)
    power = np.exp(noise_db * _NEPER)
    result = masker.copy()
    for band in range(1, len(FREQ_HZ)):
        reach = 3.32 * np.log10(0.89 * FREQ_HZ[band] / FREQ_HZ[:band])
        spread = masker[:, :band] + slope[:, :band] * reach
        result[:, band] = 10.0 * np.log10(power[:, band] + np.exp(spread * _NEPER).sum(axis=1))
    return np.asarray(result)


def band_audibility(speech_db: np.ndarray, noise_db: np.ndarray, threshold_db: np.ndarray | float = 0.0) -> np.ndarray:
    """Return how much of each band is heard, 0 to 1, level distortion included.

    Parameters
    ----------
    speech_db, noise_db : np.ndarray, shape=(frames, 18)
        Spectrum levels.
    threshold_db : np.ndarray, shape=(18,), or float
        Hearing thresholds, dB HL.
    """
    heard_over = np.maximum(disturbance_db(speech_db, noise_db), INTERNAL_DB + threshold_db)
    distorted = np.clip(1.0 - (speech_db - NORMAL_DB - 10.0) / 160.0, 0.0, 1.0)
    return np.asarray(distorted * np.clip((speech_db - heard_over + 15.0) / 30.0, 0.0, 1.0))


def index(
    speech_db: np.ndarray,
    noise_db: np.ndarray,
    threshold_db: np.ndarray | float = 0.0,
    importance: np.ndarray = IMPORTANCE,
) -> np.ndarray:
    """Return the Speech Intelligibility Index of each frame, shape (frames,); see `band_audibility`."""
    return np.asarray(band_audibility(speech_db, noise_db, threshold_db) @ importance)


def spectrum_levels(power: np.ndarray, full_scale_db: float) -> np.ndarray:
    """Return ERB bands' powers, shape (frames, bands), as spectrum levels of the index's bands, shape (frames, 18).

    Parameters
    ----------
    power : np.ndarray
        As `stemwright.dsp.bands.powers` gives them.
    full_scale_db : float
        Sound pressure level of a mean square of 1.
    """
    return np.asarray(10.0 * np.log10(np.maximum(power @ _DENSITY, _SILENT)) + full_scale_db)


def full_scale_db(power: np.ndarray) -> float:
    """Return the calibration at which a voice with these powers, shape (frames, bands), speaks at normal effort."""
    mean = 10.0 ** (spectrum_levels(power.mean(axis=0, keepdims=True), 0.0) / 10.0)
    return float(NORMAL_LEVEL_DB - 10.0 * np.log10(float((mean @ _BANDWIDTHS_HZ)[0])))


def _density() -> np.ndarray:
    """Return the matrix from powers of ERB bands to power in 1 Hz at the index's frequencies: straight lines between bands."""
    numbers = 21.4 * np.log10(0.00437 * FREQ_HZ + 1.0)
    found = np.zeros((len(CENTRES_HZ), len(FREQ_HZ)))
    for band, number in enumerate(numbers):
        below = int(np.searchsorted(ERB_NUMBERS, number)) - 1
        share = number - ERB_NUMBERS[below]
        found[below, band] += (1.0 - share) / WIDTHS_HZ[below]
        found[below + 1, band] += share / WIDTHS_HZ[below + 1]
    return found


_DENSITY = _density()
