"""Container metadata: what stands beside the audio in a WAV or AIFF, read whole so that it can go along with the audio.

Sources: Microsoft/IBM "Multimedia Programming Interface" 1.0 and its 1994 additions (RIFF chunks, ``cue ``, ``smpl``, ``plst``,
``ltxt``), EBU Tech 3285 v2 (``bext``), EBU R 98 (coding history), Apple AIFF 1.3 (``MARK``, ``INST``, ``COMT``). What we do not
know goes along untouched, in the order and on the side of the audio where it stood.
"""

from __future__ import annotations

import re
import struct
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.stems import wave
from stemwright.stems.opening import open_file

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from stemwright.stems.info import AudioInfo, OutputSpec

# They describe the samples or the layout of one file, so each file written gets its own; PEAK carries the time of day.
OURS = frozenset({b"fmt ", b"data", b"fact", b"ds64", b"PEAK", b"JUNK", b"junk", b"PAD ", b"FLLR", b"slnt", b"wavl"})
OURS_AIFF = frozenset({b"COMM", b"SSND", b"FVER", b"PEAK"})
MOST_BYTES = 64 << 20  # held in memory while the file is written
AIFF_FORMS = (b"AIFF", b"AIFC")
BEXT_FIXED = 602  # bytes before the coding history (Tech 3285: 256+32+32+10+8+8+2+64+10+180)
BEXT_TIME = 338
BEXT_VERSION = 346
BEXT_LOUDNESS = 412
LOUDNESS_UNKNOWN = struct.pack("<h", 0x7FFF) * 5  # Tech 3285 v2: not used


@dataclass(frozen=True)
class SideChunk:
    """One chunk to go along: its id, its payload, and whether it stood before the audio."""

    id: bytes
    payload: bytes
    before: bool


def read_kept(path: Path, info: AudioInfo) -> tuple[list[SideChunk], list[str]]:
    """Read the chunks of a stem that are to survive.

    Parameters
    ----------
    path : Path
        The file that `info` was read from.
    info : AudioInfo
        From `probe`.

    Returns
    -------
    chunks, too_large : list of SideChunk, list of str
        In file order, and the ids of those that are too large to be held.
    """
    if info.wave is not None:
        places = [chunk for chunk in info.wave.chunks if chunk.id not in OURS]
        data_at = info.wave.data_offset
    elif info.container == "AIFF":
        every = _aiff_chunks(path)
        places = [chunk for chunk in every if chunk.id not in OURS_AIFF]
        data_at = next((chunk.offset for chunk in every if chunk.id == b"SSND"), 0)
    else:
        return [], []
    kept: list[SideChunk] = []
    too_large: list[str] = []
    left = MOST_BYTES
    with open_file(path) as file:
        for place in places:
            file.seek(place.offset)
            payload = file.read(place.size) if place.size <= left else b""
            if len(payload) < place.size:
                too_large.append(place.id.decode("latin-1"))
                continue
            left -= place.size
            kept.append(SideChunk(place.id, payload, place.offset < data_at))
    return kept, too_large


def _aiff_chunks(path: Path) -> list[wave.Chunk]:
    chunks: list[wave.Chunk] = []
    size = path.stat().st_size
    with open_file(path) as file:
        head = file.read(12)
        if head[:4] != b"FORM" or head[8:12] not in AIFF_FORMS:
            return []
        position = 12
        while position + 8 <= size and len(chunks) < 10_000:
            file.seek(position)
            name, length = struct.unpack(">4sI", file.read(8))
            chunks.append(wave.Chunk(name, position + 8, length))
            position += 8 + length + (length & 1)
    return chunks


def append_aiff(path: Path, chunks: Sequence[SideChunk]) -> None:
    """Add chunks after the sound of a finished AIFF file; their order is free there (AIFF 1.3)."""
    if not chunks:
        return
    with path.open("r+b") as file:
        end = file.seek(0, 2)
        added = b"\0" * (end & 1)
        for chunk in chunks:
            added += chunk.id + struct.pack(">I", len(chunk.payload)) + chunk.payload + b"\0" * (len(chunk.payload) & 1)
        file.write(added)
        file.seek(4)
        file.write(struct.pack(">I", end + len(added) - 8))


def for_output(kept: list[SideChunk], info: AudioInfo, spec: OutputSpec) -> list[SideChunk]:
    """Return the chunks as the written file needs them.

    Parameters
    ----------
    kept : list of SideChunk
        From `read_kept`.
    info : AudioInfo
        The stem as received.
    spec : OutputSpec
        The file to be written; places in samples follow its rate.

    Returns
    -------
    list of SideChunk
        Empty where the container cannot hold them (`lost` names them then).
    """
    if not _same_family(info, spec):
        return []
    ratio = spec.rate_hz / info.rate_hz
    return [replace(chunk, payload=_rewritten(chunk, ratio, spec)) for chunk in kept]


def lost(kept: list[SideChunk], info: AudioInfo, spec: OutputSpec) -> list[str]:
    """Return the ids of chunks that the written file's container cannot hold."""
    if _same_family(info, spec):
        return []
    return list(dict.fromkeys(chunk.id.decode("latin-1").strip() for chunk in kept))


def _same_family(info: AudioInfo, spec: OutputSpec) -> bool:
    family = ("WAV", "RF64", "BW64")
    return (info.wave is not None and spec.container in family) or (info.container == spec.container == "AIFF")


def _rewritten(chunk: SideChunk, ratio: float, spec: OutputSpec) -> bytes:
    if chunk.id == b"bext":
        return _bext(chunk.payload, ratio, spec)
    if ratio == 1.0:
        return chunk.payload
    change = RESCALED.get(chunk.id)
    if change is None:
        return chunk.payload
    try:
        return change(chunk.payload, ratio, spec)
    except struct.error:
        return chunk.payload  # a chunk shorter than it says: better passed on as it is than lost


def _bext(payload: bytes, ratio: float, spec: OutputSpec) -> bytes:
    """Keep the time reference (in samples, so it follows the rate) and add one line of coding history."""
    if len(payload) < BEXT_FIXED:
        return payload
    fixed = bytearray(payload[:BEXT_FIXED])
    if ratio != 1.0:
        struct.pack_into("<Q", fixed, BEXT_TIME, round(struct.unpack_from("<Q", fixed, BEXT_TIME)[0] * ratio))
    if struct.unpack_from("<H", fixed, BEXT_VERSION)[0] >= 2:
        fixed[BEXT_LOUDNESS : BEXT_LOUDNESS + len(LOUDNESS_UNKNOWN)] = LOUDNESS_UNKNOWN  # it was measured before the moves
    history = payload[BEXT_FIXED:].rstrip(b"\0")
    if history and not history.endswith(b"\r\n"):
        history = history.rstrip(b"\r\n") + b"\r\n"
    return bytes(fixed) + history + history_line(spec)


def history_line(spec: OutputSpec) -> bytes:
    """Return our line of coding history as EBU R 98 has it; nothing in it differs between two runs."""
    mode = {1: ",M=mono", 2: ",M=stereo"}.get(spec.channels, "")  # R 98 has no word for more channels
    return (
        f"A=PCM,F={spec.rate_hz},W={spec.bits or (64 if spec.subtype == 'DOUBLE' else 32)}{mode},T=stemwright\r\n".encode()
    )


def _cue(payload: bytes, ratio: float, _: OutputSpec) -> bytes:
    out = bytearray(payload)
    for number in range(min(struct.unpack_from("<I", out)[0], (len(out) - 4) // 24)):
        for offset in (4, 20):  # dwPosition, dwSampleOffset
            _scale(out, "<I", 4 + 24 * number + offset, ratio)
    return bytes(out)


def _smpl(payload: bytes, ratio: float, _: OutputSpec) -> bytes:
    out = bytearray(payload)
    _scale(out, "<I", 8, 1.0 / ratio)  # the sample period in nanoseconds
    for number in range(min(struct.unpack_from("<I", out, 28)[0], (len(out) - 36) // 24)):
        for offset in (8, 12):  # a loop's start and end
            _scale(out, "<I", 36 + 24 * number + offset, ratio)
    return bytes(out)


def _plst(payload: bytes, ratio: float, _: OutputSpec) -> bytes:
    out = bytearray(payload)
    for number in range(min(struct.unpack_from("<I", out)[0], (len(out) - 4) // 12)):
        _scale(out, "<I", 4 + 12 * number + 4, ratio)
    return bytes(out)


def _list(payload: bytes, ratio: float, _: OutputSpec) -> bytes:
    """Scale the lengths of labelled regions (``ltxt`` in an ``adtl`` list); all else stays."""
    out = bytearray(payload)
    position = 4
    while out[:4] == b"adtl" and position + 8 <= len(out):
        name, size = struct.unpack_from("<4sI", out, position)
        if name == b"ltxt" and size >= 8 and position + 16 <= len(out):
            _scale(out, "<I", position + 12, ratio)
        position += 8 + size + (size & 1)
    return bytes(out)


def _ixml(payload: bytes, ratio: float, spec: OutputSpec) -> bytes:
    """Say the new rate where iXML says the old one, and scale the samples since midnight."""
    rate = str(spec.rate_hz).encode()
    text = re.sub(rb"(<(?:FILE_SAMPLE_RATE|TIMESTAMP_SAMPLE_RATE)>)\s*\d+\s*(?=<)", rb"\g<1>" + rate, payload)
    halves = [re.search(rb"<TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_" + half + rb">\s*(\d+)\s*<", text) for half in (b"HI", b"LO")]
    if halves[0] is None or halves[1] is None:
        return text
    samples = round(((int(halves[0][1]) << 32) + int(halves[1][1])) * ratio)
    for half, value in ((b"HI", samples >> 32), (b"LO", samples & 0xFFFFFFFF)):
        tag = b"TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_" + half
        text = re.sub(rb"(<" + tag + rb">)\s*\d+\s*(?=<)", rb"\g<1>" + str(value).encode(), text)
    return text


def _mark(payload: bytes, ratio: float, _: OutputSpec) -> bytes:
    out = bytearray(payload)
    position = 2
    for _number in range(struct.unpack_from(">H", out)[0]):
        _scale(out, ">I", position + 2, ratio)
        length = out[position + 6] if position + 6 < len(out) else 0
        position += 7 + length + (1 - length & 1)  # a Pascal string, padded to an even length with its count byte
    return bytes(out)


def _scale(out: bytearray, form: str, offset: int, ratio: float) -> None:
    struct.pack_into(form, out, offset, min(round(struct.unpack_from(form, out, offset)[0] * ratio), 0xFFFFFFFF))


RESCALED: dict[bytes, Callable[[bytes, float, OutputSpec], bytes]] = {
    b"cue ": _cue,
    b"smpl": _smpl,
    b"plst": _plst,
    b"LIST": _list,
    b"iXML": _ixml,
    b"MARK": _mark,
}
