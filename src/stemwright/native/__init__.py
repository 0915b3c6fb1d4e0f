"""The compiled kernels where the installation has them: found once, and wrapped so that arrays go in and come out.

They are optional. Where no compiler was at hand at installation, or ``STEMWRIGHT_PURE=1`` asks for it, `kernels` is None
and every caller takes its numpy or scipy path, which gives the same samples to the bit.

Conventions
-----------
Audio is planar: ``(channels, frames)`` float64, C-contiguous. Nothing here checks shapes that its callers made.
"""

from __future__ import annotations

import ctypes
import os
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path
from typing import TYPE_CHECKING, cast

import numpy as np

if TYPE_CHECKING:
    from typing_extensions import Buffer

INTERFACE = 12  # of the functions in kernels.c
CHUNK = 64  # as there
CELL = 256  # as there
_SIZE, _REAL, _AT, _BYTE = ctypes.c_ssize_t, ctypes.c_double, ctypes.c_void_p, ctypes.c_char


class Kernels:
    """The loops of kernels.c; each releases the interpreter's lock while it runs.

    Parameters
    ----------
    path : Path
        The shared object built from kernels.c.

    Raises
    ------
    OSError
        If it cannot be loaded.
    AttributeError
        If it is not ours, or its interface is another one than this module speaks.
    """

    def __init__(self, path: Path) -> None:
        library = ctypes.CDLL(str(path))
        if library.stemwright_interface() != INTERFACE:
            raise AttributeError(f"{path.name}: built from another kernels.c; install stemwright again")
        self._cascade = _declared(library.stemwright_cascade, None, _AT, _SIZE, _AT, _AT, _AT, _SIZE, _SIZE, ctypes.c_int64)
        self._meter = _declared(library.stemwright_meter, _REAL, _AT, _AT, _AT, _SIZE, _SIZE, _AT, _AT, _SIZE, _AT)
        self._true_peak = _declared(library.stemwright_true_peak, None, _AT, _SIZE, _SIZE, _AT, _REAL, _AT, _AT, _AT)
        self._quantise = _declared(
            library.stemwright_quantise, ctypes.c_int64, _AT, _SIZE, _SIZE, _REAL, _REAL, _AT, _AT, _AT
        )
        self._quantise_counted = _declared(
            library.stemwright_quantise_counted, ctypes.c_int64, _AT, _SIZE, _SIZE, _REAL, _REAL, ctypes.c_uint64, _AT
        )
        self._decode = {
            2: _declared(library.stemwright_decode_16, None, _AT, _SIZE, _SIZE, _AT),
            3: _declared(library.stemwright_decode_24, None, _AT, _SIZE, _SIZE, _AT),
        }
        self._bends = _declared(library.stemwright_bends, None, _AT, _SIZE, _SIZE, _SIZE, _AT, _AT)
        self._extremes = _declared(library.stemwright_extremes, None, _AT, _SIZE, _SIZE, _SIZE, _AT, _AT)
        self._folded = _declared(library.stemwright_folded, None, _AT, _SIZE, _SIZE, _SIZE, _AT)
        self._lowered = _declared(library.stemwright_lowered, None, _AT, _SIZE, _AT, _AT)
        self._variances = _declared(library.stemwright_variances, None, _AT, _SIZE, _AT)
        self._windowed = _declared(library.stemwright_windowed, None, _AT, _SIZE, _SIZE, _AT, _SIZE, _AT, _SIZE, _AT)
        self._in_bands = _declared(
            library.stemwright_in_bands, None, _AT, _SIZE, _SIZE, _SIZE, _AT, _AT, _SIZE, _AT, _SIZE, _AT, _AT, _AT
        )
        self._pack_24 = _declared(library.stemwright_pack_24, None, _AT, _SIZE, _AT)

    def cascade(self, sos: np.ndarray, state: np.ndarray, rows: np.ndarray, position: int) -> np.ndarray:
        """Return `rows` through the sections, as `stemwright.dsp.cascade` defines it; `state` is carried on in place.

        Parameters
        ----------
        sos : np.ndarray, shape=(n, 6)
            Rows ``b0 b1 b2 a0 a1 a2``, ``a0 = 1``.
        state : np.ndarray, shape=(n, channels, 2)
            As ``zi``.
        rows : np.ndarray, shape=(channels, frames)
        position : int
            Frames that came before.
        """
        out = np.empty_like(rows)
        self._cascade(_at(sos), len(sos), _at(state), _at(rows), _at(out), *rows.shape, position)
        return out

    def meter(
        self, sos: np.ndarray, state: np.ndarray, rows: np.ndarray, gains: np.ndarray, edges: np.ndarray
    ) -> tuple[float, np.ndarray]:
        """Return the sum of squares of `rows`, and the energy after two sections from every edge to the next.

        Parameters
        ----------
        sos, state, rows
            As in `cascade`, two sections.
        gains : np.ndarray, shape=(channels,)
            Weight of each channel's energy.
        edges : np.ndarray, shape=(steps,), int64
            Rising frame numbers, the first 0.
        """
        sums = np.empty(len(edges))
        power = self._meter(_at(sos), _at(state), _at(rows), *rows.shape, _at(gains), _at(edges), len(edges), _at(sums))
        return float(power), sums

    def true_peak(self, rows: np.ndarray, tails: np.ndarray, share: float, points: np.ndarray, peaks: np.ndarray) -> None:
        """Raise `peaks` to what the rows hold: highest sample, and highest point between those that stand out.

        Parameters
        ----------
        rows : np.ndarray, shape=(channels, frames)
        tails : np.ndarray, shape=(channels, 48)
            The samples before; replaced by the last ones.
        share : float
            Samples that reach this share of the highest peak are looked at.
        points : np.ndarray, shape=(3, 48)
            The interpolation kernels.
        peaks : np.ndarray, shape=(2,)
            Linear; replaced.
        """
        heights = np.empty((rows.shape[0], -(-rows.shape[1] // CHUNK)))
        self._true_peak(_at(rows), *rows.shape, _at(tails), share, _at(points), _at(peaks), _at(heights))

    def quantise(
        self, rows: np.ndarray, scale: float, silence: float, stream: np.random.BitGenerator
    ) -> tuple[np.ndarray, int]:
        """Return int32 samples, shape (frames, channels), and how many were clipped; see `stemwright.dsp.dither`.

        Parameters
        ----------
        rows : np.ndarray, shape=(channels, frames)
        scale : float
            LSBs in full scale.
        silence : float
            In LSB: what is below becomes zero.
        stream : np.random.BitGenerator
            Gives one number for every sample, in interleaved order.
        """
        out = np.empty(rows.shape[::-1], np.int32)
        numbers = stream.ctypes
        draw = ctypes.cast(numbers.next_uint64, _AT)
        overs = self._quantise(_at(rows), *rows.shape, scale, silence, draw, numbers.state_address, _at(out))
        return out, int(overs)

    def quantise_counted(self, rows: np.ndarray, scale: float, silence: float, place: int) -> tuple[np.ndarray, int]:
        """Do as `quantise` does, with the numbers of SplitMix64 after the state `place`, 0 to 2**64 - 1."""
        out = np.empty(rows.shape[::-1], np.int32)
        overs = self._quantise_counted(_at(rows), *rows.shape, scale, silence, place, _at(out))
        return out, int(overs)

    def decode(self, raw: bytearray, width: int, channels: int) -> np.ndarray:
        """Return rows, full scale 1.0, from interleaved little-endian words of 2 or 3 bytes."""
        flat = np.frombuffer(raw, np.uint8)
        rows = np.empty((channels, len(flat) // (width * channels)))
        self._decode[width](_at(flat), *rows.shape, _at(rows))
        return rows

    def bends(self, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the highest second difference of each whole `CELL` of rows, by size, and the mean size of every fourth.

        Parameters
        ----------
        rows : np.ndarray, shape=(channels, frames)
            A cell reads two frames beyond itself.
        """
        highest, usual = np.empty((2, len(rows), max((rows.shape[1] - 2) // CELL, 0)))
        self._bends(_at(rows), *rows.shape, highest.shape[1], _at(highest), _at(usual))
        return highest, usual

    def extremes(self, rows: np.ndarray, width: int) -> tuple[np.ndarray, np.ndarray]:
        """Return the lowest and highest sample of every `width` frames of rows, shape (channels, frames)."""
        lows, highs = np.empty((2, len(rows), -(-rows.shape[1] // width)))
        self._extremes(_at(rows), *rows.shape, width, _at(lows), _at(highs))
        return lows, highs

    def folded(self, rows: np.ndarray, width: int) -> np.ndarray:
        """Return the means over all channels and `width` frames of rows, shape (channels, frames), left-overs not counted."""
        means = np.empty(rows.shape[1] // width)
        self._folded(_at(rows), *rows.shape, width, _at(means))
        return means

    def lowered(self, frames: np.ndarray, taps: np.ndarray) -> np.ndarray:
        """Return the mean of every 16 frames, weighted with as many `taps`, 4 frames apart."""
        out = np.empty((len(frames) - 12) // 4)
        self._lowered(_at(frames), len(out), _at(taps), _at(out))
        return out

    def variances(self, frames: np.ndarray) -> np.ndarray:
        """Return the variance of every window of 800 frames, 200 apart."""
        out = np.empty((len(frames) - 600) // 200)
        self._variances(_at(frames), len(out), _at(out))
        return out

    def windowed(self, rows: np.ndarray, starts: np.ndarray, window: np.ndarray, out: np.ndarray) -> None:
        """Put the frames of rows that begin at `starts` (int64), times a window, into `out`.

        Parameters
        ----------
        rows : np.ndarray, shape=(channels, samples), float32
        starts : np.ndarray, shape=(frames,), int64
        window : np.ndarray, shape=(size,), float32
        out : np.ndarray, shape=(channels, frames, size), float32
        """
        self._windowed(_at(rows), *rows.shape, _at(starts), len(starts), _at(window), len(window), _at(out))

    def in_bands(self, spectra: np.ndarray, bins: np.ndarray, shares: np.ndarray, firsts: np.ndarray) -> np.ndarray:
        """Return what lies in each band of spectra, all channels added, shape (frames, bands).

        Parameters
        ----------
        spectra : np.ndarray, shape=(channels, frames, bins), complex64
        bins : np.ndarray, int64, contiguous
            The bins of one band after another, the highest last.
        shares : np.ndarray
            How much of each counts.
        firsts : np.ndarray, int64
            Where each band's begin in `bins`.
        """
        out = np.empty((spectra.shape[1], len(firsts)))
        power, products = np.empty(2 * spectra.shape[2], np.float32), np.empty(len(bins))
        self._in_bands(
            _at(spectra), *spectra.shape, _at(bins), _at(shares), len(bins), _at(firsts), len(firsts), _at(power), _at(products),
            _at(out),
        )  # fmt: skip
        return out

    def pack_24(self, flat: np.ndarray) -> np.ndarray:
        """Return the low three bytes of every int32, little-endian."""
        flat = np.ascontiguousarray(flat, dtype=np.int32)
        packed = np.empty(3 * len(flat), np.uint8)
        self._pack_24(_at(flat), len(flat), _at(packed))
        return packed


def _declared(function: ctypes._NamedFuncPointer, returns: type | None, *takes: type) -> ctypes._NamedFuncPointer:
    function.restype, function.argtypes = returns, takes
    return function


def _at(array: np.ndarray) -> int:
    try:  # a fifth of the time that numpy takes to say so, which a pass asks a hundred thousand times
        return ctypes.addressof(_BYTE.from_buffer(cast("Buffer", array)))
    except (TypeError, ValueError):  # memory that may not be written to, or none
        return int(array.ctypes.data)


def _load() -> Kernels | None:
    if os.environ.get("STEMWRIGHT_PURE", "0") not in ("", "0"):
        return None
    path = Path(__file__).with_name(f"kernels{EXTENSION_SUFFIXES[-1]}")  # bound to no version of Python, as setup.py has it
    if path.is_file():
        try:
            return Kernels(path)
        except (OSError, AttributeError):
            return None  # of another machine or another version: the numpy path does the same
    return None


kernels = _load()
NAME = "numpy" if kernels is None else "native"
