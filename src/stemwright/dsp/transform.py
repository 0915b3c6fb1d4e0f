"""Transform: the discrete Fourier transform of single-precision frames, several at once, which numpy's cannot do.

It is scipy's, taken from its own compiled module where that lies where it always has: loading it with the rest of ``scipy.fft``
takes a fifth of a second, as long as finding the rings of ten stems.
"""

from __future__ import annotations

import functools
from importlib.machinery import PathFinder
from importlib.util import find_spec, module_from_spec
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    Singles = NDArray[np.float32]
    Spectra = NDArray[np.complex64]

_FOLDER: Final = "fft/_pocketfft"
_MODULE: Final = "pypocketfft"


@functools.cache
def transform() -> Callable[[Singles], Spectra]:
    """Return the transform: of real frames along the last axis, the bins from 0 Hz to half the rate, as ``scipy.fft.rfft``."""
    scipy = find_spec("scipy")
    where = [] if scipy is None or scipy.origin is None else [str(Path(scipy.origin).parent / _FOLDER)]
    spec = PathFinder.find_spec(_MODULE, where)
    try:
        if spec is not None and spec.loader is not None:
            module = module_from_spec(spec)
            spec.loader.exec_module(module)
            quick = module.r2c
            quick(np.zeros(2, np.float32), (-1,))
            return lambda frames: np.asarray(quick(frames, (frames.ndim - 1,)))
    except (ImportError, AttributeError, TypeError):
        pass  # another version of scipy, which has it elsewhere or otherwise
    from scipy.fft import rfft  # noqa: PLC0415 - only where it must

    return lambda frames: np.asarray(rfft(frames))
