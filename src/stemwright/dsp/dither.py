"""Word lengths: float64 audio to integers with seeded TPDF dither, reproducible to the bit.

Conventions
-----------
Full scale is 1.0; one LSB of an n-bit word is ``2**(1 - n)``. Dither has a triangular density two LSB wide (Lipshitz,
Wannamaker and Vanderkooy, "Quantization and dither: a theoretical survey", JAES 40(5), 1992): its total error variance is
LSB**2 / 4 whatever the signal.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright import native
from stemwright.dsp.silence import is_silent

if TYPE_CHECKING:
    from stemwright.native import Kernels

# Below this share of one LSB a sample says nothing; it is written as zero without dither, so silence stays silence.
SILENCE_LSB = 1e-6

# Kinds of dither as manifests name them: the same density, from two generators.
COUNTED = "tpdf-64"
STREAMED = "tpdf"
GAMMA = 0x9E3779B97F4A7C15  # odd and near 2**64 over the golden ratio: every 64-bit state comes up once


@dataclass(frozen=True)
class Quantised:
    """Integers of one block and how many samples did not fit the word."""

    samples: np.ndarray
    overs: int


class Quantiser:
    """Turn float64 blocks into integers of a word length, with TPDF dither from a stored seed.

    Sample k of the interleaved file always meets number k of the random numbers, so the block size does not show.

    Parameters
    ----------
    bits : int
        Word length, 8 to 32.
    seed : int
        Any non-negative integer; the same seed gives the same dither.
    kind : {"tpdf-64", "tpdf"}
        Where the numbers come from: `COUNTED`, or `STREAMED`, which passes made before it was there used.
    """

    def __init__(self, bits: int, seed: int, kind: str = COUNTED) -> None:
        self._scale = float(2 ** (bits - 1))
        kinds: dict[str, type[_Counted | _Streamed]] = {COUNTED: _Counted, STREAMED: _Streamed}
        self._numbers = kinds[kind](seed)

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
        rows = np.ascontiguousarray(block.T, dtype=np.float64)
        if is_silent(rows):
            self._numbers.skip(block.size)
            return Quantised(np.zeros(block.shape, np.int32), 0)
        if native.kernels is not None:
            return Quantised(*self._numbers.quantise(native.kernels, rows, self._scale))
        return self._process_in_numpy(block)

    def _process_in_numpy(self, block: np.ndarray) -> Quantised:
        scaled = np.ascontiguousarray(block, dtype=np.float64) * self._scale
        silent = np.abs(scaled) < SILENCE_LSB
        raw = self._numbers.draw(scaled.size)
        # The sum of two independent uniforms is triangular: two 32-bit halves make one number in (-1, 1) LSB.
        triangle = (raw & np.uint64(0xFFFFFFFF)).astype(np.float64)
        triangle += raw >> np.uint64(32)
        triangle *= 2.0**-32
        triangle -= 1.0
        scaled += triangle.reshape(scaled.shape)
        np.rint(scaled, out=scaled)
        if silent.any():
            scaled[silent] = 0.0
        top = self._scale - 1.0
        overs = 0
        if scaled.size and (scaled.max() > top or scaled.min() < -self._scale):
            overs = int(np.count_nonzero((scaled > top) | (scaled < -self._scale)))
            np.clip(scaled, -self._scale, top, out=scaled)
        return Quantised(scaled.astype(np.int32), overs)


class _Streamed:
    """The raw stream of numpy's PCG64, which numpy guarantees to stay the same between releases."""

    def __init__(self, seed: int) -> None:
        self._stream = np.random.PCG64(seed)

    def draw(self, count: int) -> np.ndarray:
        return np.asarray(self._stream.random_raw(count))

    def skip(self, count: int) -> None:
        self._stream.advance(count)

    def quantise(self, kernels: Kernels, rows: np.ndarray, scale: float) -> tuple[np.ndarray, int]:
        return kernels.quantise(rows, scale, SILENCE_LSB, self._stream)


class _Counted:
    """SplitMix64: a number is a mix of the seed and its place alone, so that many can be made at once.

    Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014; the constants are those of
    Vigna's public domain splitmix64.c.
    """

    def __init__(self, seed: int) -> None:
        self._place = seed % 2**64

    def draw(self, count: int) -> np.ndarray:
        mixed = np.arange(1, count + 1, dtype=np.uint64) * np.uint64(GAMMA) + np.uint64(self._place)
        mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        self.skip(count)
        return np.asarray(mixed ^ (mixed >> np.uint64(31)))

    def quantise(self, kernels: Kernels, rows: np.ndarray, scale: float) -> tuple[np.ndarray, int]:
        result = kernels.quantise_counted(rows, scale, SILENCE_LSB, self._place)
        self.skip(rows.size)
        return result

    def skip(self, count: int) -> None:
        self._place = (self._place + count * GAMMA) % 2**64
