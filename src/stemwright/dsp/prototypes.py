"""Analog prototypes: what each filter move means, before any sample rate comes into it.

Conventions
-----------
A prototype is rows ``b2 b1 b0 a2 a1 a0`` of ``(b2 s^2 + b1 s + b0) / (a2 s^2 + a1 s + a0)`` with ``s = j f / freq_hz``;
the rows multiply. Frequencies are in Hz, gains in dB, Q as the Audio EQ Cookbook has it, slopes in dB per octave.

Sources: R. Bristow-Johnson, "Audio EQ Cookbook" (W3C Group Note, 8 June 2021), analog prototypes of peakingEQ, lowShelf
and highShelf; S. Butterworth, "On the theory of filter amplifiers" (Wireless Engineer, 1930) for the passes, whose
second-order parts have ``Q_k = 1 / (2 cos(theta_k))``, their poles at the angles theta_k from the negative real axis.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from stemwright.errors import DesignError

if TYPE_CHECKING:
    from collections.abc import Mapping

SLOPES_DB_OCT = (6.0, 12.0, 18.0, 24.0, 36.0, 48.0)
_DB_OCT_PER_ORDER = 6.0
_PASS = {"freq_hz": (10.0, 40e3), "slope_db_oct": (6.0, 48.0)}
_SHELF = {"freq_hz": (10.0, 80e3), "gain_db": (-24.0, 24.0), "q": (0.3, 2.0)}
#: The settings each kind needs, each with the smallest and largest value allowed.
RANGES: dict[str, dict[str, tuple[float, float]]] = {
    "high_pass": _PASS,
    "low_pass": _PASS,
    "low_shelf": _SHELF,
    "high_shelf": _SHELF,
    "bell": {"freq_hz": (10.0, 80e3), "gain_db": (-24.0, 24.0), "q": (0.1, 60.0)},
    "notch": {"freq_hz": (10.0, 80e3), "gain_db": (-48.0, 0.0), "q": (0.5, 100.0)},
    "gain": {"gain_db": (-48.0, 24.0)},
}


def checked(kind: str, settings: Mapping[str, float]) -> dict[str, float]:
    """Return the settings that define a filter, as floats, or say what is wrong with them.

    Parameters
    ----------
    kind : str
        A key of `RANGES`.
    settings : mapping of str to float
        Every setting `RANGES` lists for the kind; others are not looked at.

    Returns
    -------
    dict of str to float
        The defining settings, in the order of `RANGES`.

    Raises
    ------
    DesignError
        If the kind is unknown or a setting is missing, not a number, or out of its range.
    """
    if kind not in RANGES:
        raise DesignError(f"{kind!r} is not a filter; one of {', '.join(RANGES)} is")
    values: dict[str, float] = {}
    for name, (low, high) in RANGES[kind].items():
        if name not in settings:
            raise DesignError(f"{kind} needs {name}, a number from {low:g} to {high:g}")
        value = float(settings[name])
        if not low <= value <= high:
            raise DesignError(f"{kind}.{name} is {value:g}; it must be from {low:g} to {high:g}")
        values[name] = value
    if "slope_db_oct" in values and values["slope_db_oct"] not in SLOPES_DB_OCT:
        allowed = ", ".join(f"{slope:g}" for slope in SLOPES_DB_OCT)
        raise DesignError(f"{kind}.slope_db_oct is {values['slope_db_oct']:g}; it must be one of {allowed}")
    return values


def pass_order(slope_db_oct: float) -> int:
    """Return the Butterworth order of a slope: one for every 6 dB per octave."""
    return round(slope_db_oct / _DB_OCT_PER_ORDER)


def butterworth_qs(order: int) -> list[float]:
    """Return the Qs of a Butterworth filter's second-order parts, smallest first.

    Parameters
    ----------
    order : int
        1 or more; an odd order has a first-order part besides, which has no Q.

    Returns
    -------
    list of float
        ``order // 2`` values.
    """
    # Poles lie evenly on the left half of a circle; an odd order has one on the real axis, so the pairs start a step later.
    first = 2 if order % 2 else 1
    return [1.0 / (2.0 * math.cos(math.pi * (2 * k + first) / (2 * order))) for k in range(order // 2)]


def analog_sections(kind: str, settings: Mapping[str, float]) -> np.ndarray:
    """Return the prototype of a filter.

    Parameters
    ----------
    kind : str
        high_pass, low_pass, low_shelf, high_shelf, bell, notch or gain.
    settings : mapping of str to float
        freq_hz with slope_db_oct, or freq_hz with gain_db and q, or gain_db alone.

    Returns
    -------
    np.ndarray, shape=(n, 6)
        Rows ``b2 b1 b0 a2 a1 a0`` in ``s = j f / freq_hz``.

    Raises
    ------
    DesignError
        If the kind or a setting is not one `checked` lets through.
    """
    return rows_of(kind, checked(kind, settings))


def rows_of(kind: str, values: Mapping[str, float]) -> np.ndarray:
    """Return the prototype of a filter from settings that need no checking; else as `analog_sections`."""
    if "slope_db_oct" in values:
        return _butterworth(kind, pass_order(values["slope_db_oct"]))
    if kind == "gain":
        return np.array([[0.0, 0.0, 10.0 ** (values["gain_db"] / 20.0), 0.0, 0.0, 1.0]])
    amplitude = 10.0 ** (values["gain_db"] / 40.0)
    if kind in ("bell", "notch"):
        q = values["q"]
        return np.array([[1.0, amplitude / q, 1.0, 1.0, 1.0 / (amplitude * q), 1.0]])
    middle = math.sqrt(amplitude) / values["q"]
    toward, away = (amplitude, middle, 1.0), (1.0, middle, amplitude)
    top, bottom = (away, toward) if kind == "low_shelf" else (toward, away)
    return np.array([[*(amplitude * c for c in top), *bottom]])


def _butterworth(kind: str, order: int) -> np.ndarray:
    highpass = kind == "high_pass"
    rows = []
    if order % 2:
        rows.append([0.0, float(highpass), float(not highpass), 0.0, 1.0, 1.0])
    rows += [[float(highpass), 0.0, float(not highpass), 1.0, 1.0 / q, 1.0] for q in butterworth_qs(order)]
    return np.array(rows)


def magnitude_db(kind: str, settings: Mapping[str, float], freq_hz: np.ndarray) -> np.ndarray:
    """Return the prototype's gain at given frequencies.

    Parameters
    ----------
    kind : str
        As for `analog_sections`.
    settings : mapping of str to float
        As for `analog_sections`.
    freq_hz : np.ndarray
        Frequencies in Hz, 0 or more, any shape.

    Returns
    -------
    np.ndarray
        dB, the shape of `freq_hz`; minus infinity where nothing passes (a high-pass at 0 Hz).

    Raises
    ------
    DesignError
        As for `analog_sections`.
    """
    values = checked(kind, settings)
    return level_db(rows_of(kind, values), np.asarray(freq_hz, dtype=np.float64) / values.get("freq_hz", 1.0))


def level_db(rows: np.ndarray, x: np.ndarray) -> np.ndarray:
    """Return the gain of prototype rows.

    Parameters
    ----------
    rows : np.ndarray, shape=(n, 6)
        As from `analog_sections`.
    x : np.ndarray
        Frequency over freq_hz, 0 or more, any shape.

    Returns
    -------
    np.ndarray
        dB, the shape of `x`.
    """
    total = np.zeros_like(x)
    with np.errstate(divide="ignore"):
        for b2, b1, b0, a2, a1, a0 in rows:
            top = (b0 - b2 * x * x) ** 2 + (b1 * x) ** 2
            bottom = (a0 - a2 * x * x) ** 2 + (a1 * x) ** 2
            total += 10.0 * (np.log10(top) - np.log10(bottom))
    return total
