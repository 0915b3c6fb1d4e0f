"""Bands: what a sound holds in bands as wide as hearing's, every 10 ms; small enough to keep for every stem of a song.

Conventions
-----------
Bands are one ERB wide and one apart, at 2 to 40 on the scale ERB number = 21.4 lg(4.37 f/1000 + 1) (Glasberg & Moore, Hear. Res.
47:103, 1990), 55 Hz to 16.7 kHz. Frame i is centred i hundredths of a second after the first sample and seen through a Hann
window of about 40 ms. Powers are mean squares, full scale 1, averaged over channels; they are kept in half decibels, so a
level is right to 0.25 dB from -110 to +17 dB; what is below is 0.
"""

from __future__ import annotations

import numpy as np

from stemwright import native
from stemwright.dsp.transform import transform

FRAMES_A_SECOND = 100
ERB_NUMBERS = np.arange(2.0, 41.0)
LOWEST_DB = -110.0
STEP_DB = 0.5
WINDOW_SECONDS = 0.04
AT_ONCE = 64  # frames: few enough for the nearer caches, a quarter less time than 256


def freq_of(erb_number: np.ndarray) -> np.ndarray:
    """Return the frequency of ERB numbers, Hz."""
    return np.asarray((10.0 ** (np.asarray(erb_number) / 21.4) - 1.0) / 0.00437)


CENTRES_HZ = freq_of(ERB_NUMBERS)
EDGES_HZ = freq_of(np.append(ERB_NUMBERS - 0.5, ERB_NUMBERS[-1] + 0.5))
WIDTHS_HZ = np.diff(EDGES_HZ)
_POWERS = np.append(0.0, 10.0 ** ((LOWEST_DB + STEP_DB * np.arange(1, 256)) / 10.0)).astype(np.float32)


def powers(matrix: np.ndarray) -> np.ndarray:
    """Return the powers of a matrix as kept, float32, shape (frames, bands)."""
    return np.asarray(_POWERS[matrix])


def kept(power: np.ndarray) -> np.ndarray:
    """Return powers, shape (frames, bands), in half decibels, uint8."""
    with np.errstate(divide="ignore"):
        steps = np.rint((10.0 * np.log10(power) - LOWEST_DB) / STEP_DB)
    return np.asarray(np.clip(steps, 0, 255).astype(np.uint8))


class BandMeter:
    """Listens to a sound in blocks.

    Parameters
    ----------
    rate_hz, channels : int
        Of the sound.
    """

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._rate_hz = rate_hz
        self._channels = channels
        self._size = 1 << max(round(np.log2(WINDOW_SECONDS * rate_hz)), 5)
        self._window = np.hanning(self._size + 1)[:-1].astype(np.float32)
        self._bins, self._firsts, self._scaled = _shares(
            rate_hz, self._size, float(np.square(self._window, dtype=np.float64).sum())
        )
        self._transform = transform()
        self._windows = np.empty((channels * AT_ONCE, self._size), np.float32)
        self._held = np.zeros((channels, self._size // 2), dtype=np.float32)  # frame 0 is centred on the first sample
        self._start = -(self._size // 2)
        self._next = 0
        self._frames = 0
        self._parts: list[np.ndarray] = []

    def feed(self, block: np.ndarray) -> None:
        """Take in the next block, shape (frames, channels)."""
        self._hold(block.T)
        self._frames += len(block)
        self._measure(AT_ONCE)

    def finish(self) -> np.ndarray:
        """Return the matrix, uint8, shape (frames, bands)."""
        count = -(-self._frames * FRAMES_A_SECOND // self._rate_hz)
        self._hold(np.zeros((self._channels, self._size)))
        self._measure(1)
        return np.concatenate(self._parts)[:count]  # there is a part: even of nothing, frame 0 is whole by now

    def _hold(self, rows: np.ndarray) -> None:
        """Put rows, shape (channels, frames), behind what is held, channel by channel in memory, as the kernels read it."""
        before = self._held
        self._held = np.empty((self._channels, before.shape[1] + rows.shape[1]), np.float32)
        self._held[:, : before.shape[1]] = before
        self._held[:, before.shape[1] :] = rows

    def _measure(self, least: int) -> None:
        """Hear the frames that are whole, `AT_ONCE` at a time, as long as there are so many."""
        while True:
            numbers = np.arange(self._next, self._next + AT_ONCE)
            starts = np.rint(numbers * (self._rate_hz / FRAMES_A_SECOND)).astype(np.int64) - self._size // 2 - self._start
            starts = starts[starts + self._size <= self._held.shape[1]]
            if len(starts) < least:
                break
            if self._held[:, starts[0] : starts[-1] + self._size].any():
                self._parts.append(kept(self._powers(starts)))
            else:
                self._parts.append(np.zeros((len(starts), len(CENTRES_HZ)), np.uint8))
            self._next += len(starts)
        done = round(self._next * self._rate_hz / FRAMES_A_SECOND) - self._size // 2 - self._start
        if done > 0:
            self._held = self._held[:, done:]
            self._start += done

    def _powers(self, starts: np.ndarray) -> np.ndarray:
        # Into memory of its own: asked for anew each time, it costs as much as the transforms.
        windows = self._windows[: self._channels * len(starts)].reshape(self._channels, len(starts), self._size)
        if native.kernels is not None:
            native.kernels.windowed(self._held, starts, self._window, windows)
        else:
            for number, start in enumerate(starts.tolist()):
                np.multiply(self._held[:, start : start + self._size], self._window, out=windows[:, number])
        return self._in_bands(self._transform(windows)) / self._channels

    def _in_bands(self, spectra: np.ndarray) -> np.ndarray:
        """Return what lies in each band of spectra, shape (channels, frames, bins), all channels added."""
        bands = np.zeros((spectra.shape[1], len(CENTRES_HZ)))
        if native.kernels is not None:
            found = native.kernels.in_bands(spectra, self._bins, self._scaled, self._firsts)
        else:
            parts = spectra.view(np.float32)  # real and imaginary ones in turn
            squares = np.square(parts, out=parts).sum(axis=0)
            power = squares[:, ::2] + squares[:, 1::2]
            # Not a matrix product: in a program that leaves BLAS its threads these wait for each other a hundred times as long.
            found = np.add.reduceat(np.take(power, self._bins, axis=1) * self._scaled, self._firsts, axis=1)
        bands[:, : len(self._firsts)] = found
        return bands


def _shares(rate_hz: int, size: int, energy: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return the bins of one band after another, where each band's begin, and the share of each bin's power that lies in it.

    Shares are scaled to mean squares. Bands without a bin, above half the sample rate, are the last ones and left out.
    """
    bin_hz = rate_hz / size
    low = (np.arange(size // 2 + 1) - 0.5)[:, np.newaxis] * bin_hz
    overlap = np.minimum(low + bin_hz, EDGES_HZ[1:]) - np.maximum(low, EDGES_HZ[:-1])
    scale = np.full((size // 2 + 1, 1), 2.0 / (size * energy))
    scale[[0, -1]] /= 2.0
    shares = np.maximum(overlap, 0.0) / bin_hz * scale
    band, bins = np.nonzero(shares.T)
    # Of nonzero's pair each is a view of both, and the kernels read what lies together.
    return np.ascontiguousarray(bins), np.flatnonzero(np.diff(band, prepend=-1)), shares[bins, band]
