"""Audio files read, block by block; with `stems.encoding` the only modules that know soundfile.

Conventions
-----------
Blocks are ``(frames, channels)`` float64, full scale 1.0.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import soundfile

from stemwright.errors import AudioError
from stemwright.stems import samples, wave
from stemwright.stems.info import LOSSLESS_CONTAINERS, LOSSY_SUBTYPES, AudioInfo, bits_of
from stemwright.stems.limits import CONTAINERS, MOST_CHANNELS, MOST_FRAMES, RATES_HZ
from stemwright.stems.opening import open_raw, require_regular

if TYPE_CHECKING:
    import io
    from collections.abc import Iterator
    from hashlib import _Hash as Hash
    from pathlib import Path


BLOCK_FRAMES = 65536
HASH_BYTES = 1 << 18


def probe(path: Path) -> AudioInfo:
    """Read the header of an audio file.

    Parameters
    ----------
    path : Path
        A regular file.

    Returns
    -------
    AudioInfo

    Raises
    ------
    AudioError
        If the file is empty, not audio, unreadable, or of a rate or channel count beyond reason.
    """
    try:
        info = _probe(path)
    except OSError as error:
        raise AudioError(f"{path.name}: cannot be opened ({error.strerror}); check its permissions") from error
    if not RATES_HZ[0] <= info.rate_hz <= RATES_HZ[1]:
        raise AudioError(
            f"{path.name}: its header says {info.rate_hz} Hz; {RATES_HZ[0]} to {RATES_HZ[1]} Hz can be worked on; "
            "ask for the file again"
        )
    if not 1 <= info.channels <= MOST_CHANNELS:
        raise AudioError(
            f"{path.name}: its header says {info.channels} channels; 1 to {MOST_CHANNELS} can be worked on; "
            "split it, or ask for the file again"
        )
    if info.container not in CONTAINERS:
        raise AudioError(f"{path.name}: a {info.container} file under this name; ask for a WAV, AIFF or FLAC")
    if info.frames > MOST_FRAMES:
        raise AudioError(f"{path.name}: its header says {info.frames} frames, more than a day; ask for the file again")
    return info


def _probe(path: Path) -> AudioInfo:
    if require_regular(path).st_size == 0:
        raise AudioError(f"{path.name}: the file is empty (0 bytes); ask for it again")
    layout = wave.read_layout(path)
    if layout is not None and layout.subtype is not None:
        return _from_layout(path, layout)
    try:
        with soundfile.SoundFile(path) as file:
            frames, rate_hz, channels = file.frames, file.samplerate, file.channels
            container, subtype = file.format.removesuffix("EX"), file.subtype
    except (soundfile.SoundFileError, TypeError) as error:
        reason = str(getattr(error, "error_string", error)).strip().rstrip(".")
        raise AudioError(f"{path.name}: not readable as audio ({reason}); ask for the file again") from error
    return AudioInfo(
        container=container,
        subtype=subtype,
        rate_hz=rate_hz,
        channels=channels,
        frames=frames,
        promised_frames=frames,
        bits=bits_of(subtype),
        lossy=container not in LOSSLESS_CONTAINERS or any(mark in subtype for mark in LOSSY_SUBTYPES),
        wave=layout,
    )


def _from_layout(path: Path, layout: wave.WaveLayout) -> AudioInfo:
    assert layout.subtype is not None  # noqa: S101 - the caller looked
    align = layout.channels * samples.WIDTHS[layout.subtype]
    if align == 0 or layout.frame_bytes != align:
        raise AudioError(f"{path.name}: its format chunk contradicts itself (0 channels or odd widths); ask for it again")
    promised = layout.data_bytes if layout.promised_bytes is None else layout.promised_bytes
    return AudioInfo(
        container={"RIFF": "WAV"}.get(layout.form, layout.form),
        subtype=layout.subtype,
        rate_hz=layout.rate_hz,
        channels=layout.channels,
        frames=layout.data_bytes // align,
        promised_frames=promised // align,
        bits=bits_of(layout.subtype),
        lossy=False,
        wave=layout,
    )


def read_blocks(path: Path, info: AudioInfo, frames: int = BLOCK_FRAMES, digest: Hash | None = None) -> Iterator[np.ndarray]:
    """Yield the audio of a file in blocks.

    Parameters
    ----------
    path : Path
        The file that `info` was read from.
    info : AudioInfo
        From `probe`.
    frames : int
        Frames in a block; the last one may be shorter.
    digest : hash, optional
        Has taken in every byte of the file, in order, once the last block is through. WAV is read only once for both.

    Yields
    ------
    np.ndarray, shape=(frames, channels)
        float64.

    Raises
    ------
    AudioError
        If the audio cannot be decoded or ends before ``info.frames``.
    """
    done = 0
    for block in _native(path, info, frames, digest=digest) if _is_native(info) else _decoded(path, frames):
        done += len(block)
        yield block
    if digest is not None and not _is_native(info):
        with open_raw(path) as file:
            _take_in(file, None, digest)
    if done < info.frames:
        raise AudioError(
            f"{path.name}: the audio ends after {done} of {info.frames} frames; the file is damaged, ask for it again"
        )


def read_span(path: Path, info: AudioInfo, start: int, frames: int) -> np.ndarray:
    """Return a stretch of a file without reading what comes before it, where the container allows that.

    Parameters
    ----------
    path : Path
        The file that `info` was read from.
    info : AudioInfo
        From `probe`.
    start, frames : int
        Where the stretch starts and how long it is; it is cut at the end of the file.

    Returns
    -------
    np.ndarray, shape=(frames, channels)
        float64.

    Raises
    ------
    AudioError
        If the audio cannot be decoded or ends before the stretch does.
    """
    start = min(max(start, 0), info.frames)
    frames = min(frames, info.frames - start)
    if frames <= 0:
        return np.zeros((0, info.channels))
    if _is_native(info):
        found = next(_native(path, info, frames, start), np.zeros((0, info.channels)))
    else:
        found = _decoded_span(path, info, start, frames)
    if len(found) < frames:
        raise AudioError(f"{path.name}: the audio ends before frame {start + frames}; the file is damaged, ask for it again")
    return found


def _decoded_span(path: Path, info: AudioInfo, start: int, frames: int) -> np.ndarray:
    if info.lossy:
        # Decoders of lossy streams may land a little off after a seek; reading up to the place never does.
        parts, done = [], 0
        for block in _decoded(path, BLOCK_FRAMES):
            parts.append(block[max(start - done, 0) : max(start + frames - done, 0)])
            done += len(block)
            if done >= start + frames:
                break
        return np.concatenate(parts) if parts else np.zeros((0, info.channels))
    try:
        with soundfile.SoundFile(path) as file:
            file.seek(start)
            return np.asarray(file.read(frames, dtype="float64", always_2d=True))
    except soundfile.SoundFileError as error:
        reason = str(getattr(error, "error_string", error)).strip().rstrip(".")
        raise AudioError(f"{path.name}: decoding stopped ({reason}); ask for the file again") from error


def _is_native(info: AudioInfo) -> bool:
    return info.wave is not None and info.wave.subtype is not None


def _native(path: Path, info: AudioInfo, frames: int, start: int = 0, *, digest: Hash | None = None) -> Iterator[np.ndarray]:
    assert info.wave is not None  # noqa: S101
    align = info.channels * samples.WIDTHS[info.subtype]
    left = (info.frames - start) * align
    with open_raw(path) as file:
        if digest is None:
            file.seek(info.wave.data_offset + start * align)
        else:
            _take_in(file, info.wave.data_offset, digest)
        raw = bytearray(min(frames * align, left))
        while left:
            if left < len(raw):
                raw = bytearray(left)
            if not _filled(file, raw):
                return
            if digest is not None:
                digest.update(raw)
            left -= len(raw)
            yield samples.decode(raw, info.subtype, info.channels)
        if digest is not None:
            _take_in(file, None, digest)


def _filled(file: io.FileIO, raw: bytearray) -> bool:
    """Fill a buffer from a file; False where the file ends before that."""
    filled = 0
    while filled < len(raw):
        count = file.readinto(memoryview(raw)[filled:])
        if not count:
            return False
        filled += count
    return True


def _take_in(file: io.FileIO, count: int | None, digest: Hash) -> None:
    """Put the next bytes of a file into a digest; all that are left for None."""
    while (count is None or count > 0) and (part := file.read(HASH_BYTES if count is None else min(count, HASH_BYTES))):
        digest.update(part)
        count = None if count is None else count - len(part)


def _decoded(path: Path, frames: int) -> Iterator[np.ndarray]:
    try:
        with soundfile.SoundFile(path) as file:
            while len(block := file.read(frames, dtype="float64", always_2d=True)):
                yield block
    except soundfile.SoundFileError as error:
        reason = str(getattr(error, "error_string", error)).strip().rstrip(".")
        raise AudioError(f"{path.name}: decoding stopped ({reason}); ask for the file again") from error
