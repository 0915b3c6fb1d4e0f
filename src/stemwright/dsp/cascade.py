"""Second-order sections run over blocks with carried state, so that block size never shows in the sound.

Conventions
-----------
Audio blocks are ``(frames, channels)`` float64. Sections are ``(n, 6)`` rows ``b0 b1 b2 a0 a1 a2`` with ``a0 = 1``.

The result is what ``scipy.signal.sosfilt`` gives, with one addition: output below `TINY` is zero, and so are states below it
at every `GRID` frames from the start of the sound. Without that the states of a section sink into subnormal numbers when a
sound stops and stay there, where every operation takes 10 to 40 times as long. The grid is one of the sound, not of the
blocks, so block size does not show.
"""

from __future__ import annotations

import numpy as np

from stemwright import native
from stemwright.dsp.silence import is_silent
from stemwright.errors import DesignError

TINY = 1e-60  # -1200 dBFS: no sample of any file tells it from zero
GRID = 4096  # frames


class Cascade:
    """A chain of second-order sections with its own state for every channel.

    Parameters
    ----------
    sections : np.ndarray, shape=(n, 6)
        Rows ``b0 b1 b2 a0 a1 a2``, ``a0 = 1``; no rows pass the audio through untouched.
    channels : int
        Channels of the audio to come, 1 or more.

    Raises
    ------
    DesignError
        If the rows are not ``(n, 6)``, not finite, not normalised or not stable.
    """

    def __init__(self, sections: np.ndarray, channels: int) -> None:
        sos = np.array(sections, dtype=np.float64).reshape(-1, 6) if np.size(sections) else np.zeros((0, 6))
        if not np.all(np.isfinite(sos)) or not np.all(sos[:, 3] == 1.0):
            raise DesignError("sections must be finite rows b0 b1 b2 a0 a1 a2 with a0 = 1")
        # The stability triangle of a second-order denominator: a stored section from a damaged manifest must not howl.
        if not np.all((np.abs(sos[:, 5]) < 1.0) & (np.abs(sos[:, 4]) < 1.0 + sos[:, 5])):
            raise DesignError("sections must be stable: |a2| < 1 and |a1| < 1 + a2")
        self._sos = sos
        self._state = np.zeros((len(sos), channels, 2))
        self._position = 0

    def process(self, block: np.ndarray) -> np.ndarray:
        """Filter the next block.

        Parameters
        ----------
        block : np.ndarray, shape=(frames, channels)
            float64 samples that follow the previous block.

        Returns
        -------
        np.ndarray, shape=(frames, channels)
            float64, stored channel by channel; bit-identical to filtering the whole file at once.
        """
        if not len(self._sos) or not len(block):
            return block
        # One contiguous run per channel is what both walk along, so the transposed layout saves a copy.
        rows = np.ascontiguousarray(block.T, dtype=np.float64)
        if not self._state.any() and is_silent(rows):
            out = np.zeros_like(rows)
        elif native.kernels is not None:
            out = native.kernels.cascade(self._sos, self._state, rows, self._position)
        else:
            out = self._process_in_scipy(rows)
        self._position += len(block)
        return out.T

    def _process_in_scipy(self, rows: np.ndarray) -> np.ndarray:
        # Imported here: it takes most of a second, which only an installation without kernels has to pay.
        from scipy.signal import sosfilt  # noqa: PLC0415

        out = np.empty_like(rows)
        edges = [*range(GRID - self._position % GRID, rows.shape[1], GRID), rows.shape[1]]
        start = 0
        for end in edges:
            out[:, start:end], self._state = sosfilt(self._sos, rows[:, start:end], axis=-1, zi=self._state)
            if (self._position + end) % GRID == 0:
                self._state[np.abs(self._state) < TINY] = 0.0
            start = end
        out[np.abs(out) < TINY] = 0.0
        return out
