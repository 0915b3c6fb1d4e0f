"""Alignment: where one mix lies against another, and what is left of them when one is taken from the other.

Both are read in blocks and never held whole: envelopes of 256 frames find the neighbourhood, one loud stretch finds the
sample, products summed over all blocks give the gain and the residual.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    Blocks = Callable[[], Iterator[np.ndarray]]

STEP = 256
STRETCH = 1 << 17
CANDIDATES = 5
SHIFT_MOST = STRETCH  # a longer lead is music that one of them lacks, not a shift: it counts
FLOOR_DB = -150.0  # below it float64 sums of this length say nothing


@dataclass(frozen=True, kw_only=True)
class Aligned:
    """How a sum lies against a reference.

    ``offset_frames`` is how much later the reference is. ``gain_db`` brings the sum to it, ``residual_db`` is what is left
    then, ``unity_residual_db`` what is left without that gain; both in dB under the reference.
    """

    offset_frames: int
    gain_db: float | None
    residual_db: float
    unity_residual_db: float


def align(total: Blocks, reference: Blocks) -> Aligned | None:
    """Hold a sum against a reference.

    Parameters
    ----------
    total, reference : callable
        Each call gives the audio anew, block by block, both at one rate and of as many channels.

    Returns
    -------
    Aligned or None
        None where one of them is silent.
    """
    ours, theirs = (_envelope(blocks) for blocks in (total, reference))
    if not ours.any() or not theirs.any():
        return None
    offset = _refine(total, reference, theirs, _candidates(ours, theirs))
    return _residual(total, reference, offset)


def _mono(blocks: Iterator[np.ndarray]) -> Iterator[np.ndarray]:
    for block in blocks:
        # Unequal weights: two inverted sides must not vanish.
        yield block @ np.linspace(1.0, 0.7, block.shape[1])


def _envelope(blocks: Blocks) -> np.ndarray:
    levels: list[np.ndarray] = []
    held = np.zeros(0)
    for mono in _mono(blocks()):
        held = np.concatenate([held, mono])
        whole = len(held) // STEP * STEP
        levels.append(np.sqrt((held[:whole].reshape(-1, STEP) ** 2).mean(axis=1)))
        held = held[whole:]
    if len(held):
        levels.append(np.sqrt(np.array([(held**2).mean()])))
    return np.concatenate(levels) if levels else np.zeros(0)


def _correlation(ours: np.ndarray, theirs: np.ndarray) -> np.ndarray:
    """Return the cross-correlation at lags ``-(len(ours)-1)`` to ``len(theirs)-1`` of theirs behind ours."""
    size = 1 << (len(ours) + len(theirs) - 1).bit_length()
    product = np.fft.irfft(np.fft.rfft(theirs, size) * np.conj(np.fft.rfft(ours, size)), size)
    return np.concatenate([product[size - len(ours) + 1 :], product[: len(theirs)]])


def _candidates(ours: np.ndarray, theirs: np.ndarray) -> list[int]:
    """Return the likeliest offsets, in steps: local maxima of the envelopes' correlation."""
    found = _correlation(ours - ours.mean(), theirs - theirs.mean())
    padded = np.concatenate([[-np.inf], found, [-np.inf]])
    peaks = np.flatnonzero((found >= padded[:-2]) & (found >= padded[2:]))
    best = peaks[np.argsort(found[peaks])[::-1][:CANDIDATES]]
    return [int(lag) - (len(ours) - 1) for lag in best]


def _refine(total: Blocks, reference: Blocks, envelope: np.ndarray, candidates: list[int]) -> int:
    """Return the offset to the sample, from the loudest stretch of the reference."""
    width = STRETCH // STEP
    power = np.convolve(envelope**2, np.ones(min(width, len(envelope))), mode="valid")
    start = int(power.argmax()) * STEP
    theirs = _cut(reference, start, STRETCH)
    best = (-1.0, candidates[0] * STEP)
    for steps in candidates:
        first = start - (steps + 2) * STEP
        ours = _cut(total, first, STRETCH + 4 * STEP)
        found = np.abs(_correlation(ours, theirs))
        lag = int(found.argmax())
        height = float(found[lag]) / max(math.sqrt(float(ours @ ours) * float(theirs @ theirs)), 1e-30)
        if height > best[0]:
            best = (height, start - first + lag - (len(ours) - 1))
    return best[1]


def _cut(blocks: Blocks, start: int, length: int) -> np.ndarray:
    """Return a stretch as mono; silence where it reaches over an end."""
    out = np.zeros(length)
    position = 0
    for mono in _mono(blocks()):
        low, high = max(position, start), min(position + len(mono), start + length)
        if low < high:
            out[low - start : high - start] = mono[low - position : high - position]
        position += len(mono)
        if position >= start + length:
            break
    return out


def _residual(total: Blocks, reference: Blocks, offset: int) -> Aligned:
    own, cross, whole = 0.0, 0.0, 0.0
    for ours, theirs in _side_by_side(total(), reference(), offset):
        own += float(np.vdot(ours, ours))
        cross += float(np.vdot(ours, theirs))
        whole += float(np.vdot(theirs, theirs))
    if not own or not whole:  # nothing of one lies beside the other
        return Aligned(offset_frames=offset, gain_db=None, residual_db=0.0, unity_residual_db=0.0)
    gain = cross / own
    left = max(whole - cross * gain, 0.0)
    return Aligned(
        offset_frames=offset,
        gain_db=20.0 * math.log10(gain) if gain > 0.0 else None,
        residual_db=_db(left, whole),
        unity_residual_db=_db(max(whole - 2.0 * cross + own, 0.0), whole),
    )


def _db(part: float, whole: float) -> float:
    return max(10.0 * math.log10(part / whole), FLOOR_DB) if part > 0.0 and whole > 0.0 else FLOOR_DB


def _side_by_side(
    ours: Iterator[np.ndarray], theirs: Iterator[np.ndarray], offset: int
) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Yield both in equal pieces, the longer one to its end; the two ends that a shift leaves without a partner are left out."""
    shift = abs(offset) if abs(offset) <= SHIFT_MOST else 0
    late = (0, 0) if shift else (max(offset, 0), max(-offset, 0))
    held = [_Queue(ours, late[0]), _Queue(theirs, late[1])]
    held[1 if offset > 0 else 0].drop(shift)
    while True:
        one, two = held[0].peek(), held[1].peek()
        if one is None and two is None:
            return
        if one is None or two is None:
            queue, there = (held[1], two) if one is None else (held[0], one)
            assert there is not None  # noqa: S101 - one of the two is there
            queue.take(len(there))
            beyond = min(shift, len(there))  # the end that the shift alone leaves without a partner
            shift -= beyond
            there = there[beyond:]
            silent = np.zeros_like(there)
            yield (silent, there) if one is None else (there, silent)
            continue
        length = min(len(one), len(two))
        if one.shape[1] != two.shape[1]:
            one, two = (np.broadcast_to(each.mean(axis=1, keepdims=True), (len(each), 1)) for each in (one, two))
        held[0].take(length)
        held[1].take(length)
        yield np.ascontiguousarray(one[:length]), np.ascontiguousarray(two[:length])


class _Queue:
    def __init__(self, blocks: Iterator[np.ndarray], lead: int) -> None:
        self._blocks = blocks
        self._lead = lead
        self._held: np.ndarray | None = None

    def peek(self) -> np.ndarray | None:
        """Return what is next without taking it; None at the end."""
        while self._held is None or not len(self._held):
            block = next(self._blocks, None)
            if block is None:
                return None
            if self._lead:
                block = np.concatenate([np.zeros((self._lead, block.shape[1])), block])
                self._lead = 0
            self._held = block
        return self._held

    def drop(self, frames: int) -> None:
        """Leave out what comes first."""
        while frames and (block := self.peek()) is not None:
            first = min(frames, len(block))
            self.take(first)
            frames -= first

    def take(self, frames: int) -> None:
        assert self._held is not None  # noqa: S101 - peeked before
        self._held = self._held[frames:]
