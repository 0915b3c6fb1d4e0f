"""Long-term spectra: band levels of a stem's loudest moments, at points evenly spaced over the octaves.

Conventions
-----------
Full scale is 1.0. A level is of a band with the shape of a bell curve, a sixth of an octave wide at half its height, in
dB re a full-scale sine: a full-scale sine reads 0 dB at its frequency, pink noise is a level line. A band with upright
edges would draw every partial as a table.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from stemwright.dsp.loudness import k_weights

LOWEST_HZ = 20.0
HIGHEST_HZ = 20_000.0
POINTS_AN_OCTAVE = 24
BAND_OCTAVES = 1.0 / 6.0
LEAST_BAND_BINS = 4.0
REACH = 9.0  # half widths: 2**-81 of the power
FLOOR_DB = -140.0

_COUNT = math.floor(math.log2(HIGHEST_HZ / LOWEST_HZ) * POINTS_AN_OCTAVE) + 1
POINTS_HZ: np.ndarray = LOWEST_HZ * 2.0 ** (np.arange(_COUNT) / POINTS_AN_OCTAVE)


def band_powers(power: np.ndarray, rate_hz: int) -> np.ndarray:
    """Return the power of every moment in the band around every point.

    Parameters
    ----------
    power : np.ndarray, shape=(n, frames // 2 + 1)
        From `bin_powers`; of an even number of frames.
    rate_hz : int
        Sample rate.

    Returns
    -------
    np.ndarray, shape=(n, len(POINTS_HZ))
        Mean over the channels, 1.0 for a full-scale sine; 0 where the band is above half the rate.
    """
    frames = 2 * (power.shape[1] - 1)
    bands = np.zeros((len(power), len(POINTS_HZ)))
    for points, bins, shape in _bands(frames, rate_hz):
        bands[:, points] = power[:, bins] @ shape
    return bands


def bin_powers(moments: np.ndarray) -> np.ndarray:
    """Return the power of every moment in every bin, mean over the channels.

    Parameters
    ----------
    moments : np.ndarray, shape=(n, channels, frames)
        Equally long stretches of one stem; float32 will do.

    Returns
    -------
    np.ndarray, shape=(n, frames // 2 + 1)
    """
    frames = moments.shape[2]
    window = _window(frames)
    # numpy's transform, not scipy's: loading that takes as long as the spectra of a whole song.
    spectrum = np.fft.rfft(moments * window, axis=-1)
    power = (spectrum.real**2 + spectrum.imag**2).mean(axis=1, dtype=np.float64)
    # One-sided mean square is 2 / (N sum w^2) of |X|^2, and a full-scale sine has a mean square of one half.
    power *= 4.0 / (frames * float(np.sum(window.astype(np.float64) ** 2)))
    return np.asarray(power)


@cache
def _bands(frames: int, rate_hz: int) -> list[tuple[slice, slice, np.ndarray]]:
    """Return what each bin counts in each band, an octave of points at a time: the points, the bins that reach them, and shares.

    A band is 240 dB down where its octave's bins end, so that the other bins, most of them, need not be multiplied.
    """
    bin_hz = rate_hz / frames
    last = frames // 2
    parts = []
    for first in range(0, len(POINTS_HZ), POINTS_AN_OCTAVE):
        points = slice(first, min(first + POINTS_AN_OCTAVE, len(POINTS_HZ)))
        centres = POINTS_HZ[points]
        # No band is narrower than what the window makes of a sine, which only counts below 70 Hz.
        half = 0.5 * np.maximum(BAND_OCTAVES, LEAST_BAND_BINS * bin_hz / centres)
        reach = np.exp2(REACH * half)
        low, high = (centres / reach).min() / bin_hz, (centres * reach).max() / bin_hz
        bins = slice(max(math.floor(low), 0), min(math.ceil(high), last) + 1)
        freq_hz = np.maximum(np.arange(bins.start, max(bins.stop, bins.start)), 0.5)[:, np.newaxis] * bin_hz
        shape = np.exp2(-((np.log2(freq_hz / centres) / half) ** 2))
        parts.append((points, bins, np.where(rate_hz / 2.0 > centres, shape, 0.0)))
    return parts


@cache
def _window(frames: int) -> np.ndarray:
    return np.hanning(frames + 1)[:-1].astype(np.float32)


def levels_db(powers: np.ndarray) -> np.ndarray:
    """Return powers as levels, no lower than a floor that nothing audible reaches."""
    return np.asarray(10.0 * np.log10(np.maximum(powers, 10.0 ** (FLOOR_DB / 10.0))))


def change_scores(before: np.ndarray, after: np.ndarray) -> np.ndarray:
    """Return how much there is to hear of a change in every moment: K-weighted power that is gained or lost.

    Parameters
    ----------
    before, after : np.ndarray, shape=(n, len(POINTS_HZ))
        Band powers of the same moments.
    """
    # ITU-R BS.1770-5 weights by frequency as the ear does, roughly, so that rumble taken away does not decide.
    return np.asarray(np.abs(after - before) @ k_weights(POINTS_HZ))
