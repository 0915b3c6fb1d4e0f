"""Word lengths: float64 audio to integers with seeded TPDF dither, reproducible to the bit.

Conventions
-----------
Full scale is 1.0; one LSB of an n-bit word is ``2**(1 - n)``. Dither has a triangular density two LSB wide (Lipshitz,
Wannamaker and Vanderkooy, "Quantization and dither: a theoretical survey", JAES 40(5), 1992): its total error variance is
LSB**2 / 4 whatever the signal.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stemwright import native

# Below this share of one LSB a sample says nothing; it is written as zero without dither, so silence stays silence.
SILENCE_LSB = 1e-6


@dataclass(frozen=True)
class Quantised:
    """Integers of one block and how many samples did not fit the word."""

    samples: np.ndarray
    overs: int


class Quantiser:
    """Turn float64 blocks into integers of a word length, with TPDF dither from a stored seed.

    The dither comes from the raw 64-bit stream of numpy's PCG64, which numpy guarantees to stay the same between
    releases (its ``Generator`` methods carry no such promise). Sample k of the interleaved file always meets number k of
    the stream, so the block size does not show.

    Parameters
    ----------
    bits : int
        Word length, 8 to 32.
    seed : int
        Any non-negative integer; the same seed gives the same dither.
    """

    def __init__(self, bits: int, seed: int) -> None:
        self._scale = float(2 ** (bits - 1))
        self._stream = np.random.PCG64(seed)

    def process(self, block: np.ndarray) -> Quantised:
        """Quantise the next block.

        Parameters
        ----------
        block : np.ndarray, shape=(frames, channels)
            Finite float64 samples, full scale 1.0.

        Returns
        -------
        Quantised
            ``samples`` int32, shape (frames, channels), clipped to the word; ``overs`` counts the clipped ones.
        """
        if native.kernels is not None and block.size:
            rows = np.ascontiguousarray(block.T, dtype=np.float64)
            return Quantised(*native.kernels.quantise(rows, self._scale, SILENCE_LSB, self._stream))
        return self._process_in_numpy(block)

    def _process_in_numpy(self, block: np.ndarray) -> Quantised:
        scaled = np.ascontiguousarray(block, dtype=np.float64) * self._scale
        silent = np.abs(scaled) < SILENCE_LSB
        raw = self._stream.random_raw(scaled.size).view(np.uint32).reshape(*scaled.shape, 2)
        # The sum of two independent uniforms is triangular: two 32-bit halves make one number in (-1, 1) LSB.
        triangle = raw[..., 0].astype(np.float64)
        triangle += raw[..., 1]
        triangle *= 2.0**-32
        triangle -= 1.0
        scaled += triangle
        np.rint(scaled, out=scaled)
        if silent.any():
            scaled[silent] = 0.0
        top = self._scale - 1.0
        overs = 0
        if scaled.size and (scaled.max() > top or scaled.min() < -self._scale):
            overs = int(np.count_nonzero((scaled > top) | (scaled < -self._scale)))
            np.clip(scaled, -self._scale, top, out=scaled)
        return Quantised(scaled.astype(np.int32), overs)
