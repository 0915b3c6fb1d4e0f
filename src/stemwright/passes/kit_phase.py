"""Kit phase: what the moves' phase did to the sum of one instrument's stems, measured on what was written.

Conventions
-----------
Every stem of the kit as written is held against itself with the phase it was received with: the same levels at the same moments,
nothing turned. Both sums are taken in mono, in frames of 8192 under a Hann window, and compared by third octave.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.passes.heard import CENTRES_HZ, FFT, in_thirds
from stemwright.passes.stretches import read_stretch

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.passes.stretches import Stretch
    from stemwright.stems.mixdown import Form, Part

AUDIBLE = 10.0 ** (-20.0 / 10.0)  # of the kit's loudest third octave: what lies lower is not what the kit sounds of


@dataclass(frozen=True, kw_only=True)
class KitPhase:
    """The third octave in which phase changed a kit's sum most, and by how much; None where nothing sounds.

    ``stems`` are the kit's, ``declared`` whether the sheet names it.
    """

    stems: tuple[str, ...]
    declared: bool
    freq_hz: float | None = None
    change_db: float = 0.0


def most_turned(
    received: Sequence[Part], written: Sequence[Part], form: Form, stretches: Sequence[Stretch]
) -> tuple[float | None, float]:
    """Return where phase changed the sum of some stems most.

    Parameters
    ----------
    received, written : sequence of Part
        The same stems in the same order.
    form : Form
        Of the sum as received; what was written at another rate is brought to it.
    stretches : sequence of Stretch

    Returns
    -------
    tuple of (float or None) and float
        Middle of the third octave in Hz, and the change of its power in dB.

    Raises
    ------
    AudioError
        If a file cannot be read.
    """
    as_written, unturned = np.zeros(FFT // 2 + 1), np.zeros(FFT // 2 + 1)
    for stretch in stretches:
        sums = np.zeros((2, -(-round(stretch.seconds * form.rate_hz) // FFT), FFT // 2 + 1), dtype=complex)
        for one, other in zip(received, written, strict=True):
            before, after = (_frames(read_stretch(part, form, stretch), sums.shape[1]) for part in (one, other))
            size = np.abs(before)
            sums[0] += after
            sums[1] += np.abs(after) * np.divide(before, size, out=np.zeros_like(before), where=size > 0.0)
        as_written += (np.abs(sums[0]) ** 2).sum(axis=0)
        unturned += (np.abs(sums[1]) ** 2).sum(axis=0)
    now, wanted = (in_thirds(each, form.rate_hz) for each in (as_written, unturned))
    heard = (wanted > 0.0) & (wanted >= AUDIBLE * wanted.max()) & (now > 0.0)
    if not heard.any():
        return None, 0.0
    changes_db = 10.0 * np.log10(now[heard] / wanted[heard])
    at = int(np.abs(changes_db).argmax())
    return round(float(CENTRES_HZ[heard][at]), 2), round(float(changes_db[at]), 2) + 0.0


def _frames(audio: np.ndarray, count: int) -> np.ndarray:
    """Return the transforms of a sound's frames in mono, shape (count, bins); what is missing at its end is silent."""
    mono = np.zeros(count * FFT)
    mono[: len(audio)] = audio.mean(axis=1)[: len(mono)]
    return np.asarray(np.fft.rfft(mono.reshape(count, FFT) * np.hanning(FFT), axis=1))
