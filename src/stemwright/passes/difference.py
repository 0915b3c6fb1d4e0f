"""Difference: how far two files of one stem are apart, sample by sample."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from itertools import zip_longest
from typing import TYPE_CHECKING

import numpy as np

from stemwright.stems.audio import probe, read_blocks
from stemwright.stems.info import bits_of

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.plain import Plain


@dataclass(frozen=True, kw_only=True)
class Difference:
    """What is left when one file is taken from the other.

    ``largest_dbfs`` is its largest sample and ``rms_dbfs`` its mean, both None where it is exact zero.
    """

    largest_dbfs: float | None
    rms_dbfs: float | None

    @property
    def null(self) -> bool:
        """Whether the files hold the same samples."""
        return self.largest_dbfs is None

    def as_json(self) -> Plain:
        """Return the difference as plain JSON values."""
        return {**asdict(self), "null": self.null}


def measure(first: Path, second: Path) -> Difference | None:
    """Take one file from another.

    Parameters
    ----------
    first, second : Path
        Audio files; a shorter one ends in silence.

    Returns
    -------
    Difference or None
        None if they differ in rate or channels, so that there is nothing to subtract.

    Raises
    ------
    AudioError, OSError
        If one cannot be read.
    """
    infos = [probe(path) for path in (first, second)]
    if (infos[0].rate_hz, infos[0].channels) != (infos[1].rate_hz, infos[1].channels):
        return None
    largest, power, count = 0.0, 0.0, 0
    for one, other in zip_longest(read_blocks(first, infos[0]), read_blocks(second, infos[1])):
        left = _apart(one, other)
        largest = max(largest, float(np.abs(left).max(initial=0.0)))
        power += float(np.square(left).sum())
        count += left.size
    if largest == 0.0:
        return Difference(largest_dbfs=None, rms_dbfs=None)
    return Difference(largest_dbfs=_dbfs(largest), rms_dbfs=_dbfs(math.sqrt(power / count)))


def _apart(one: np.ndarray | None, other: np.ndarray | None) -> np.ndarray:
    if one is None or other is None:
        return one if one is not None else np.zeros((0, 1)) if other is None else other
    frames = max(len(one), len(other))
    padded = [np.pad(block, ((0, frames - len(block)), (0, 0))) for block in (one, other)]
    return np.asarray(padded[0] - padded[1])


def _dbfs(value: float) -> float:
    return round(20.0 * math.log10(value), 2)


def last_bit_dbfs(subtype: str) -> float:
    """Return the step of a word length in dBFS; 32-bit float counts as 24 bit, the precision of its mantissa."""
    bits = bits_of(subtype) or 24
    return _dbfs(2.0 ** (1 - min(bits, 24)))
