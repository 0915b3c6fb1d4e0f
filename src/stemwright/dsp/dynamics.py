"""The compressor of older passes: pedalboard's detector and gain law, linked across channels.

Plans made now are rendered by `dsp.compressor`, whose times have a definition; here 63 % of a change is done after a time of setting
/ 2 pi (measured). Recall needs it to give an older pass back to the bit.

Conventions
-----------
The louder channel of each sample is the key. Pedalboard (float32) compresses the key alone; what it did to the key is the
gain, and that gain is applied to every channel in float64. So the image does not wander and the audio path stays float64.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from stemwright.dsp.pedals import compressor

# Far below any sound; keeps the gain, a quotient, defined where the key is silent.
KEY_FLOOR = 1e-9


@dataclass(frozen=True, kw_only=True)
class CompressorSettings:
    """Threshold in dBFS, ratio as n of n:1, times in ms, make-up gain in dB."""

    threshold_db: float
    ratio: float
    attack_ms: float
    release_ms: float
    makeup_db: float = 0.0


class Compressor:
    """A feed-forward peak compressor with carried state.

    Parameters
    ----------
    settings : CompressorSettings
    rate_hz : int
        Sample rate.
    """

    def __init__(self, settings: CompressorSettings, rate_hz: int) -> None:
        self._effect = compressor(settings)
        self._rate_hz = rate_hz
        self._makeup = 10.0 ** (settings.makeup_db / 20.0)

    def process(self, block: np.ndarray) -> np.ndarray:
        """Compress the next block.

        Parameters
        ----------
        block : np.ndarray, shape=(frames, channels)
            float64 samples that follow the previous block.

        Returns
        -------
        np.ndarray, shape=(frames, channels)
            float64.
        """
        if not len(block):
            return block
        key = np.maximum(np.abs(block).max(axis=1), KEY_FLOOR).astype(np.float32)
        # (channels, frames) with one channel can't be mistaken for another layout once there are two frames or more;
        # a lone frame is 1 x 1 and reads the same both ways.
        squeezed = self._effect.process(key[np.newaxis, :], self._rate_hz, reset=False)[0]
        gain = squeezed.astype(np.float64) / key
        return np.asarray(block * (gain * self._makeup)[:, np.newaxis])
