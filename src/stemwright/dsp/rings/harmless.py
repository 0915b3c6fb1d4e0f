"""How much of a ring may be taken without leaving the sound farther from its clean self, whatever phase the ring came in with.

A notch undoes a resonance that lifts what excites it, in phase. A mode of a room or a body comes in at any phase; then a notch
lowers its top but turns what lies beside it as well, and where a partial far louder than the ring lies there, that is the greater
harm. So the worst is supposed, a mode a quarter turn early or late that is as high and as wide as was measured, and the sound's
own spectrum says how much lies where.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Response = NDArray[np.complex128]

SHARES: Final = (1.0, 0.875, 0.75, 0.625, 0.5, 0.375, 0.25, 0.125)
_QUARTER_TURNS: Final = (1j, -1j)


def harmless_share(octaves: Floats, power_db: Floats, excess_db: float, q: float) -> float:
    """Return the largest share of a ring's excess that a notch may take, 0 where even an eighth would do harm.

    Parameters
    ----------
    octaves : np.ndarray, shape (points,)
        Distance of evenly spaced points from the ring.
    power_db : np.ndarray, shape (points,)
        Mean power density there, dB, with the ring in it.
    excess_db, q : float
        The ring's height, dB, and its bell's Q, as measured.

    Returns
    -------
    float
        In eighths, 0 to 1: with it the power of the difference from the clean sound is no more than untouched.
    """
    detune = np.exp2(octaves) - np.exp2(-octaves)
    power = np.exp2(octaves) * 10 ** ((power_db - power_db.max()) / 10)
    rung = [_mode(detune, excess_db, q, turn) for turn in _QUARTER_TURNS]
    for share in SHARES:
        notch = _notch(detune, share * excess_db, q)
        if all(_off(power, there, there * notch) <= _off(power, there, there) for there in rung):
            return share
    return 0.0


def _mode(detune: Floats, excess_db: float, q: float, turn: complex) -> Response:
    """Return 1 + c turn / (1 + i Q detune), whose greatest modulus G is |1 + c turn / 2| + c / 2: c is G - 1/G.

    (1 / (1 + i x) runs round the circle from 0 to 1.) The pole has sqrt(G) of the bell's Q.
    """
    top = 10 ** (excess_db / 20)
    rung: Response = 1 + (top - 1 / top) * turn / (1 + 1j * q * top**0.5 * detune)
    return rung


def _notch(detune: Floats, depth_db: float, q: float) -> Response:
    """Return the response of the Audio EQ Cookbook's peaking EQ that cuts so much."""
    root = 10 ** (depth_db / 40)
    response: Response = (1j * detune + 1 / (root * q)) / (1j * detune + root / q)
    return response


def _off(power: Floats, rung: Response, now: Response) -> float:
    """Return the power of the difference from the clean sound, whose spectrum is the power without what rings."""
    return float((power / np.abs(rung) ** 2 * np.abs(now - 1) ** 2).sum())
