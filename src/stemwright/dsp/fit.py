"""Fit minimum-phase digital sections to a log magnitude by damped least squares with an exact Jacobian.

Conventions
-----------
Frequency enters as ``phi = sin^2(w / 2)``, 0 at 0 Hz and 1 at half the rate. A factor ``1 + c1 z^-1 + c2 z^-2`` is held as
``s = 1 + c1 + c2`` and ``d = 1 - c2``, in which its power is ``(s - 4 phi)^2 + 4 phi d (d + s - 4 phi)`` without the
cancellation that c1 and c2 suffer near ``z = 1``. Both roots lie inside the unit circle when ``0 < d < 2`` and
``0 < s < 4 - 2 d`` (the stability triangle), so logistic functions of free parameters can reach every minimum-phase factor
and no other. Levels are in dB.

Sources: the power form is the one of M. Vicanek, "Matched second order digital filters" (2016), as open signal libraries
restate it, rearranged; the damping is that of H. B. Nielsen, "Damping parameter in Marquardt's method" (IMM-REP-1999-05),
and the reweighting that of C. L. Lawson (thesis, UCLA, 1961), both from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

_DB = 10.0 / math.log(10.0)
# Toward z = 1 the parameters must reach 10 Hz at 192 kHz and narrower; toward z = -1 and the real axis they need not go far,
# and a pole there would ring at half the rate.
_FREE_RANGE = (-34.0, 8.0)
_STEPS = 60  # a round
_BUDGET = 150  # steps of all rounds together: what has not come near by then hardly ever does
_FLAT = 1e-4  # a step that gains less than this share of the cost ends a round
_ROUNDS = 6
_HOPELESS = 5.0  # reweighting gains a factor of two or three, never more


@dataclass(frozen=True)
class Shape:
    """How many factors a fit has.

    Parameters
    ----------
    zeros_at_one : int
        First-order zeros fixed at ``z = 1`` (0 Hz).
    top_pairs, bottom_pairs : int
        Free second-order factors of the numerator and of the denominator.
    top_singles, bottom_singles : int
        Free first-order factors of the numerator and of the denominator.
    """

    zeros_at_one: int
    top_pairs: int
    bottom_pairs: int
    top_singles: int = 0
    bottom_singles: int = 0

    @property
    def pair_signs(self) -> np.ndarray:
        """``+1`` for every numerator pair, then ``-1`` for every denominator pair."""
        return np.repeat([1.0, -1.0], [self.top_pairs, self.bottom_pairs])

    @property
    def single_signs(self) -> np.ndarray:
        """``+1`` for every numerator single, then ``-1`` for every denominator single."""
        return np.repeat([1.0, -1.0], [self.top_singles, self.bottom_singles])


@dataclass(frozen=True)
class FitTarget:
    """What the sections should follow.

    Parameters
    ----------
    phi : np.ndarray, shape=(k,)
        ``sin^2(pi f / rate)`` of the grid, above 0.
    level_db : np.ndarray, shape=(k,)
        The wanted gain.
    weight : np.ndarray, shape=(k,)
        1 where the tolerance holds, less where only the manner counts.
    """

    phi: np.ndarray
    level_db: np.ndarray
    weight: np.ndarray


@dataclass(frozen=True)
class Factors:
    """A minimum-phase filter in factors.

    Parameters
    ----------
    gain_db : float
        Gain in front of the factors, each of which starts with 1.
    pairs : np.ndarray, shape=(p, 2)
        ``s`` and ``d`` of every second-order factor, in the order of `Shape.pair_signs`.
    singles : np.ndarray, shape=(q,)
        ``1 + c1`` of every first-order factor ``1 + c1 z^-1``, in the order of `Shape.single_signs`.
    """

    gain_db: float
    pairs: np.ndarray
    singles: np.ndarray


def pair_power(s: np.ndarray, d: np.ndarray, phi: np.ndarray) -> np.ndarray:
    """Return ``|1 + c1 z^-1 + c2 z^-2|^2`` from ``s`` and ``d`` (broadcast against phi)."""
    away = s - 4.0 * phi
    return np.asarray(away * away + 4.0 * phi * d * (d + away))


def fit(shape: Shape, start: Factors, target: FitTarget, goal_db: float) -> tuple[Factors, float]:
    """Fit the factors to the target.

    Parameters
    ----------
    shape : Shape
        Which factors there are.
    start : Factors
        Where to begin; its gain is not used.
    target : FitTarget
        The wanted levels.
    goal_db : float
        Largest weighted error at which to stop.

    Returns
    -------
    Factors
        The best fit found.
    float
        Its largest weighted error on the grid, dB.
    """
    model = _Model(shape, target)
    theta = model.free(start)
    weight = target.weight
    theta, error = model.descend(theta, weight, goal_db)
    best, best_error = theta, error
    worst = float(np.max(np.abs(error * target.weight)))
    best_worst = worst
    for _ in range(_ROUNDS):
        if best_worst <= goal_db or worst > _HOPELESS * goal_db:
            break
        # Lawson's reweighting leads from least squares toward least maximum error.
        share = np.abs(best_error * target.weight) / best_worst
        weight = weight * np.sqrt(0.05 + share)
        weight *= math.sqrt(float(np.mean(target.weight**2)) / float(np.mean(weight**2)))
        theta, error = model.descend(best, weight, goal_db)
        worst = float(np.max(np.abs(error * target.weight)))
        if worst >= best_worst:
            break
        best, best_error, best_worst = theta, error, worst
    return model.factors(best), best_worst


class _Model:
    """Levels and their derivatives as a function of free parameters: gain, pairs' u, pairs' v, singles' v."""

    def __init__(self, shape: Shape, target: FitTarget) -> None:
        self._phi = target.phi
        self._grid_weight = target.weight
        fixed = shape.zeros_at_one * _DB * np.log(4.0 * target.phi)
        self._wanted = target.level_db - fixed
        self._pair_signs = shape.pair_signs[:, None]
        self._single_signs = shape.single_signs[:, None]
        self._pairs = len(self._pair_signs)
        self._left = _BUDGET

    def free(self, factors: Factors) -> np.ndarray:
        s, d = factors.pairs[:, 0], factors.pairs[:, 1]
        theta = np.concatenate([[0.0], _logit(d / 2.0), _logit(s / (4.0 - 2.0 * d)), _logit(factors.singles / 2.0)])
        level, _ = self._levels(theta)
        squared = self._grid_weight**2
        theta[0] = -float(np.sum(squared * level) / np.sum(squared))
        return theta

    def factors(self, theta: np.ndarray) -> Factors:
        n = self._pairs
        d = 2.0 * _logistic(theta[1 : 1 + n])
        s = (4.0 - 2.0 * d) * _logistic(theta[1 + n : 1 + 2 * n])
        return Factors(float(theta[0]), np.stack([s, d], axis=1), 2.0 * _logistic(theta[1 + 2 * n :]))

    def _levels(self, theta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Error in dB and its Jacobian, shapes (k,) and (parameters, k)."""
        n, phi = self._pairs, self._phi
        u, v, w = theta[1 : 1 + n, None], theta[1 + n : 1 + 2 * n, None], theta[1 + 2 * n :, None]
        half, share = _logistic(u), _logistic(v)
        d = 2.0 * half
        s = (4.0 - 2.0 * d) * share
        away = s - 4.0 * phi
        power = away * away + 4.0 * phi * d * (d + away)
        by_s = (2.0 * away + 4.0 * phi * d) / power
        by_d = 4.0 * phi * (2.0 * d + away) / power
        d_u = d * (1.0 - half)
        t = 2.0 * _logistic(w)
        single_power = t * t + 4.0 * phi * (1.0 - t)
        level = theta[0] - self._wanted
        level = level + _DB * (self._pair_signs * np.log(power)).sum(axis=0)
        level = level + _DB * (self._single_signs * np.log(single_power)).sum(axis=0)
        jacobian = np.empty((len(theta), len(phi)))
        jacobian[0] = 1.0
        jacobian[1 : 1 + n] = _DB * self._pair_signs * d_u * (by_d - 2.0 * share * by_s)
        jacobian[1 + n : 1 + 2 * n] = _DB * self._pair_signs * s * (1.0 - share) * by_s
        t_w = t * (1.0 - t / 2.0)
        jacobian[1 + 2 * n :] = _DB * self._single_signs * t_w * (2.0 * t - 4.0 * phi) / single_power
        return level, jacobian

    def descend(self, theta: np.ndarray, weight: np.ndarray, goal_db: float) -> tuple[np.ndarray, np.ndarray]:
        """Levenberg and Marquardt's steps until the goal is met or a step gains next to nothing."""
        error, jacobian = self._levels(theta)
        cost = float(np.sum((weight * error) ** 2))
        damping, growth = 1e-3, 2.0
        for _ in range(min(_STEPS, self._left)):
            self._left -= 1
            if float(np.max(np.abs(error * self._grid_weight))) <= goal_db:
                break
            weighted = jacobian * weight
            normal = weighted @ weighted.T
            slope = weighted @ (weight * error)
            scale = np.diag(normal) + 1e-9 * float(np.trace(normal))
            step = np.linalg.solve(normal + np.diag(damping * scale), -slope)
            trial = np.clip(theta + step, *_FREE_RANGE)
            trial[0] = theta[0] + step[0]
            trial_error, trial_jacobian = self._levels(trial)
            trial_cost = float(np.sum((weight * trial_error) ** 2))
            if trial_cost < cost:
                expected = float(step @ (damping * scale * step - slope))
                ratio = (cost - trial_cost) / expected if expected > 0.0 else 1.0
                damping *= max(1.0 / 3.0, 1.0 - (2.0 * ratio - 1.0) ** 3)
                growth = 2.0
                gained = cost - trial_cost
                theta, error, jacobian, cost = trial, trial_error, trial_jacobian, trial_cost
                if gained < _FLAT * cost:
                    break
            else:
                damping *= growth
                growth *= 2.0
                if damping > 1e8:
                    break
        return theta, error


def _logistic(x: np.ndarray) -> np.ndarray:
    return np.asarray(1.0 / (1.0 + np.exp(-x)))


def _logit(share: np.ndarray) -> np.ndarray:
    share = np.clip(share, 1e-14, 1.0 - 1e-9)
    return np.asarray(np.log(share) - np.log1p(-share))
