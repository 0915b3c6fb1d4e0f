"""The ring finder: sound in as blocks, rings out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.rings.decide import decide
from stemwright.dsp.rings.model import RingSettings
from stemwright.dsp.rings.spectra import FrameKeeper

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from stemwright.dsp.rings.model import Ring


class RingFinder:
    """Find rings in one stem, or in a left and right file of one stem fed together.

    Memory does not grow with the length of the stem, and the answer does not depend on how it is cut into blocks.

    Parameters
    ----------
    rate_hz : float
        Sample rate, Hz; made for 44.1 to 192 kHz.
    channels : int
        Channels of every block. Give a pair of files as two channels: their power is added and they get one answer.

    Raises
    ------
    AudioError
        If there is no channel or no rate.
    """

    def __init__(self, rate_hz: float, channels: int) -> None:
        self._keeper = FrameKeeper(rate_hz, channels)

    def feed(self, block: NDArray[np.float64]) -> None:
        """Take the next samples.

        Parameters
        ----------
        block : np.ndarray, shape (frames, channels)
            Any number of frames; full scale is 1.

        Raises
        ------
        AudioError
            If the shape is another one or a sample is NaN or infinite.
        """
        self._keeper.feed(block)

    def finish(self, settings: RingSettings | None = None) -> list[Ring]:
        """Return the rings, most certain first. Nothing may be fed after it; it may be called again.

        A silent or very short stem has none, and a band outside the file's range holds none.
        """
        return decide(self._keeper.spectra(), settings or RingSettings())


def find_rings(audio: NDArray[np.float64], rate_hz: float, settings: RingSettings | None = None) -> list[Ring]:
    """Find the rings in an array.

    Parameters
    ----------
    audio : np.ndarray, shape (frames,) or (frames, channels)
        The sound, full scale 1.
    rate_hz : float
        Sample rate, Hz.
    settings : RingSettings, optional
        Band, number and smallest excess; the defaults of the ``rings`` move otherwise.

    Returns
    -------
    list of Ring
        Most certain first.

    Raises
    ------
    AudioError
        If a sample is NaN or infinite.
    """
    columns = audio[:, np.newaxis] if audio.ndim == 1 else audio
    finder = RingFinder(rate_hz, columns.shape[1])
    finder.feed(columns)
    return finder.finish(settings)
