"""The bell that fits a curve best round a place, for several curves at once.

Conventions
-----------
Least squares that mind outliers little (soft L1: a misfit r counts as 2 s^2 (sqrt(1 + (r/s)^2) - 1), s = 2 dB), by damped
Gauss-Newton steps (Levenberg-Marquardt) with the bell's own derivatives. scipy.optimize.least_squares came to the same bells in
fifteen times the time, which was two thirds of all that finding rings took.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from stemwright.dsp.rings.shapes import POINTS_PER_OCTAVE, bell_db

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

LEAST_Q: Final = 3.0
MOST_Q: Final = 100.0
LEAST_EXCESS_DB: Final = 0.5
MOST_EXCESS_DB: Final = 40.0
_FURTHEST_OCTAVES: Final = 1.2 / 60
_STEPS: Final = 30
_SETTLED: Final = 1e-5
_SCALE_DB: Final = 2.0
_DB_OF_LOG: Final = 10 / np.log(10)
_LOWEST: Final = np.array([-_FURTHEST_OCTAVES, LEAST_EXCESS_DB, np.log2(LEAST_Q), -400.0, -40.0])
_HIGHEST: Final = np.array([_FURTHEST_OCTAVES, MOST_EXCESS_DB, np.log2(MOST_Q), 400.0, 40.0])


def fit_bells(place: int, curves: Floats, q: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Fit a bell on a sloping straight line to each curve.

    Parameters
    ----------
    place : int
        The point to fit round.
    curves : np.ndarray, shape (curves, points)
        Levels, dB.
    q : float
        A first guess of Q; it sets how far around the place the curves are looked at.

    Returns
    -------
    tuple of np.ndarray, each of shape (curves,)
        Offset from the place in octaves, gain in dB, log2 of Q, each inside the bounds of this module; and how far in octaves
        the offset may be off by what the bell leaves unexplained (standard error, points taken to be independent).
    """
    half = int(np.clip(round(POINTS_PER_OCTAVE * 1.44 / q * 1.8), 12, POINTS_PER_OCTAVE // 2))
    low, high = max(0, place - half), min(curves.shape[1], place + half + 1)
    octaves = (np.arange(low, high) - place) / POINTS_PER_OCTAVE
    level = curves[:, low:high]
    start = np.tile([0.0, 10.0, np.log2(q), 0.0, 0.0], (len(level), 1))
    start[:, 3] = np.median(level, axis=1) - 2
    at = np.clip(start, _LOWEST + 1e-6, _HIGHEST - 1e-6)
    damping = np.full(len(at), 1e-2)
    error, cost = _misfit(at, octaves, level)
    for _ in range(_STEPS):
        slopes = _slopes(at, octaves)
        weighed = slopes / np.sqrt(1 + (error / _SCALE_DB) ** 2)[:, np.newaxis]
        pull, bend = weighed @ error[..., np.newaxis], weighed @ slopes.transpose(0, 2, 1)
        bend += np.eye(at.shape[1]) * (damping[:, np.newaxis, np.newaxis] * bend + 1e-9)
        there = np.clip(at - np.linalg.solve(bend, pull)[..., 0], _LOWEST, _HIGHEST)
        there_error, there_cost = _misfit(there, octaves, level)
        better = there_cost < cost
        settled = np.abs(there - at).max() < _SETTLED
        damping = np.where(better, damping / 5, damping * 5)
        at = np.where(better[:, np.newaxis], there, at)
        error, cost = np.where(better[:, np.newaxis], there_error, error), np.where(better, there_cost, cost)
        if settled:
            break
    slopes = _slopes(at, octaves)
    spread = np.linalg.pinv(slopes @ slopes.transpose(0, 2, 1))[:, 0, 0]
    return at[:, 0], at[:, 1], at[:, 2], np.sqrt(np.maximum(spread, 0) * (error**2).mean(axis=1))


def _misfit(at: Floats, octaves: Floats, level: Floats) -> tuple[Floats, Floats]:
    shift, gain_db, log_q, base_db, slope_db = (column[:, np.newaxis] for column in at.T)
    error = base_db + slope_db * octaves * 10 + bell_db(octaves - shift, gain_db, np.exp2(log_q)) - level
    return error, (np.sqrt(1 + (error / _SCALE_DB) ** 2) - 1).sum(axis=1)


def _slopes(at: Floats, octaves: Floats) -> Floats:
    """Return the derivatives of the fitted curve, shape (curves, 5, points), to offset, gain, log2 of Q, base and slope."""
    shift, gain_db, log_q = (column[:, np.newaxis] for column in at.T[:3])
    square = np.exp2(2 * (octaves - shift))
    detune = (1 - square) ** 2
    lifted, fallen = (square * 10 ** (sign * gain_db / 20) * np.exp2(-2 * log_q) for sign in (1, -1))
    top, bottom = detune + lifted, detune + fallen
    turn = 4 * np.log(2) * square * (1 - square)
    out = np.empty((len(at), 5, len(octaves)))
    out[:, 0] = _DB_OF_LOG * ((turn - 2 * np.log(2) * lifted) / top - (turn - 2 * np.log(2) * fallen) / bottom)
    out[:, 1] = 0.5 * (lifted / top + fallen / bottom)
    out[:, 2] = -2 * np.log(2) * _DB_OF_LOG * (lifted / top - fallen / bottom)
    out[:, 3] = 1.0
    out[:, 4] = octaves * 10
    return out
