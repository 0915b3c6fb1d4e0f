"""Bytes to samples and back for WAV data: little-endian integers and floats.

Conventions
-----------
Decoded blocks are ``(frames, channels)`` float64, full scale 1.0, stored channel by channel. Integers handed to `encode`
are int32 right-aligned in their word length (a 24-bit sample runs from -2**23 to 2**23 - 1).
"""

from __future__ import annotations

import numpy as np

from stemwright import native

WIDTHS = {"PCM_U8": 1, "PCM_16": 2, "PCM_24": 3, "PCM_32": 4, "FLOAT": 4, "DOUBLE": 8}


def decode(raw: bytearray, subtype: str, channels: int) -> np.ndarray:
    """Turn interleaved data bytes into audio.

    Parameters
    ----------
    raw : bytearray
        Whole frames.
    subtype : str
        A key of `WIDTHS`.
    channels : int
        Number of channels.

    Returns
    -------
    np.ndarray, shape=(frames, channels)
        float64.
    """
    if native.kernels is not None and subtype in ("PCM_24", "PCM_16"):
        return native.kernels.decode(raw, WIDTHS[subtype], channels).T
    if subtype == "PCM_24":
        # Reading each sample as the upper three bytes of an overlapping 32-bit word is twice as fast as unpacking bytes.
        padded = np.frombuffer(b"\0" + raw, np.uint8)
        words = np.ndarray((len(raw) // 3,), "<i4", padded, 0, (3,))
        return _planar(words & np.int32(-256), channels, 2.0**-31)
    if subtype == "PCM_16":
        return _planar(np.frombuffer(raw, "<i2"), channels, 2.0**-15)
    if subtype == "PCM_32":
        return _planar(np.frombuffer(raw, "<i4"), channels, 2.0**-31)
    if subtype == "PCM_U8":
        return _planar(np.frombuffer(raw, np.uint8).astype(np.int16) - 128, channels, 2.0**-7)
    return _planar(np.frombuffer(raw, "<f4" if subtype == "FLOAT" else "<f8"), channels, 1.0)


def _planar(values: np.ndarray, channels: int, scale: float) -> np.ndarray:
    rows = values.reshape(-1, channels).T.astype(np.float64, order="C")
    if scale != 1.0:
        rows *= scale
    return rows.T


def encode(block: np.ndarray, subtype: str) -> bytes | np.ndarray:
    """Turn a block into interleaved data bytes.

    Parameters
    ----------
    block : np.ndarray, shape=(frames, channels)
        int32 for the PCM subtypes, float64 for FLOAT and DOUBLE.
    subtype : str
        A key of `WIDTHS`.

    Returns
    -------
    bytes-like
        The data bytes.
    """
    flat = np.ascontiguousarray(block).reshape(-1)
    if subtype == "PCM_24":
        return _pack_24(flat) if native.kernels is None else native.kernels.pack_24(flat)
    if subtype == "PCM_U8":
        return (flat + 128).astype(np.uint8)
    return flat.astype({"PCM_16": "<i2", "PCM_32": "<i4", "FLOAT": "<f4", "DOUBLE": "<f8"}[subtype])


def _pack_24(flat: np.ndarray) -> np.ndarray:
    """Pack int32 samples into three bytes each: four samples make three 32-bit words."""
    spare = -len(flat) % 4
    padded = np.concatenate([flat, np.zeros(spare, np.int32)]) if spare else flat
    quads = (padded.astype("<i4").view("<u4") & np.uint32(0xFFFFFF)).reshape(-1, 4)
    words = np.empty((len(quads), 3), "<u4")
    words[:, 0] = quads[:, 0] | (quads[:, 1] << np.uint32(24))
    words[:, 1] = (quads[:, 1] >> np.uint32(8)) | (quads[:, 2] << np.uint32(16))
    words[:, 2] = (quads[:, 2] >> np.uint32(16)) | (quads[:, 3] << np.uint32(8))
    return words.reshape(-1).view(np.uint8)[: 3 * len(flat)]
