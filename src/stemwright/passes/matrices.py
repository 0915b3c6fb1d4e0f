"""Matrices: what every stem holds, band by band, heard once and kept by the hash of its file in a place that is safe to delete."""

from __future__ import annotations

import hashlib
import io
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.bands import CENTRES_HZ, BandMeter, powers
from stemwright.dsp.prototypes import magnitude_db
from stemwright.errors import AudioError
from stemwright.stems.audio import probe, read_blocks
from stemwright.stems.opening import read_file_bytes
from stemwright.stems.survey import stamp_of
from stemwright.stems.whole import write_whole

if TYPE_CHECKING:
    from collections.abc import Mapping
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.passes.song import SongFolder
    from stemwright.plan.items import PlannedMove
    from stemwright.stems.survey import Stamp

FOLDER = "heard"  # below passes; all in it is made again when it is missing
VERSION = 1
LARGEST_BYTES = 512 << 20
HEARD_FRAMES = 65536


@dataclass(frozen=True)
class HeardFile:
    """A stem as received, the hash of its bytes, and its stamp when it was hashed; without one it is hashed while it is read."""

    path: Path
    sha256: str
    stamp: Stamp | None = None


def matrices(song: SongFolder, files: Mapping[str, HeardFile], executor: Executor) -> dict[str, np.ndarray]:
    """Return every stem's powers, float64, shape (frames, bands); what was heard before is not heard again.

    Parameters
    ----------
    song : SongFolder
        Where they are kept.
    files : mapping of str to HeardFile
        By stem.
    executor : Executor
        Hears them side by side.

    Raises
    ------
    AudioError
        If one cannot be read, or is no longer the file that was hashed.
    """
    folder = song.passes_dir / FOLDER
    jobs = {stem: executor.submit(_one, file, folder) for stem, file in files.items()}
    return {stem: powers(job.result()).astype(np.float64) for stem, job in jobs.items()}


def kept_matrices(song: SongFolder, hashes: Mapping[str, str]) -> dict[str, np.ndarray] | None:
    """Return what is kept of every stem, by the hash of its file as received; None where any was never heard."""
    found: dict[str, np.ndarray] = {}
    for stem, sha256 in hashes.items():
        matrix = _read(song.passes_dir / FOLDER / f"{sha256}-{VERSION}.npy")
        if matrix is None:
            return None
        found[stem] = powers(matrix).astype(np.float64)
    return found


def _one(file: HeardFile, folder: Path) -> np.ndarray:
    path, place = file.path, folder / f"{file.sha256}-{VERSION}.npy"
    found = _read(place)
    if found is not None:
        return found
    info = probe(path)
    meter = BandMeter(info.rate_hz, info.channels)
    digest = None if file.stamp is not None else hashlib.sha256()
    for block in read_blocks(path, info, HEARD_FRAMES, digest=digest):
        meter.feed(block)
    same = stamp_of(path) == file.stamp if digest is None else digest.hexdigest() == file.sha256
    if not same:  # what is kept under a hash must be of that file
        raise AudioError(f"{path.name}: is no longer the file it was; stemwright prep takes in what changed")
    matrix = meter.finish()
    content = io.BytesIO()
    np.save(content, matrix)
    with suppress(OSError):  # no room, or a folder that may only be read: it is heard again next time
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(place, [content.getvalue()])
    return matrix


def _read(place: Path) -> np.ndarray | None:
    """Return what is kept, None where it is missing or not what we wrote."""
    try:
        found = np.load(io.BytesIO(read_file_bytes(place, LARGEST_BYTES)), allow_pickle=False)
    except (OSError, ValueError, EOFError):
        return None
    fits = found.dtype == np.uint8 and found.ndim == 2 and found.shape[1] == len(CENTRES_HZ)
    return found if fits else None


def as_prepped(power: np.ndarray, moves: tuple[PlannedMove, ...], rate_hz: int) -> np.ndarray:
    """Return what a stem holds after its moves, by their magnitudes; what depends on the sound (dynamics) is passed over.

    Parameters
    ----------
    power : np.ndarray, shape=(frames, bands)
        As received.
    moves : tuple of PlannedMove
    rate_hz : int
        Of the stem, for the places of moves.
    """
    result = power.copy()
    frames = np.rint(np.arange(len(power)) * rate_hz / 100.0).astype(np.int64)
    for move in moves:
        if move.kind in ("compress", "de_ess", "polarity"):
            continue
        if move.kind == "ride":
            if move.points:
                moved = np.interp(frames, [frame for frame, _, _ in move.points], [each for _, _, each in move.points])
                result *= moved[:, np.newaxis] ** 2
            continue
        plain = {key: value for key, value in move.settings.items() if key != "linear_phase"}
        gain_db = (
            np.full(len(CENTRES_HZ), plain["gain_db"]) if move.kind == "gain" else magnitude_db(move.kind, plain, CENTRES_HZ)
        )
        factor = 10.0 ** (gain_db / 10.0)
        if move.only is None:
            result *= factor
            continue
        for start, end in move.only.spans:
            inside = (frames >= start) & (frames < end)
            result[inside] *= factor
    return result
