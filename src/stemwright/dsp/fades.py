"""Fades: how much of a move is there at each frame, and a gain with such fades; the same bits for any block size.

Conventions
-----------
Weights run from 0 to 1 along ``3 t^2 - 2 t^3``, whose slope is 0 at both ends. Only + - x / are used, so that another machine
gives the same bits. Frames count from the start of the sound.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence


def weights(fade_frames: int, spans: Sequence[tuple[int, int]], start: int, frames: int) -> np.ndarray | float:
    """Return how much of a move is there.

    Parameters
    ----------
    fade_frames : int
        Length of a fade; it ends where its span begins, and where its span ends.
    spans : sequence of (int, int)
        Frames from and to, in order and apart.
    start, frames : int
        The stretch asked for.

    Returns
    -------
    np.ndarray, shape=(frames,), or float
        0 to 1; a number where it is the same all along.
    """
    found: np.ndarray | None = None
    for first, end in spans:
        fade_in, fade_out = max(first - fade_frames, 0), max(end - fade_frames, first)
        if end <= start or fade_in >= start + frames:
            continue
        if first <= start and start + frames <= fade_out:
            return 1.0
        found = np.zeros(frames) if found is None else found
        _put(found, start, fade_in, first, rising=True, length=fade_frames, zero=first - fade_frames)
        lead, tail = max(first - start, 0), min(fade_out - start, frames)
        found[lead : max(tail, lead)] = 1.0
        _put(found, start, fade_out, end, rising=False, length=end - fade_out, zero=fade_out)
    return 0.0 if found is None else found


def _put(out: np.ndarray, start: int, first: int, end: int, *, rising: bool, length: int, zero: int) -> None:  # noqa: PLR0913 - one fade
    low, high = max(first, start), min(end, start + len(out))
    if low >= high:
        return
    t = np.arange(low - zero, high - zero, dtype=np.float64) / length
    rise = t * t * (3.0 - 2.0 * t)
    out[low - start : high - start] = rise if rising else 1.0 - rise


class FadedGain:
    """A gain that is there within spans only, and fades at their edges.

    Parameters
    ----------
    factor : float
        The gain, as a factor.
    fade_frames : int
    spans : sequence of (int, int)
        As `weights` takes them.
    """

    def __init__(self, factor: float, fade_frames: int, spans: Sequence[tuple[int, int]]) -> None:
        self._factor = factor
        self._fade = fade_frames
        self._spans = spans
        self._position = 0

    def process(self, block: np.ndarray) -> np.ndarray:
        """Return the next block, shape (frames, channels); outside the spans it is the block itself."""
        weight = weights(self._fade, self._spans, self._position, len(block))
        self._position += len(block)
        if isinstance(weight, float):
            return block * self._factor if weight else block
        return np.asarray(block * (1.0 + (self._factor - 1.0) * weight)[:, np.newaxis])
