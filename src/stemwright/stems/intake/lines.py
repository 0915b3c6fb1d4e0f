"""Lines in spectra: mains hum and its series, and the sharp upper edge an encoder or a converter leaves."""

from __future__ import annotations

import numpy as np

from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import Hum, db

NEAR_BINS, FAR_BINS = 6, 24  # surroundings of a line: outside a Hann window's foot, inside the next harmonic
HANN_TONE = 1.5  # a Hann window spreads a tone over 1.5 bins of noise width (Harris 1978, Table I)


def find_hum(spectra: np.ndarray, bin_hz: float) -> Hum | None:
    """Find mains hum.

    Parameters
    ----------
    spectra : np.ndarray, shape=(windows, bins)
        Power spectra.
    bin_hz : float
        Width of a bin.

    Returns
    -------
    Hum or None
        The series with more harmonics; None where fewer than three stand out and stay.
    """
    if len(spectra) < at.HUM_LEAST_WINDOWS:
        return None
    series = [hum for mains_hz in at.MAINS_HZ if (hum := _series(spectra, bin_hz, mains_hz)) is not None]
    return max(series, key=lambda hum: (len(hum.harmonics), hum.level_dbfs), default=None)


def _series(spectra: np.ndarray, bin_hz: float, mains_hz: float) -> Hum | None:
    found: list[int] = []
    level_dbfs = -200.0
    for number in range(1, at.HUM_HARMONICS + 1):
        centre = round(number * mains_hz / bin_hz)
        reach = 1 + round(number * at.MAINS_DRIFT_HZ / bin_hz)
        if centre + FAR_BINS >= spectra.shape[1]:
            break
        line = spectra[:, centre - reach : centre + reach + 1]
        low = max(centre - FAR_BINS, 1)
        around = np.concatenate(
            [spectra[:, low : centre - NEAR_BINS + 1], spectra[:, centre + NEAR_BINS : centre + FAR_BINS + 1]], axis=1
        )
        height = line.max(axis=1)
        stands_out = height > 10.0 ** (at.HUM_STANDS_OUT_DB / 10.0) * np.median(around, axis=1)
        heights_db = 10.0 * np.log10(np.maximum(height[stands_out], 1e-20)) if stands_out.any() else np.zeros(1)
        if np.mean(stands_out) >= at.HUM_SHARE and float(np.std(heights_db)) <= at.HUM_STEADY_DB:
            found.append(number)
            level_dbfs = max(level_dbfs, db(float(np.median(height)) * HANN_TONE, 10.0))
    if len(found) < at.HUM_FOUND or not {1, 2} & set(found) or level_dbfs < at.HUM_DBFS:
        return None
    return Hum(mains_hz=mains_hz, harmonics=tuple(found), level_dbfs=level_dbfs)


def find_edge(mean: np.ndarray, bin_hz: float) -> float | None:
    """Find a sharp edge with nothing above it.

    Parameters
    ----------
    mean : np.ndarray, shape=(bins,)
        Mean power spectrum.
    bin_hz : float
        Width of a bin.

    Returns
    -------
    float or None
        The edge in Hz; None where the top fades as sounds do, or reaches as far as converters let it.
    """
    width = max(round(at.EDGE_BAND_HZ / bin_hz), 1)
    bands = mean[: len(mean) // width * width].reshape(-1, width).sum(axis=1)
    level = 10.0 * np.log10(np.maximum(bands, 1e-20))
    step_hz = width * bin_hz
    bands_at = np.arange(max(int(at.EDGE_FROM_HZ / step_hz), 8), min(int(at.EDGE_OF_NYQUIST * len(level)), len(level) - 9))
    if not len(bands_at):
        return None
    below = np.median(np.lib.stride_tricks.sliding_window_view(level, 7), axis=1)[bands_at - 8]
    above = np.median(np.lib.stride_tricks.sliding_window_view(level, 6), axis=1)[bands_at + 3]
    # The edge is the end of the sound: nothing above it comes near again.
    highest_above = np.maximum.accumulate(level[::-1])[::-1][bands_at + 3]
    drop = np.where((below >= at.EDGE_LEAST_DBFS) & (highest_above <= below - at.EDGE_DROP_DB), below - above, 0.0)
    best = int(drop.argmax())
    if drop[best] < at.EDGE_DROP_DB:
        return None
    # The edge itself is where the level passes half-way down.
    middle = (below[best] + above[best]) / 2.0
    near = np.arange(bands_at[best] - 8, bands_at[best] + 4)
    return float(near[int(np.argmax(level[near] < middle))] * step_hz)
