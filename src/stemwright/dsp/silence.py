"""Silence: whether a block has no sound in it at all, asked at every stage and so answered quickly.

Conventions
-----------
Rows are ``(channels, frames)`` float64, contiguous. Only zeros are silence, of either sign; what is no number is sound.
"""

from __future__ import annotations

import numpy as np

_STRIDE = 1021  # frames; a prime, so that no tone of a whole number of frames is met at its zeros only


def is_silent(rows: np.ndarray) -> bool:
    """Return whether all samples of rows, shape (channels, frames), are zero.

    Sound is nearly always seen in one sample of a thousand. Bits that are all zero are told from others in a third of the time that
    numpy's ``any`` takes, which turns every sample into a truth value first; a minus sign is all that it may have to settle.
    """
    if rows[:, ::_STRIDE].any():
        return False
    return not rows.view(np.uint64).max(initial=0) or not rows.any()
