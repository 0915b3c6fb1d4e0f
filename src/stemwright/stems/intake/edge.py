"""Edge: the sharp upper end that an encoder or a converter leaves in a spectrum."""

from __future__ import annotations

import numpy as np

from stemwright.stems.intake import thresholds as at


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
