"""Hashing: the SHA-256 of two streams that grow together, such as a file's bytes and the samples in it.

Where the kernels can take both at once, the two take hardly longer than one; elsewhere hashlib takes one after the other.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

import numpy as np

from stemwright import native

if TYPE_CHECKING:
    from typing_extensions import Buffer

STEP = native.HASH_STEP
# FIPS 180-4, 5.3.3: what a hash begins with.
START = (0x6A09E667, 0xBB67AE85, 0x3C6EF372, 0xA54FF53A, 0x510E527F, 0x9B05688C, 0x1F83D9AB, 0x5BE0CD19)


class HashPair:
    """The SHA-256 of two streams."""

    def __init__(self) -> None:
        self._kernels = native.kernels if native.kernels is not None and native.kernels.hashes_pairs else None
        self._apart = (hashlib.sha256(), hashlib.sha256())  # for where there are none, or the processor cannot
        self._states = np.array([START, START], np.uint32)
        self._left = [b"", b""]  # of each, what makes no whole step yet
        self._lengths = [0, 0]

    def update(self, one: Buffer, other: Buffer = b"") -> None:
        """Take in the next bytes of both, each any number of them."""
        if self._kernels is None:
            for digest, part in zip(self._apart, (one, other), strict=True):
                digest.update(part)
            return
        heads, bodies = [], []
        for number, part in enumerate((one, other)):
            data = np.frombuffer(memoryview(part), np.uint8)
            self._lengths[number] += len(data)
            head = self._left[number]
            if head:
                missing = STEP - len(head)
                head, data = head + data[:missing].tobytes(), data[missing:]
            heads.append(head)
            bodies.append(data)
            whole = len(data) // STEP * STEP
            self._left[number] = data[whole:].tobytes() if len(head) in (0, STEP) else head
        self._kernels.hash_pair(self._states, *(np.frombuffer(head, np.uint8) for head in heads))
        self._kernels.hash_pair(self._states, *bodies)

    def hexdigests(self) -> tuple[str, str]:
        """Return both hashes in hex, of all that was taken in so far."""
        if self._kernels is None:
            return self._apart[0].hexdigest(), self._apart[1].hexdigest()
        # FIPS 180-4, 5.1.1: a one, zeros, and the number of bits fill the last step.
        ends = [left + b"\x80" + bytes(-(len(left) + 9) % STEP) for left in self._left]
        bits = [(8 * length).to_bytes(8, "big") for length in self._lengths]
        states = self._states.copy()
        self._kernels.hash_pair(states, *(np.frombuffer(end + said, np.uint8) for end, said in zip(ends, bits, strict=True)))
        one, other = (state.astype(">u4").tobytes().hex() for state in states)
        return one, other
