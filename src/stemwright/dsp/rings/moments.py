"""The kept frames again in short windows: what every onset lifts, and what all the different sounds of a stem share.

A ring answers whatever excites it: it is there when any hit or note begins, and in each of the sounds a stem is made of,
however long one of them is held. A drum's own tone is there in that drum only, and counts here as one sound among others.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from stemwright.dsp.rings.grid import decibels, exceeded, local, onto_points

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Singles = NDArray[np.float32]

NAMES: Final = ("floor", "quarter", "rise_floor", "rise", "least_sound", "low_sound", "sounds_apart")
SOUNDS: Final = 8
_ROUNDS: Final = 5
_LOWEST_HZ: Final = 100.0
_QUIETEST: Final = 1e-5  # of the loudest short frame's power: 50 dB
_ROUNDING: Final = 1e-13  # of the strongest bin
_RISES: Final = 0.25  # the share of short frames that count as onsets
_LEAST_RISE: Final = 1e-4  # of the greatest, 40 dB
_RISE_ROUNDING: Final = 1e-7  # of the strongest bin of a rise


def moment_curves(power: Singles, freq_hz: Floats, bin_hz: float, points_per_octave: int) -> dict[str, Floats]:
    """Return what short windows show at every point.

    Parameters
    ----------
    power : np.ndarray, shape (frames, windows, bins)
        Power in neighbouring short windows of every kept frame.
    freq_hz : np.ndarray, shape (points,)
        Points, Hz.
    bin_hz : float
        Distance of two bins, Hz.
    points_per_octave : int
        Points an octave.

    Returns
    -------
    dict of str to np.ndarray, shape (points,)
        Local levels in dB. Exceeded in 95 and 75 % of the windows: ``floor``, ``quarter``; of the power that comes in at
        onsets, in 90 and 50 % of them: ``rise_floor``, ``rise``. In the means of up to eight groups of alike windows:
        the least, the third from below, and how far they are apart (standard deviation): ``least_sound``, ``low_sound``,
        ``sounds_apart``.
    """
    loudness = power @ (np.arange(power.shape[2]) >= int(_LOWEST_HZ / bin_hz)).astype(np.float32)
    if not loudness.max() > 0:
        return {name: np.zeros(len(freq_hz)) for name in NAMES}

    def local_of(rows: Singles) -> Singles:
        return local(onto_points(decibels(rows), freq_hz, bin_hz, points_per_octave), points_per_octave)

    is_active = loudness > loudness.max() * _QUIETEST
    active = power[is_active]
    levels = local_of(active + active.max() * np.float32(_ROUNDING))
    rises = _rises(power, loudness)
    rises_db = local_of(rises + rises.max(axis=1, keepdims=True) * np.float32(_RISE_ROUNDING)) if len(rises) else levels
    sounds = np.sort(_sounds(levels, int(np.argmax(loudness[is_active]))), axis=0)
    third = sounds[min(2, len(sounds) - 1)]
    curves = (*exceeded(levels, (0.05, 0.25)), *exceeded(rises_db, (0.1, 0.5)), sounds[0], third, sounds.std(axis=0))
    return dict(zip(NAMES, curves, strict=True))


def _rises(power: Singles, loudness: Singles) -> Singles:
    """Return the power that came in since the window before, of the quarter of windows where most came in for what was there."""
    change: Singles = np.maximum(power[:, 1:] - power[:, :-1], 0)
    rise = change.sum(axis=2).ravel()
    least = rise.max() * _LEAST_RISE
    was = loudness[:, :-1].ravel()
    score = np.divide(rise, was + least * _ROUNDING, out=np.zeros_like(rise), where=rise > least)
    chosen = np.argsort(-score, kind="stable")[: max(3, int(_RISES * len(score)))]
    chosen = chosen[score[chosen] > 0]
    rises: Singles = change.reshape(len(score), -1)[chosen]
    return rises


def _sounds(levels: Singles, first: int) -> Singles:
    """Return the means of groups of alike rows, shape (groups, points).

    That is k-means; each start is the row farthest from those before. As scipy.cluster.vq.kmeans2 from the same starts, which
    warns of empty groups (steady sounds have them).
    """
    starts = [first]
    far = ((levels - levels[first]) ** 2).sum(axis=1)
    while len(starts) < min(SOUNDS, len(levels)):
        starts.append(int(np.argmax(far)))
        far = np.minimum(far, ((levels - levels[starts[-1]]) ** 2).sum(axis=1))
    means = levels[starts]
    for _ in range(_ROUNDS):
        nearest = np.argmin((means**2).sum(axis=1) - 2 * levels @ means.T, axis=1)
        for number in range(len(means)):
            members = levels[nearest == number]
            if len(members):
                means[number] = members.mean(axis=0)
    return means
