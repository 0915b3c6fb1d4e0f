"""Resampling: another sample rate, once, by soxr at its highest quality, block by block.

Conventions
-----------
Blocks are ``(frames, channels)`` float64. The output starts with the input (soxr takes out its filter's delay) and is
``round(frames * ratio)`` frames long, the nearest there is. soxr's "VHQ" is linear phase, passes up to 0.913 of the lower
half rate and rejects what would fold back; tests hold it to 120 dB.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import soxr

if TYPE_CHECKING:
    from typing import Any

QUALITY = "VHQ"


def length_at(frames: int, from_hz: int, to_hz: int) -> int:
    """Return the length of a sound at another rate: the nearest whole number of frames, halves up, in whole arithmetic."""
    return (2 * frames * to_hz + from_hz) // (2 * from_hz)


class Resampler:
    """Resample one stem.

    Parameters
    ----------
    from_hz, to_hz : int
        The rates.
    channels : int
        Channels of the audio to come.
    frames : int
        Frames to come in all.
    """

    def __init__(self, from_hz: int, to_hz: int, *, channels: int, frames: int) -> None:
        self._stream: Any = soxr.ResampleStream(from_hz, to_hz, channels, dtype="float64", quality=QUALITY)
        self._channels = channels
        self._left = length_at(frames, from_hz, to_hz)

    def process(self, block: np.ndarray) -> np.ndarray:
        """Resample the next block.

        Parameters
        ----------
        block : np.ndarray, shape=(frames, channels)
            float64.

        Returns
        -------
        np.ndarray, shape=(n, channels)
            float64; n follows the ratio over all blocks, and the first ones give less.
        """
        return self._cut(self._stream.resample_chunk(np.ascontiguousarray(block)))

    def finish(self) -> np.ndarray:
        """Return the rest, so that all blocks together have the length promised."""
        rest = self._cut(self._stream.resample_chunk(np.zeros((0, self._channels)), last=True))
        missing = np.zeros((self._left, self._channels))
        self._left = 0
        return np.concatenate([rest, missing])

    def _cut(self, block: np.ndarray) -> np.ndarray:
        block = block.reshape(-1, self._channels)[: self._left]
        self._left -= len(block)
        return block
