"""Audio files in and out, block by block; the only module that knows soundfile.

Conventions
-----------
Blocks are ``(frames, channels)`` float64, full scale 1.0. What is written is float64 for float subtypes, and int32
right-aligned in its word length for integer ones: we quantise, libsndfile never does.
"""

from __future__ import annotations

import io
import os
from typing import TYPE_CHECKING, Any

import numpy as np
import soundfile

from stemwright.errors import AudioError, WriteError
from stemwright.stems import samples, wave
from stemwright.stems.chunks import append_aiff
from stemwright.stems.info import LOSSLESS_CONTAINERS, LOSSY_SUBTYPES, AudioInfo, OutputSpec, bits_of
from stemwright.stems.limits import CONTAINERS, MOST_CHANNELS, MOST_FRAMES, RATES_HZ
from stemwright.stems.opening import open_raw, require_regular
from stemwright.stems.writing import WaveWriter, Writer

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from hashlib import _Hash as Hash
    from pathlib import Path

    from stemwright.stems.chunks import SideChunk

BLOCK_FRAMES = 65536
HASH_BYTES = 1 << 18
FLAC_LEVEL = 0.5  # of clips: the size of the default level within a thousandth, in two thirds of its time
_ADD_PEAK_CHUNK = 0x1050  # SFC_SET_ADD_PEAK_CHUNK: the chunk carries the time of day


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


def flac_clip(audio: np.ndarray, rate_hz: int) -> bytes:
    """Return a short piece of audio as the bytes of a 24-bit FLAC.

    Parameters
    ----------
    audio : np.ndarray, shape=(frames, channels)
        int32 right-aligned, 24 bits.
    rate_hz : int

    Raises
    ------
    AudioError
        If libsndfile here cannot write that form.
    """
    target = io.BytesIO()
    try:
        soundfile.write(target, audio << 8, rate_hz, "PCM_24", format="FLAC", compression_level=FLAC_LEVEL)
    except (soundfile.SoundFileError, ValueError, TypeError) as error:
        raise AudioError(
            f"an excerpt cannot be written as FLAC ({error}); leave out --lossless, or use --no-audio"
        ) from error
    return target.getvalue()


def decode_clip(data: bytes) -> np.ndarray:
    """Return a clip's samples, float64 of shape (frames, channels)."""
    try:
        return np.asarray(soundfile.read(io.BytesIO(data), dtype="float64", always_2d=True)[0])
    except soundfile.SoundFileError as error:
        raise AudioError(f"an excerpt cannot be decoded again ({error}); use --lossless, or --no-audio") from error


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


def open_writer(path: Path, spec: OutputSpec, frames: int, chunks: Sequence[SideChunk] = ()) -> Writer:
    """Open a new file for `frames` frames; entering and leaving it writes, syncs and checks the whole file.

    Parameters
    ----------
    path : Path
        Must not exist.
    spec : OutputSpec
    frames : int
        How many frames will be written in all.
    chunks : sequence of SideChunk
        Container metadata to go along, as this container has it; only WAV and AIFF hold any.

    Raises
    ------
    WriteError
        From ``write`` or on leaving, if the file cannot be written or holds another number of frames; it is removed.
    """
    if spec.container in ("WAV", "RF64", "BW64") and spec.subtype in samples.WIDTHS:
        return WaveWriter(path, spec, frames, chunks)
    return _LibraryWriter(path, spec, frames, chunks)


class _LibraryWriter(Writer):
    """AIFF, FLAC, CAF, W64 and AU through libsndfile, given integers that fill its 16- or 32-bit words exactly."""

    def __init__(self, path: Path, spec: OutputSpec, frames: int, chunks: Sequence[SideChunk] = ()) -> None:
        super().__init__(path, spec, frames)
        self._chunks = chunks if spec.container == "AIFF" else ()
        # The file is claimed by us first, so that an existing one is never overwritten.
        path.open("xb").close()
        try:
            self._file: Any = soundfile.SoundFile(
                path, "w", spec.rate_hz, spec.channels, spec.subtype, format=spec.container
            )
        except soundfile.SoundFileError as error:
            self._remove()
            raise WriteError(f"{path.name}: cannot be written as {spec.container} {spec.subtype} ({error})") from error
        if spec.bits is None:
            soundfile._snd.sf_command(self._file._file, _ADD_PEAK_CHUNK, soundfile._ffi.NULL, 0)  # noqa: SLF001 - no public way

    def write(self, block: np.ndarray) -> None:
        bits = self._spec.bits
        if bits is None:
            data = block
        elif bits <= 16:
            data = (block << (16 - bits)).astype(np.int16)
        else:
            data = block << (32 - bits)
        try:
            self._file.write(np.ascontiguousarray(data))
        except soundfile.SoundFileError as error:
            raise WriteError(f"{self._path.name}: writing stopped ({error}); is the disk full?") from error
        self._written += len(block)

    def _close(self, *, complete: bool) -> None:
        try:
            self._file.close()
        except soundfile.SoundFileError as error:
            raise WriteError(f"{self._path.name}: closing failed ({error}); is the disk full?") from error
        if complete:
            try:
                append_aiff(self._path, self._chunks)
                with self._path.open("rb") as file:
                    os.fsync(file.fileno())
            except OSError as error:
                raise WriteError(f"{self._path.name}: closing failed ({error.strerror}); is the disk full?") from error

    def _frames_on_disk(self) -> int:
        return probe(self._path).frames if self._frames else 0


def libsndfile_version() -> str:
    """Return the version of the libsndfile that soundfile loaded."""
    return str(soundfile.__libsndfile_version__)
