"""Marks: what container metadata says of time and tempo, read without trusting it."""

from __future__ import annotations

import math
import re
import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.stems.chunks import BEXT_FIXED, BEXT_TIME, read_kept

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.stems.info import AudioInfo

TEMPO_BPM = (20.0, 999.0)


@dataclass(frozen=True, kw_only=True)
class Marks:
    """``time_reference`` in samples since midnight, ``tempo_bpm`` and ``beats`` of the file, ``chunks`` in file order.

    ``surplus_bytes`` follow the last chunk the header speaks of; ``open_header`` is one that leaves the length open.
    """

    time_reference: int | None = None
    tempo_bpm: float | None = None
    beats: int | None = None
    chunks: tuple[str, ...] = ()
    surplus_bytes: int = 0
    open_header: bool = False


def read_marks(path: Path, info: AudioInfo) -> Marks:
    """Read the marks of a stem.

    Parameters
    ----------
    path : Path
        The file that `info` was read from.
    info : AudioInfo
        From `probe`.

    Returns
    -------
    Marks
        What is damaged or absurd is left out.

    Raises
    ------
    OSError
        If the file cannot be read.
    """
    kept, _ = read_kept(path, info)
    time_reference: int | None = None
    tempo_bpm: float | None = None
    beats: int | None = None
    for chunk in kept:
        if chunk.id == b"bext" and len(chunk.payload) >= BEXT_FIXED:
            time_reference = int(struct.unpack_from("<Q", chunk.payload, BEXT_TIME)[0])
        elif chunk.id == b"acid" and len(chunk.payload) >= 24:
            tempo_bpm = tempo_bpm or _tempo(struct.unpack_from("<f", chunk.payload, 20)[0])
            beats = struct.unpack_from("<I", chunk.payload, 12)[0] or None
        elif chunk.id == b"iXML":
            found = re.search(rb"<TEMPO>\s*([0-9.]{1,12})\s*</TEMPO>", chunk.payload, re.IGNORECASE)
            tempo_bpm = tempo_bpm or (_tempo(_number(found[1])) if found else None)
    surplus = _surplus(path.stat().st_size, info)
    return Marks(
        # A time reference of 0 is what a recorder without a clock writes.
        time_reference=time_reference or None,
        tempo_bpm=tempo_bpm,
        beats=beats,
        chunks=tuple(chunk.id.decode("latin-1").strip() for chunk in kept),
        surplus_bytes=surplus,
        open_header=info.wave is not None and info.wave.promised_bytes is None,
    )


def _number(text: bytes) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


def _tempo(value: float) -> float | None:
    return value if TEMPO_BPM[0] <= value <= TEMPO_BPM[1] else None


def _surplus(file_bytes: int, info: AudioInfo) -> int:
    """Return how many bytes lie after the last chunk with a plausible id, at least a frame of them, else 0."""
    layout = info.wave
    if layout is None or layout.promised_bytes is None:
        return 0
    end = 0
    for chunk in layout.chunks:
        if chunk.offset > layout.data_offset and not chunk.id.isascii():
            break
        if chunk.offset > layout.data_offset and not chunk.id.decode("ascii").isprintable():
            break
        size = layout.promised_bytes if chunk.offset == layout.data_offset else chunk.size
        end = max(end, chunk.offset + size + (size & 1))
    return max(file_bytes - end, 0) if file_bytes - end >= max(layout.frame_bytes, 8) else 0
