"""Digital second-order sections whose magnitude follows the analog prototype up to 20 kHz, whatever the rate.

Conventions
-----------
Sections are ``(n, 6)`` rows ``b0 b1 b2 a0 a1 a2`` with ``a0 = 1``, stable and minimum phase. The *band* is where the
tolerance holds: 0 Hz to 20 kHz; below 44.1 kHz, to the same share of half the rate (0.907) as 20 kHz is there.

The plain bilinear formulas squeeze everything above a few kHz and cannot place a corner above half the rate at all. So the
factors are fitted (`stemwright.dsp.fit`) from where the prototype's poles and zeros are (`stemwright.dsp.starts`), and a
design gets as few sections as meet the tolerance: mostly one for a shelf or a bell, two where it reaches the top octave.
"""

from __future__ import annotations

import functools
import math
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.fit import FitTarget, fit
from stemwright.dsp.prototypes import checked, level_db, rows_of
from stemwright.dsp.rows import assemble, close_dc, rows_db, spread
from stemwright.dsp.starts import starts
from stemwright.errors import DesignError

if TYPE_CHECKING:
    from collections.abc import Mapping

#: Largest error in the band that a design may have, dB.
TOLERANCE_DB = 0.005
#: Below this level only the depth counts, not the course.
FLOOR_DB = -100.0
_LEAST_RATE_HZ = 1000
_TOP_HZ = 20e3
_TOP_SHARE = 20.0 / 22.05
_GOAL_DB = 0.002  # the fit stops here, well inside the tolerance because its grid is coarser than the check's
_ACCEPT_DB = 0.004
_TAME_DB = 0.5  # error above the band that a design may have at no cost
_ABOVE_BAND = 0.01  # weight: an error of 0.2 dB above the band counts like 0.002 dB inside
_PLAIN_DB = 150.0  # slope, dB for a factor of e in frequency, at which that weight is halved
_STEEPEST = 9.0
_BELOW_FLOOR = 0.01
_REFERENCE_PHI = {"low_pass": 0.0, "high_pass": 1.0}  # 0 Hz, half the rate


def design(kind: str, settings: Mapping[str, float], rate_hz: int) -> np.ndarray:
    """Design a filter.

    Parameters
    ----------
    kind : str
        high_pass, low_pass, low_shelf, high_shelf, bell, notch or gain.
    settings : mapping of str to float
        As for `stemwright.dsp.prototypes.analog_sections`; corners above half the rate are allowed.
    rate_hz : int
        Samples a second, 1000 or more.

    Returns
    -------
    np.ndarray, shape=(n, 6)
        float64 rows ``b0 b1 b2 a0 a1 a2``, read-only; no rows where nothing is to be done (0 dB). In the band the magnitude
        is within `TOLERANCE_DB` of the prototype wherever that is above `FLOOR_DB`, and at most that
        floor elsewhere. A cut is the inverse of the boost: poles and zeros change places, the gain its sign; what rounding
        leaves of the two in a row is under 1e-9 dB, 2e-8 dB at 10 Hz and 192 kHz. The same numbers give the same bits within
        one process; a fit is made once and remembered.

    Raises
    ------
    DesignError
        If a setting or the rate is out of range, or no fit meets the tolerance: so it is with notches of more than 24 dB
        within 1 % under or over half the rate.
    """
    values = checked(kind, settings)
    if not _LEAST_RATE_HZ <= rate_hz < math.inf:
        raise DesignError(f"a rate of {rate_hz:g} Hz is not for audio; it must be {_LEAST_RATE_HZ} or more, and finite")
    gain_db = values.get("gain_db")
    if gain_db == 0.0:
        sections = np.zeros((0, 6))
    elif kind == "gain":
        sections = np.array([[10.0 ** (values["gain_db"] / 20.0), 0.0, 0.0, 1.0, 0.0, 0.0]])
    elif gain_db is None:
        rows, gain = _fitted(kind, tuple(values.items()), rate_hz)
        sections = spread(rows, gain, _REFERENCE_PHI[kind])
        sections = close_dc(sections) if kind == "high_pass" else sections
    else:
        boost = {**values, "gain_db": abs(gain_db)}
        try:
            rows, gain = _fitted("bell" if kind == "notch" else kind, tuple(boost.items()), rate_hz)
        except DesignError:
            raise _unfollowed(kind, values, rate_hz) from None
        if gain_db < 0.0:
            rows, gain = rows[:, [3, 4, 5, 0, 1, 2]], 1.0 / gain
        sections = spread(rows, gain, None)
    sections.flags.writeable = False
    return sections


def inverse(sections: np.ndarray) -> np.ndarray:
    """Return the sections that undo others: of a cut the boost it was made from, whatever its Q.

    Parameters
    ----------
    sections : np.ndarray, shape=(n, 6)
        As `design` returns them: minimum phase, so that what undoes them is stable.

    Returns
    -------
    np.ndarray, shape=(n, 6)
        float64 rows with ``a0 = 1``.
    """
    return np.asarray(sections[:, [3, 4, 5, 0, 1, 2]] / sections[:, :1])


@functools.lru_cache(maxsize=4096)
def _fitted(kind: str, settings: tuple[tuple[str, float], ...], rate_hz: int) -> tuple[np.ndarray, float]:
    """Rows whose numerators start with 1, and the gain in front of them."""
    values = dict(settings)
    prototype = rows_of(kind, values)
    omega = 2.0 * math.pi * values["freq_hz"] / rate_hz
    coarse, fine = (_target(prototype, omega, rate_hz, density) for density in (1, 4))
    best: tuple[float, np.ndarray, float] | None = None
    for shape, start, patience in starts(kind, prototype, omega):
        factors, _ = fit(shape, start, coarse, _GOAL_DB)
        rows, gain = assemble(shape, factors), 10.0 ** (factors.gain_db / 20.0)
        inside, above = _errors_db(spread(rows, gain, _REFERENCE_PHI.get(kind)), fine)
        # How far from good enough; being out of tolerance in the band is worse than anything above it.
        loss = max(inside / _ACCEPT_DB, above / (_TAME_DB * patience), 1e6 * (inside > _ACCEPT_DB) * inside)
        if best is None or loss < best[0]:
            best = loss, rows, gain
        if loss <= 1.0:
            break
    if best is None or best[0] > 1e6 * TOLERANCE_DB:
        raise _unfollowed(kind, values, rate_hz)
    return best[1], best[2]


def _unfollowed(kind: str, values: Mapping[str, float], rate_hz: int) -> DesignError:
    told = ", ".join(f"{key} {value:g}" for key, value in values.items())
    return DesignError(
        f"a {kind.replace('_', '-')} of {told} cannot be followed within {TOLERANCE_DB} dB at {rate_hz} Hz; "
        "move it away from half the rate, or ask for less"
    )


def _errors_db(sections: np.ndarray, target: FitTarget) -> tuple[float, float]:
    """Largest error in the band, and above it where the prototype is plain."""
    error = np.abs(rows_db(sections, target.phi) - target.level_db) * target.weight
    inside = target.weight == 1.0
    return float(np.max(error[inside], initial=0.0)), float(np.max(error[~inside], initial=0.0)) / _ABOVE_BAND


def _target(prototype: np.ndarray, omega: float, rate_hz: int, density: int) -> FitTarget:
    """Lay a grid that is dense where the prototype bends, and say what counts how much."""
    quadratics = [(t2, t1, t0) for t2, t1, t0 in prototype.reshape(-1, 3).tolist() if t2 and t0]
    widths = [t1 / math.sqrt(t0 * t2) for t2, t1, t0 in quadratics]
    corners = [min(math.sqrt(t0 / t2), t0 / t1) for t2, t1, t0 in quadratics]
    low = min(2.0 * math.pi * 20.0 / rate_hz, omega * min([*corners, 1.0]) / 5.0)
    # Up to two octaves around freq_hz in steps that follow the narrowest resonance.
    offset = np.geomspace(0.2 * min([*widths, 1.0]), 2.0, 16 * density)
    offset = np.concatenate([-offset, [0.0], offset])
    around = omega * (np.sqrt(1.0 + offset**2 / 4.0) + offset / 2.0)
    top = 2.0 * math.pi * min(_TOP_HZ / rate_hz, _TOP_SHARE / 2.0)
    whole = np.geomspace(low, 0.9 * math.pi, 70 * density)
    upper = np.linspace(0.5, 1.0, 30 * density) * math.pi
    grid = np.unique(np.concatenate([whole, upper, around[around < math.pi], [top]]))
    level = level_db(prototype, grid / omega)
    # Above the band a shift of a steep flank is no worse than an error of level on a plain.
    steep = np.minimum(np.abs(np.gradient(level, np.log(grid))) / _PLAIN_DB, _STEEPEST)
    weight = np.where(grid <= top, 1.0, _ABOVE_BAND / (1.0 + steep))
    # The coarse grid goes on a little deeper, so that the last of the fine one's points above the floor is not left hanging.
    weight *= np.where(level > FLOOR_DB - 8.0 / density, 1.0, _BELOW_FLOOR)
    return FitTarget(np.sin(grid / 2.0) ** 2, level, weight)
