"""What is heard: excerpts brought to one loudness by lowering the louder ones, and written small enough to be embedded.

Conventions
-----------
Audio is ``(frames, channels)`` float64, full scale 1.0. Nothing is ever raised: no side is louder than it was, none peaks
higher than the stem as received.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.dither import Quantiser
from stemwright.dsp.loudness import LevelMeter
from stemwright.stems.audio import encode_clip, read_span
from stemwright.stems.resample import Resampler

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping
    from pathlib import Path

    from stemwright.report.excerpt import Excerpt
    from stemwright.stems.info import AudioInfo

FADE_S = 0.01
MOST_RATE_HZ = 48_000  # of a clip that is not asked to be lossless; browsers play at 44.1 or 48 kHz anyhow
SEED = 1  # the same for all sides, so that the same sound gives the same clip
FORMS = {"flac16": "audio/flac", "flac24": "audio/flac", "mp3": "audio/mpeg"}


@dataclass(frozen=True)
class Clip:
    """An encoded excerpt. ``data`` is base64."""

    side: str
    media_type: str
    data: bytes


@dataclass(frozen=True)
class Matched:
    """How sides were brought to one loudness: gain of each in dB, 0 or below; by ``LUFS``, ``RMS`` or not at all (silence)."""

    gains_db: dict[str, float]
    by: str


@dataclass(frozen=True)
class Heard:
    """All there is to hear of a stem or a beat."""

    excerpt: Excerpt
    matched: Matched
    clips: tuple[Clip, ...]
    rate_hz: int
    frames: int


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


def match(sides: Mapping[str, np.ndarray], rate_hz: int, received: str) -> Matched:
    """Find the gains that bring sides to one loudness.

    Parameters
    ----------
    sides : mapping of str to np.ndarray
        Excerpts of the same stretch.
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
        meter = LevelMeter(rate_hz, audio.shape[1])
        meter.feed(audio)
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


def hear(
    sides: Mapping[str, np.ndarray], rate_hz: int, excerpt: Excerpt, form: str, run: Callable[..., Iterable[bytes]] = map
) -> Heard:
    """Match and encode the sides of an excerpt; the first one is the sound as received.

    Parameters
    ----------
    sides : mapping of str to np.ndarray
        ``received``, ``this`` and, after another pass, ``that``; same rate.
    rate_hz : int
        Their rate.
    excerpt : Excerpt
        Where they come from.
    form : {"flac16", "flac24", "mp3"}
    run : callable
        Encodes the sides: ``map``, or an executor's where this is not one of its own jobs.
    """
    length = min(len(audio) for audio in sides.values())
    folded = {side: to_stereo(audio[:length]) for side, audio in sides.items()}
    channels = max(audio.shape[1] for audio in folded.values())
    even = {
        side: np.repeat(audio, channels, axis=1) if audio.shape[1] < channels else audio for side, audio in folded.items()
    }
    if channels == 2 and all(np.array_equal(audio[:, 0], audio[:, 1]) for audio in even.values()):
        even = {side: audio[:, :1] for side, audio in even.items()}
    matched = match(even, rate_hz, next(iter(even)))
    scaled = {side: audio * 10.0 ** (matched.gains_db[side] / 20.0) for side, audio in even.items()}
    if form == "mp3" and len(scaled) > 1:
        # Two lossy files cannot be subtracted: the differences are made here and encoded like the sides.
        first = next(iter(scaled))
        scaled |= {f"this-{side}": scaled["this"] - scaled[side] for side in (first, "that") if side in scaled}
    encoded = run(_encoded, list(scaled.values()), [rate_hz] * len(scaled), [form] * len(scaled))
    clips = tuple(Clip(side, FORMS[form], data) for side, data in zip(scaled, encoded, strict=True))
    return Heard(excerpt, matched, clips, rate_hz, length)


def _encoded(audio: np.ndarray, rate_hz: int, form: str) -> bytes:
    if form != "mp3":
        audio = Quantiser(16 if form == "flac16" else 24, SEED).process(audio).samples
    return base64.b64encode(encode_clip(audio, rate_hz, form))


def clip_rate(rate_hz: int, form: str) -> int:
    """Return the rate an excerpt is embedded at: its own, but no more than browsers and forms have use for."""
    if form == "flac24" or rate_hz <= MOST_RATE_HZ:
        return rate_hz if form != "mp3" or rate_hz in (32_000, 44_100, 48_000) else 48_000
    return 44_100 if rate_hz % 44_100 == 0 else MOST_RATE_HZ
