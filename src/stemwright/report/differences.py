"""Differences to listen to: what moves changed, by magnitude, and the plain subtraction, phase included.

Conventions
-----------
A filter turns phase far from where it changes level, and a subtraction hears that as loudly as a change: a roll-off's
subtraction can be as loud as the stem. So the difference that answers "what was changed" is of magnitudes: short spectra of
both sounds (Hann, three quarters overlapping), the difference of their magnitudes with the phase of the sound before.
"""

from __future__ import annotations

import numpy as np

WINDOW = 2048
HOP = WINDOW // 4
AT_ONCE = 32  # windows whose spectra are worked on together: what stays in the cache is quicker at hand


def magnitude_change(before: np.ndarray, after: np.ndarray) -> np.ndarray:
    """Return what was added to or taken from a sound, whatever became of its phase.

    Parameters
    ----------
    before, after : np.ndarray, shape=(frames, channels)
        The same stretch of both sounds.

    Returns
    -------
    np.ndarray, shape=(frames, channels)
        float32; silence where only phase differs.
    """
    frames, channels = before.shape
    window = np.hanning(WINDOW + 1)[:-1].astype(np.float32)
    blocks = -(-(frames + WINDOW) // HOP)
    result = np.zeros((frames, channels), np.float32)
    for channel in range(channels):
        windows = [_windows(sound[:, channel], blocks) for sound in (before, after)]
        pieces = np.empty((blocks, WINDOW), np.float32)
        for start in range(0, blocks, AT_ONCE):
            some = slice(start, start + AT_ONCE)
            pieces[some] = _change(*(np.fft.rfft(each[some] * window, axis=1) for each in windows)) * window
        total = np.zeros((blocks + 3) * HOP, np.float32)
        for part in range(4):  # Hann squared at a quarter of its length adds up to 1.5
            quarter = pieces[:, part * HOP : (part + 1) * HOP].reshape(-1)
            total[part * HOP : part * HOP + len(quarter)] += quarter
        result[:, channel] = total[WINDOW - HOP : WINDOW - HOP + frames] / 1.5
    return result


def _change(before: np.ndarray, after: np.ndarray) -> np.ndarray:
    """Return the windows of sound whose spectra are the difference of these spectra's magnitudes."""
    sizes = [np.abs(spectrum) for spectrum in (before, after)]
    # The phase is the louder one's: where there was nothing before, there is none to take.
    change = np.where(sizes[0] >= sizes[1], before, after)
    one, difference = np.float32(1.0) / np.maximum(np.maximum(*sizes), 1e-12), sizes[1] - sizes[0]
    # Part by part: with a real factor numpy would take all the steps of complex arithmetic.
    for each in (change.real, change.imag):
        np.multiply(each, one, out=each)
        np.multiply(each, difference, out=each)
    return np.fft.irfft(change, axis=1).astype(np.float32)


def _windows(sound: np.ndarray, blocks: int) -> np.ndarray:
    padded = np.zeros((blocks + 3) * HOP, np.float32)
    padded[WINDOW - HOP : WINDOW - HOP + len(sound)] = sound
    return np.lib.stride_tricks.sliding_window_view(padded, WINDOW)[::HOP]
