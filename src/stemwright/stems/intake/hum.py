"""Hum: the mains and its harmonics, looked for in the quietest windows of a stem, where nobody plays.

Conventions
-----------
The power spectra of the four quietest windows are averaged, or of the two or three that are much quieter than the rest. Mains hum
is one fundamental within 1 % of 50 or 60 Hz and lines at its exact multiples, which stand out of their surroundings and are
equally loud in every window: hum does not play.
"""

from __future__ import annotations

import numpy as np

from stemwright.stems.intake import thresholds as at
from stemwright.stems.intake.heard import Hum, db

PADDED = 4  # times the window: lines are read between the bins of an unpadded spectrum
HANN_TONE = 1.5  # a Hann window spreads a tone over 1.5 bins of noise width (Harris 1978, Table I)
LOBE = 2.0  # bins of the unpadded spectrum from a line's middle to its foot
AROUND = (3.0, 12.0)  # bins on each side that are a line's surroundings


def find_hum(windows: np.ndarray, rate_hz: float) -> Hum | None:
    """Find mains hum.

    Parameters
    ----------
    windows : np.ndarray, shape=(windows, frames)
        The quietest first, one channel.
    rate_hz : float
        Of the windows.

    Returns
    -------
    Hum or None
        The series with more harmonics; None where too few stand out, or they come and go.
    """
    if len(windows) < at.HUM_SHORTEST:
        return None
    quiet = windows[: at.HUM_QUIETEST].astype(np.float64)
    # Of few gaps, the windows between them would cover what the gaps have.
    powers = np.var(quiet, axis=1)
    quiet = quiet[powers <= at.HUM_AS_QUIET * powers[at.HUM_LEAST_WINDOWS - 1]]
    length = quiet.shape[1]
    hann = np.hanning(length + 1)[:-1]
    spectra = np.abs(np.fft.rfft((quiet - quiet.mean(axis=1, keepdims=True)) * hann, PADDED * length)) ** 2
    spectra *= 2.0 / (length * float(hann @ hann))
    series = [hum for mains_hz in at.MAINS_HZ if (hum := _series(spectra, rate_hz / length, mains_hz)) is not None]
    return max(series, key=lambda hum: (len(hum.harmonics), hum.level_dbfs), default=None)


def _series(spectra: np.ndarray, bin_hz: float, mains_hz: float) -> Hum | None:
    mean = spectra.mean(axis=0)
    bases_hz = mains_hz * (1.0 + np.linspace(-at.MAINS_REACH, at.MAINS_REACH, 41))
    numbers = np.arange(1, at.HUM_HARMONICS + 1)
    heights_db = _stand_out_db(mean, np.rint(PADDED * np.outer(bases_hz, numbers) / bin_hz).astype(int))
    found = heights_db >= at.HUM_STANDS_OUT_DB
    best = int(np.where(found, np.minimum(heights_db, 40.0), 0.0).sum(axis=1).argmax())
    base_hz = float(bases_hz[best])
    steady = tuple(number for number in numbers[found[best]].tolist() if _is_steady(spectra, bin_hz, number * base_hz))
    if len(steady) < at.HUM_FOUND or not {1, 2} & set(steady):
        return None
    level_dbfs = max(db(float(_line(mean, bin_hz, number * base_hz).max()) * HANN_TONE, 10.0) for number in steady)
    if level_dbfs < at.HUM_DBFS:
        return None
    return Hum(mains_hz=mains_hz, harmonics=steady, level_dbfs=level_dbfs)


def _line(power: np.ndarray, bin_hz: float, freq_hz: float, reach: float = 0.5) -> np.ndarray:
    """Return a spectrum's points within so many unpadded bins of a frequency; of many spectra along the last axis."""
    low, high = (round(PADDED * (freq_hz / bin_hz + side * reach)) for side in (-1, 1))
    return power[..., max(low, 0) : high + 1]


def _stand_out_db(mean: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Return how far lines are over the median beside them; nothing where one is not the highest point from foot to foot."""
    near, far = (round(PADDED * bins) for bins in AROUND)
    padded = np.pad(mean[: int(places.max()) + far + 1], far, mode="reflect")
    around = np.lib.stride_tricks.sliding_window_view(padded, 2 * far + 1)
    each, which = np.unique(places, return_inverse=True)  # they overlap: many are looked at once for all
    looked = around[each]
    line, lobe = (
        looked[:, far - round(PADDED * reach) : far + round(PADDED * reach) + 1].max(axis=1) for reach in (0.5, LOBE)
    )
    stand = np.flatnonzero((line == lobe) & (lobe > 0.0))
    sides = np.concatenate([looked[stand, : far - near + 1], looked[stand, far + near :]], axis=1)
    heights_db = np.zeros(len(each))
    ratios = line[stand] / np.maximum(np.median(sides, axis=1), 1e-30)
    heights_db[stand] = [db(ratio, 10.0) for ratio in ratios.tolist()]
    return heights_db[which].reshape(places.shape)


def _is_steady(spectra: np.ndarray, bin_hz: float, freq_hz: float) -> bool:
    levels_db = 10.0 * np.log10(np.maximum(_line(spectra, bin_hz, freq_hz).max(axis=1), 1e-20))
    return float(np.ptp(levels_db)) <= at.HUM_STEADY_DB
