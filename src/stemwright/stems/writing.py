"""Writing a stem whole or not at all: what every writer shares, and the WAV family byte by byte."""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from typing import TYPE_CHECKING, Self, cast

from stemwright.errors import WriteError
from stemwright.stems import samples, wave

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path
    from types import TracebackType

    import numpy as np
    from typing_extensions import Buffer

    from stemwright.stems.chunks import SideChunk
    from stemwright.stems.info import OutputSpec


class Writer:
    """Takes blocks until it is closed; syncs and checks the whole file, and leaves none behind when anything went wrong.

    Parameters
    ----------
    path : Path
        Must not exist.
    spec : OutputSpec
    frames : int
        How many frames will be written in all.
    """

    def __init__(self, path: Path, spec: OutputSpec, frames: int) -> None:
        self._path = path
        self._spec = spec
        self._frames = frames
        self._written = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        try:
            self._close(complete=kind is None)
            if kind is None:
                self._check()
        except BaseException:
            self._remove()
            raise
        if kind is not None:
            self._remove()

    def write(self, block: np.ndarray) -> None:
        """Append a block, shape (frames, channels): int32 right-aligned for integer subtypes, float64 for float."""
        raise NotImplementedError

    def sha256(self) -> str:
        """Return the SHA-256 of the file's bytes, in hex, once it is closed."""
        with self._path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()

    def _close(self, *, complete: bool) -> None:
        raise NotImplementedError

    def _remove(self) -> None:
        with suppress(OSError):
            self._path.unlink()

    def _frames_on_disk(self) -> int:
        raise NotImplementedError

    def _check(self) -> None:
        found = self._frames_on_disk()
        if self._written != self._frames or found != self._frames:
            raise WriteError(
                f"{self._path.name}: {found} frames on disk, {self._frames} expected; is the disk full or going away?"
            )


class WaveWriter(Writer):
    """WAV, RF64 and BW64, byte by byte: the same samples always make the same file."""

    def __init__(self, path: Path, spec: OutputSpec, frames: int, chunks: Sequence[SideChunk] = ()) -> None:
        super().__init__(path, spec, frames)
        before, self._after = (
            b"".join(wave.chunk_bytes(chunk.id, chunk.payload) for chunk in chunks if chunk.before is side)
            for side in (True, False)
        )
        fmt = wave.format_chunk(spec.subtype, spec.channels, spec.rate_hz, like=spec.like)
        self._file = path.open("xb", buffering=0)
        self._digest = hashlib.sha256()  # nothing is written twice, so that the bytes need not be read again
        form = "RIFF" if spec.container == "WAV" else spec.container
        self._put(wave.header(form, fmt, frames, before=before, after_bytes=len(self._after)))

    def _put(self, data: Buffer) -> None:
        view = memoryview(data).cast("B") if memoryview(data).nbytes else memoryview(b"")
        self._digest.update(view)
        while len(view):
            view = view[self._file.write(view) :]

    def write(self, block: np.ndarray) -> None:
        """Append a block; see `Writer.write`."""
        self._put(cast("Buffer", samples.encode(block, self._spec.subtype)))
        self._written += len(block)

    def _close(self, *, complete: bool) -> None:
        try:
            if complete:
                if self._written * self._spec.channels * samples.WIDTHS[self._spec.subtype] % 2:
                    self._put(b"\0")
                self._put(self._after)
                os.fsync(self._file.fileno())
        finally:
            self._file.close()

    def sha256(self) -> str:
        """Return the SHA-256 of all that was written; see `Writer.sha256`."""
        return self._digest.hexdigest()

    def _frames_on_disk(self) -> int:
        layout = wave.read_layout(self._path)
        return layout.data_bytes // layout.frame_bytes if layout is not None else 0
