"""Audition files: each ring as received, lifted, notched and as received again, nothing louder than it came.

The lifted part is how a ring is judged by ear. A narrow lift is where hearing is hurt, so the whole part is lowered until
neither its peak nor its mean level passes that of the same passage as received.
"""

from __future__ import annotations

import os
import shutil
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.cascade import Cascade
from stemwright.dsp.dither import Quantiser
from stemwright.dsp.sections import design, inverse
from stemwright.errors import SongError
from stemwright.stems.audio import read_blocks
from stemwright.stems.encoding import open_writer
from stemwright.stems.info import OutputSpec
from stemwright.stems.leftovers import aside_name, sweep
from stemwright.stems.survey import file_sha256
from stemwright.stems.whole import settle_new

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stemwright.dsp.rings import PlannedNotch
    from stemwright.stems.info import AudioInfo

LIFT_DB = 12.0
PART_S = 3.0
GAP_S = 0.3
FADE_S = 0.01
LONGEST_LABEL = 200  # bytes; most file systems hold names of 255
STEP_S = 0.25  # the passage is looked for in steps of this

CAUTION = (
    "Turn the monitors down before you play these: in the second part of each a narrow band is lifted by 12 dB.\n"
    "Nothing in them is louder than the stem as received, but what was safe for a whole sound may not be for one tone.\n"
    "NIOSH: 85 dBA for 8 hours a day, half the time for every 3 dB more. WHO and ITU-T H.870: 80 dBA for 40 hours a week.\n"
    "If your ears ring or sounds are dull afterwards, stop, and see a doctor or an audiologist."
)


def write_auditions(source: Path, info: AudioInfo, notches: Sequence[PlannedNotch], folder: Path) -> list[Path]:
    """Write one file for each ring.

    Parameters
    ----------
    source : Path
        The stem.
    info : AudioInfo
        From `probe`.
    notches : sequence of PlannedNotch
        What would be done to each ring.
    folder : Path
        Made if it is not there; files in it are never overwritten.

    Returns
    -------
    list of Path
        24-bit WAVs: received, lifted, notched, received; 3 s each, or the whole stem where it is shorter.

    Raises
    ------
    SongError
        If one of the files exists already and is not the same, or the folder cannot be made or written to.

    Whatever goes wrong, either all of the files are there afterwards or none.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SongError(f"{folder}: cannot be made ({error.strerror}); give another folder") from error
    label = source.stem.encode()[:LONGEST_LABEL].decode(errors="ignore")
    names = [f"{label} ring {at} {notch.freq_hz:.0f} Hz.wav" for at, notch in enumerate(notches, 1)]
    building = folder / aside_name("rings")
    sweep([folder])
    settled: list[Path] = []
    try:
        building.mkdir()
        for notch, name in zip(notches, names, strict=True):
            _write(source, info, notch, building / name)
        _refuse_others(building, folder, names)
        for name in names:
            if not (folder / name).exists():  # a run that was killed here may have left some
                settle_new(building / name, folder / name)
                settled.append(folder / name)
    except BaseException as error:
        for path in settled:
            path.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise SongError(f"{folder}: cannot be written ({error.strerror}); nothing of it was left behind") from error
        raise
    finally:
        shutil.rmtree(building, ignore_errors=True)
    return [folder / name for name in names]


def _refuse_others(building: Path, folder: Path, names: Sequence[str]) -> None:
    for name in names:
        there = folder / name
        if os.path.lexists(there) and not (there.is_file() and file_sha256(there) == file_sha256(building / name)):
            raise SongError(f"{there}: is there already, and sounds otherwise; give another folder, or move it away")


def _write(source: Path, info: AudioInfo, notch: PlannedNotch, target: Path) -> None:
    # A bell goes up to a Q of 60, a ring to 80: the lift is what undoes a notch, which reaches further.
    lift = inverse(design("notch", notch.settings() | {"gain_db": -LIFT_DB}, info.rate_hz))
    cut = design("notch", notch.settings(), info.rate_hz)
    received = _passage(source, info, lift)
    lifted, notched = (Cascade(sections, info.channels).process(received) for sections in (lift, cut))
    parts = [received, no_louder(lifted, received), no_louder(notched, received), received]
    gap = np.zeros((round(GAP_S * info.rate_hz), info.channels))
    audio = np.concatenate([piece for part in parts for piece in (_faded(part, info.rate_hz), gap)])
    spec = OutputSpec(container="WAV", subtype="PCM_24", rate_hz=info.rate_hz, channels=info.channels)
    with open_writer(target, spec, len(audio)) as writer:
        writer.write(Quantiser(24, 0).process(audio).samples)


def no_louder(audio: np.ndarray, than: np.ndarray) -> np.ndarray:
    """Return the audio lowered until neither its peak nor its mean power exceeds the other's."""
    ratios = [1.0]
    for mine, theirs in ((_peak(audio), _peak(than)), (_rms(audio), _rms(than))):
        if mine > theirs:
            ratios.append(theirs / mine)
    return audio * min(ratios)


def _peak(audio: np.ndarray) -> float:
    return float(np.abs(audio).max(initial=0.0))


def _rms(audio: np.ndarray) -> float:
    return float(np.sqrt(np.mean(np.square(audio)))) if audio.size else 0.0


def _passage(source: Path, info: AudioInfo, lift: np.ndarray) -> np.ndarray:
    """Return the passage in which the ring sounds most: where the lift adds most energy."""
    step = max(round(STEP_S * info.rate_hz), 1)
    steps = round(PART_S / STEP_S)
    cascade = Cascade(lift, info.channels)
    added = [float(np.square(cascade.process(block) - block).sum()) for block in read_blocks(source, info, step)]
    sums = np.convolve(added, np.ones(steps), mode="valid") if len(added) >= steps else np.zeros(1)
    first = int(np.argmax(sums)) * step
    frames = min(steps * step, info.frames - first)
    # Read again rather than kept: a stem may be an hour long.
    kept, at = [], 0
    for block in read_blocks(source, info, step):
        if at >= first + frames:
            break
        if at >= first:
            kept.append(block)
        at += len(block)
    return np.concatenate(kept)[:frames]


def _faded(part: np.ndarray, rate_hz: int) -> np.ndarray:
    fade = min(round(FADE_S * rate_hz), len(part) // 2)
    ramp = np.ones(len(part))
    ramp[:fade] = np.linspace(0.0, 1.0, fade, endpoint=False)
    ramp[len(part) - fade :] = ramp[:fade][::-1]
    return part * ramp[:, np.newaxis]
