"""The curve of each move and of all together, from the very sections the pass was rendered with."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.rows import rows_db
from stemwright.report.spectra import POINTS_HZ

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.plan.items import PlannedMove

FLOOR_DB = -60.0


def curve_points(moves: Iterable[PlannedMove], rate_hz: int) -> np.ndarray:
    """Return the frequencies to draw at: the spectra's points, and more of them around every narrow move.

    Parameters
    ----------
    moves : iterable of PlannedMove
    rate_hz : int
        Nothing is drawn above half of it.
    """
    points = [POINTS_HZ]
    for move in moves:
        freq_hz, q = move.settings.get("freq_hz", 0.0), move.settings.get("q", 0.0)
        if q > 3.0 and POINTS_HZ[0] < freq_hz < POINTS_HZ[-1]:
            points.append(freq_hz * 2.0 ** (np.linspace(-2.0, 2.0, 17) / q))
    merged = np.unique(np.concatenate(points))
    return np.asarray(merged[(merged >= POINTS_HZ[0]) & (merged <= min(POINTS_HZ[-1], rate_hz / 2.0))])


def move_curve_db(move: PlannedMove, freq_hz: np.ndarray, rate_hz: int) -> np.ndarray | None:
    """Return a move's gain at frequencies in dB; None for a move that has no curve, such as a compressor."""
    if not move.gain_sections:
        return None
    phi = np.sin(np.pi * freq_hz / rate_hz) ** 2
    return np.asarray(np.maximum(rows_db(np.array(move.gain_sections), phi), FLOOR_DB))
