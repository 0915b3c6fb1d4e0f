"""The chunks of a WAV file: RIFF, RF64 and BW64 layouts read and written byte by byte.

Sources: Microsoft/IBM "Multimedia Programming Interface and Data Specifications" 1.0 (RIFF, WAVE), EBU Tech 3306 (RF64),
ITU-R BS.2088 (BW64). We write WAV ourselves because libsndfile drops most chunks, cuts files at 4 GiB without an error,
and stamps the time of day into float files.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import AudioError
from stemwright.stems.opening import open_file

if TYPE_CHECKING:
    from pathlib import Path
    from typing import BinaryIO

FORMS = (b"RIFF", b"RF64", b"BW64")
RIFF_LIMIT = 0xFFFFFFFF
TAG_PCM = 1
TAG_FLOAT = 3
TAG_EXTENSIBLE = 0xFFFE
SUBTYPES = {
    (TAG_PCM, 8): "PCM_U8",
    (TAG_PCM, 16): "PCM_16",
    (TAG_PCM, 24): "PCM_24",
    (TAG_PCM, 32): "PCM_32",
    (TAG_FLOAT, 32): "FLOAT",
    (TAG_FLOAT, 64): "DOUBLE",
}
SUBFORMAT_TAIL = bytes.fromhex("000000001000800000aa00389b71")


@dataclass(frozen=True)
class Chunk:
    """One chunk: its four-byte id, where its payload starts in the file, and how long it is."""

    id: bytes
    offset: int
    size: int


@dataclass(frozen=True, kw_only=True)
class WaveLayout:
    """What a WAV file says of itself.

    ``promised_bytes`` is the data size in the header, None where the header leaves it open (a stream); ``data_bytes`` is
    how much of it is there. ``subtype`` is None for codecs we leave to libsndfile.
    """

    form: str
    fmt: bytes
    subtype: str | None
    channels: int
    rate_hz: int
    chunks: tuple[Chunk, ...]
    data_offset: int
    data_bytes: int
    promised_bytes: int | None

    @property
    def frame_bytes(self) -> int:
        """Bytes of one frame: all channels of one sample moment."""
        return self.channels * int(struct.unpack_from("<H", self.fmt, 14)[0]) // 8


def read_layout(path: Path) -> WaveLayout | None:
    """Read the layout of a WAV, RF64 or BW64 file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    WaveLayout or None
        None where the file is of another kind.

    Raises
    ------
    AudioError
        If it is one of these kinds but has no usable format or data chunk.
    """
    file_bytes = path.stat().st_size
    with open_file(path) as file:
        head = file.read(12)
        if head[:4] not in FORMS or head[8:12] != b"WAVE":
            return None
        chunks = tuple(_walk(file, file_bytes))
        fmt = _payload(file, chunks, b"fmt ", 1024)
        ds64 = _payload(file, chunks, b"ds64", 28)
    if len(fmt) < 16:
        raise AudioError(f"{path.name}: this WAV has no readable format chunk; ask for the file again")
    data = next((chunk for chunk in chunks if chunk.id == b"data"), None)
    if data is None:
        raise AudioError(f"{path.name}: this WAV has no data chunk, so it holds no audio; ask for the file again")
    tag, channels, rate_hz, _, _, bits = struct.unpack_from("<HHIIHH", fmt)
    if tag == TAG_EXTENSIBLE and len(fmt) >= 40:
        tag = struct.unpack_from("<H", fmt, 24)[0]
    there = max(file_bytes - data.offset, 0)
    promised = _promised(data, ds64, there)
    return WaveLayout(
        form=head[:4].decode("ascii"),
        fmt=fmt,
        subtype=SUBTYPES.get((tag, bits)),
        channels=channels,
        rate_hz=rate_hz,
        chunks=chunks,
        data_offset=data.offset,
        data_bytes=there if promised is None else min(promised, there),
        promised_bytes=promised,
    )


def _promised(data: Chunk, ds64: bytes, there: int) -> int | None:
    if data.size == RIFF_LIMIT:
        # All ones mean "see ds64", or, in a plain RIFF, a recorder that never came back to fill it in.
        return int(struct.unpack_from("<Q", ds64, 8)[0]) if len(ds64) >= 24 else None
    if data.size == 0 and there > 0 and not ds64:
        return None
    return data.size


def _walk(file: BinaryIO, file_bytes: int) -> list[Chunk]:
    """List the chunks in file order; stop at the end, or at data whose size is open."""
    chunks: list[Chunk] = []
    position = 12
    ds64_data: int | None = None
    while position + 8 <= file_bytes and len(chunks) < 10_000:
        file.seek(position)
        name, size = struct.unpack("<4sI", file.read(8))
        chunk = Chunk(name, position + 8, size)
        chunks.append(chunk)
        if name == b"ds64" and size >= 24:
            ds64_data = int(struct.unpack("<QQQ", file.read(24).ljust(24, b"\0"))[1])
        if name == b"data" and size == RIFF_LIMIT:
            if ds64_data is None:
                break
            size = ds64_data
        # Chunks are word aligned; the pad byte is not part of the size.
        position += 8 + size + (size & 1)
    return chunks


def _payload(file: BinaryIO, chunks: tuple[Chunk, ...], name: bytes, limit: int) -> bytes:
    for chunk in chunks:
        if chunk.id == name:
            file.seek(chunk.offset)
            return file.read(min(chunk.size, limit))
    return b""


def format_chunk(subtype: str, channels: int, rate_hz: int, *, like: bytes = b"") -> bytes:
    """Return the payload of a format chunk.

    Parameters
    ----------
    subtype : str
        One of ``SUBTYPES``' values.
    channels, rate_hz : int
        Of the audio.
    like : bytes
        The format chunk as received: an extensible one stays extensible and keeps its speaker mask.

    Returns
    -------
    bytes
        16, 18 or 40 bytes.
    """
    tag, bits = next(key for key, value in SUBTYPES.items() if value == subtype)
    align = channels * bits // 8
    plain = struct.pack("<HHIIHH", tag, channels, rate_hz, rate_hz * align, align, bits)
    if len(like) >= 40 and struct.unpack_from("<H", like)[0] == TAG_EXTENSIBLE:
        mask = struct.unpack_from("<I", like, 20)[0]
        extension = struct.pack("<HHIH", 22, bits, mask, tag) + SUBFORMAT_TAIL
        return struct.pack("<H", TAG_EXTENSIBLE) + plain[2:] + extension
    return plain + struct.pack("<H", 0) if tag == TAG_FLOAT else plain


def header(form: str, fmt: bytes, frames: int, *, before: bytes = b"", after_bytes: int = 0) -> bytes:
    """Return all bytes up to the first sample.

    Parameters
    ----------
    form : str
        ``RIFF``, ``RF64`` or ``BW64``; a RIFF that would pass 4 GiB becomes an RF64.
    fmt : bytes
        Payload of the format chunk.
    frames : int
        Frames to come.
    before : bytes
        Whole chunks (heads and pads included) that stand before the data.
    after_bytes : int
        Size of the whole chunks that will follow the data.

    Returns
    -------
    bytes
        The head of the file, ending with the head of the data chunk.
    """
    align = int(struct.unpack_from("<H", fmt, 12)[0])
    data_bytes = frames * align
    body = chunk_bytes(b"fmt ", fmt)
    if struct.unpack_from("<H", fmt)[0] != TAG_PCM:
        body += chunk_bytes(b"fact", struct.pack("<I", min(frames, RIFF_LIMIT)))
    body += before
    total = 4 + len(body) + 8 + data_bytes + (data_bytes & 1) + after_bytes
    if form == "RIFF" and total <= RIFF_LIMIT:
        return b"RIFF" + struct.pack("<I", total) + b"WAVE" + body + b"data" + struct.pack("<I", data_bytes)
    form = "RF64" if form == "RIFF" else form
    ds64 = chunk_bytes(b"ds64", struct.pack("<QQQI", total + 36, data_bytes, frames, 0))
    return form.encode() + struct.pack("<I", RIFF_LIMIT) + b"WAVE" + ds64 + body + b"data" + struct.pack("<I", RIFF_LIMIT)


def chunk_bytes(name: bytes, payload: bytes) -> bytes:
    """Return a whole chunk: id, size, payload and pad byte."""
    return name + struct.pack("<I", len(payload)) + payload + b"\0" * (len(payload) & 1)
