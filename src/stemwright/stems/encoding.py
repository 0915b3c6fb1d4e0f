"""Encoding: audio files and clips written, and their libraries asked; with `stems.audio` the only modules that know soundfile.

Conventions
-----------
What is written is float64 for float subtypes, and int32 right-aligned in its word length for integer ones: we quantise,
libsndfile never does. Blocks are ``(frames, channels)``.
"""

from __future__ import annotations

import io
import os
from typing import TYPE_CHECKING, Any

import numpy as np
import soundfile

from stemwright.errors import AudioError, WriteError
from stemwright.stems import samples
from stemwright.stems.audio import probe
from stemwright.stems.chunks import append_aiff
from stemwright.stems.writing import WaveWriter, Writer

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stemwright.stems.chunks import SideChunk
    from stemwright.stems.info import OutputSpec

FLAC_LEVEL = 0.5  # of clips: the size of the default level within a thousandth, in two thirds of its time
_ADD_PEAK_CHUNK = 0x1050  # SFC_SET_ADD_PEAK_CHUNK: the chunk carries the time of day


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
