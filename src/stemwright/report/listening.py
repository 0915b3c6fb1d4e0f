"""What is heard of one stem: its excerpts, side by side, at the levels they have in the beat, small enough to be embedded.

Conventions
-----------
Audio is ``(frames, channels)``, full scale 1.0. Clips hold the sound as it is (lowered alike where a side would not fit into
the file), and the gains that bring sides to one loudness stand beside them: nothing is ever raised, no side is louder than it
was, none peaks higher than the stem as received.
"""

from __future__ import annotations

import base64
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.dither import Quantiser
from stemwright.dsp.loudness import LevelMeter
from stemwright.dsp.pedals import mp3
from stemwright.errors import AudioError
from stemwright.report.differences import magnitude_change
from stemwright.stems.audio import probe, read_span
from stemwright.stems.encoding import decode_clip, flac_clip
from stemwright.stems.names import side_of
from stemwright.stems.resample import Resampler

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from stemwright.report.excerpt import Excerpt
    from stemwright.report.kept import KeptStem
    from stemwright.stems.info import AudioInfo

FADE_S = 0.01
MOST_RATE_HZ = 48_000  # of a clip that is not asked to be lossless; browsers play at 44.1 or 48 kHz anyhow
SEED = 1  # the same for all sides, so that the same sound gives the same clip
FITS = 0.9  # a lossy coder may come out a little higher than what it was given
SILENT = 10.0 ** (-90.0 / 20.0)
FORMS = {"mp3": "audio/mpeg", "flac24": "audio/flac"}
DIFFERENCE = "V7"


@dataclass(frozen=True)
class Clip:
    """An encoded stretch of one side. ``data`` is base64."""

    side: str
    excerpt: int
    data: bytes


@dataclass(frozen=True)
class Matched:
    """How sides were brought to one loudness: gain of each in dB, 0 or below; by ``LUFS``, ``RMS`` or not at all (silence)."""

    gains_db: dict[str, float]
    by: str


Heard = tuple[
    list[Clip], list[dict[str, np.ndarray]], float
]  # clips, each excerpt's sides as they will sound, their scale in dB


@dataclass(frozen=True, kw_only=True)
class HearJob:
    """One stem's files by side (``received`` first), which side ``this`` is compared with, and the stretches to hear.

    ``of`` are the files' hashes; ``quality`` is the MP3's; ``paired``: the file is one side of a left/right pair, and sounds
    there. ``kept`` are the clips of an earlier page, of the same files and stretches.
    """

    stem: str
    files: dict[str, Path]
    of: dict[str, str]
    before: str
    excerpts: tuple[Excerpt, ...]
    rate_hz: int
    form: str
    quality: str
    paired: bool
    kept: KeptStem | None = None


@dataclass(frozen=True, kw_only=True)
class HeardStem:
    """All there is to hear of a stem.

    ``of`` is its name and its files' hashes, ``scale_db`` is what its clips were lowered by, ``matched`` the gains for each
    excerpt, ``folded`` how many channels were brought down to their mean (0: none were). ``sounds`` are the excerpts' sides as
    float32, for the sum of the beat.
    """

    of: dict[str, str]
    scale_db: float
    matched: tuple[Matched, ...]
    clips: tuple[Clip, ...]
    folded: int
    sounds: tuple[dict[str, np.ndarray], ...]


def hear(job: HearJob) -> HeardStem:
    """Read, match and encode a stem's excerpts.

    Parameters
    ----------
    job : HearJob

    Returns
    -------
    HeardStem
    """
    infos = {side: probe(path) for side, path in job.files.items()}
    again = _again(job) if job.kept is not None else None
    clips, played, scale_db = _cut_and_encoded(job, infos) if again is None else again
    return HeardStem(
        of=made_of(job),
        scale_db=scale_db,
        matched=tuple(match(sides, job.rate_hz, "received") for sides in played),
        clips=tuple(clips),
        folded=infos["received"].channels if infos["received"].channels > 2 else 0,
        sounds=tuple({side: audio.astype(np.float32) for side, audio in sides.items()} for sides in played),
    )


def made_of(job: HearJob) -> dict[str, str]:
    """Return what a stem's clips are of: its name, whether it sounds on one side, and the hashes of its files by side."""
    return {"stem": job.stem, "paired": "yes" if job.paired else "no", **job.of}


def _again(job: HearJob) -> Heard | None:
    """Return the clips of an earlier page and what they sound like; None where one is missing, as of silence, or damaged."""
    assert job.kept is not None  # noqa: S101 - the caller has looked
    clips, played = [], []
    try:
        for number, excerpt in enumerate(job.excerpts):
            heard = {}
            frames = round(excerpt.seconds * job.rate_hz)
            for side in job.files:
                data = job.kept.clips[side, number]
                clips.append(Clip(side, number, data))
                heard[side] = _decoded(base64.b64decode(data, validate=True), frames, job.kept.scale_db)
            played.append(heard)
    except (AudioError, ValueError, KeyError):
        return None
    return clips, played, job.kept.scale_db


def _decoded(data: bytes, frames: int, scale_db: float) -> np.ndarray:
    """Return what is heard of a clip at its own level."""
    return np.asarray(decode_clip(data)[:frames] / 10.0 ** (scale_db / 20.0))


def _cut_and_encoded(job: HearJob, infos: dict[str, AudioInfo]) -> Heard:
    sounds = []
    for excerpt in job.excerpts:
        frames = round(excerpt.seconds * job.rate_hz)
        read = {side: read_excerpt(path, infos[side], excerpt, job.rate_hz) for side, path in job.files.items()}
        sounds.append({side: _placed(to_stereo(audio), frames, job) for side, audio in read.items()})
    peak = max(float(np.abs(audio).max(initial=0.0)) for sides in sounds for audio in sides.values())
    # To a thousandth of a dB, downwards: the page says it so, and what is matched here is what it will play.
    scale_db = min(0.0, math.floor(20_000.0 * math.log10(FITS / peak)) / 1000.0) if peak > 0.0 else 0.0
    scale = 10.0 ** (scale_db / 20.0)
    clips, played = [], []
    for number, sides in enumerate(sounds):
        heard = {}
        for side, audio in _with_differences(sides, job.before).items():
            quality = job.quality if side in job.files else DIFFERENCE
            data = encoded(audio * scale, job.rate_hz, job.form, quality) if np.abs(audio).max(initial=0.0) > SILENT else b""
            if data:
                clips.append(Clip(side, number, base64.b64encode(data)))
            if side in job.files:
                # What is matched and summed is what will be heard: a lossy coder takes some of the top away.
                heard[side] = _decoded(data, len(audio), scale_db) if data else np.zeros_like(audio)
        played.append(heard)
    return clips, played, scale_db


def _with_differences(sides: dict[str, np.ndarray], before: str) -> dict[str, np.ndarray]:
    if "this" not in sides:
        return sides
    old = sides.get(before, sides["this"])
    if np.array_equal(old, sides["this"]):
        return sides
    # Two lossy files cannot be subtracted: the differences are made here, in mono, and encoded like the sides.
    was, now = (audio.mean(axis=1, keepdims=True) for audio in (old, sides["this"]))
    return {**sides, "changed": magnitude_change(was, now), "null": now - was}


def read_excerpt(path: Path, info: AudioInfo, excerpt: Excerpt, rate_hz: int) -> np.ndarray:
    """Return an excerpt of a file at another rate or its own; where it is cut out of the sound, its edges are faded."""
    start = round(excerpt.start_s * info.rate_hz)
    audio = read_span(path, info, start, round(excerpt.seconds * info.rate_hz))
    fade = min(round(FADE_S * info.rate_hz), len(audio) // 2)
    ramp = np.linspace(0.0, 1.0, fade, endpoint=False)[:, np.newaxis]
    if start > 0:
        audio[:fade] *= ramp
    if start + len(audio) < info.frames and fade:
        audio[-fade:] *= ramp[::-1]
    if info.rate_hz == rate_hz:
        return audio
    resampler = Resampler(info.rate_hz, rate_hz, channels=info.channels, frames=len(audio))
    return np.concatenate([resampler.process(audio), resampler.finish()])


def to_stereo(audio: np.ndarray) -> np.ndarray:
    """Return mono and stereo as they are, more channels as their mean, once: their order is not ours to guess."""
    return audio if audio.shape[1] <= 2 else audio.mean(axis=1, keepdims=True)


def _placed(audio: np.ndarray, frames: int, job: HearJob) -> np.ndarray:
    """Return an excerpt at its full length, and the two files of a left/right pair on their sides."""
    audio = audio[:frames]
    if len(audio) < frames:  # a shorter stem is silent at its end, so that all of a song loop alike
        audio = np.pad(audio, ((0, frames - len(audio)), (0, 0)))
    side = side_of(job.stem) if job.paired and audio.shape[1] == 1 else None
    if side is not None:
        return np.asarray(audio * ([1.0, 0.0] if side[0] == "L" else [0.0, 1.0]))
    if audio.shape[1] == 2 and np.array_equal(audio[:, 0], audio[:, 1]):
        return audio[:, :1]
    return audio


def match(sides: Mapping[str, np.ndarray], rate_hz: int, received: str) -> Matched:
    """Find the gains that bring sides to one loudness.

    Parameters
    ----------
    sides : mapping of str to np.ndarray
        Excerpts of the same stretch, as they are heard.
    rate_hz : int
        Their rate.
    received : str
        The side whose sample peak no side may exceed.

    Returns
    -------
    Matched
        By gated loudness (ITU-R BS.1770-5) where every side has one, else (under 0.4 s, or very quiet) by RMS.
    """
    levels = {}
    for side, audio in sides.items():
        meter = LevelMeter(rate_hz, 2, peaks=False)
        meter.feed(np.broadcast_to(audio, (len(audio), 2)))
        levels[side] = meter.levels()
    gains, by = dict.fromkeys(sides, 0.0), "nothing"
    for name, measure in (("RMS", "rms_dbfs"), ("LUFS", "lufs")):
        found = {side: getattr(level, measure) for side, level in levels.items()}
        if all(value is not None for value in found.values()):
            gains, by = {side: float(min(found.values()) - value) for side, value in found.items()}, name
    # Loudness may be equal and a peak still higher than any received: then all sides give way alike.
    peaks = {side: float(20.0 * np.log10(max(np.abs(audio).max(initial=0.0), 1e-9))) for side, audio in sides.items()}
    most = min(peaks[received], 0.0)
    down = min(0.0, *(most - peaks[side] - gain for side, gain in gains.items()))
    return Matched({side: round(gain + down, 3) for side, gain in gains.items()}, by)


def encoded(audio: np.ndarray, rate_hz: int, form: str, quality: str) -> bytes:
    """Return a clip as the bytes of an MP3 or a 24-bit FLAC."""
    if form == "mp3":
        return mp3(np.clip(audio, -1.0, 1.0), rate_hz, quality)
    samples = Quantiser(24, SEED).process(np.asarray(audio, np.float64)).samples
    return flac_clip(samples, rate_hz)


def clip_rate(rate_hz: int, form: str) -> int:
    """Return the rate an excerpt is embedded at: its own, but no more than browsers and forms have use for."""
    if form != "mp3" or rate_hz in (32_000, 44_100, 48_000):
        return rate_hz
    return 44_100 if rate_hz % 11_025 == 0 else MOST_RATE_HZ
