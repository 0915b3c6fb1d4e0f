"""The whole beat to listen to: the unity sum of the stems as received and as a pass has them, over one excerpt."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from stemwright.report.excerpt import Excerpt, Moments, choose_excerpt
from stemwright.report.listening import Heard, clip_rate, hear, read_excerpt, to_stereo
from stemwright.stems.audio import probe
from stemwright.stems.names import pairs, side_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor
    from pathlib import Path

CEILING = 0.891  # -1 dBFS: a sum of stems at unity may be over full scale, and then both sums give way alike


@dataclass(frozen=True, kw_only=True)
class BeatStem:
    """One stem of the beat: its files by side, and its moments; ``that`` is the same file as ``this`` where nothing moved."""

    stem: str
    files: dict[str, Path]
    moments: Moments | None
    seconds: float


@dataclass(frozen=True)
class Beat:
    """What was summed: how many stems, at what gain so that the sum stays below full scale, and the excerpt."""

    stems: int
    gain_db: float
    heard: Heard


def hear_beat(stems: Sequence[BeatStem], form: str, executor: Executor) -> Beat | None:
    """Sum the beat.

    Parameters
    ----------
    stems : sequence of BeatStem
        All with the same sides, ``received`` first.
    form : {"flac16", "flac24", "mp3"}
    executor : Executor
        Reads the stems' excerpts.

    Returns
    -------
    Beat or None
        None where fewer than two stems can be summed.
    """
    if len(stems) < 2:
        return None
    seconds = max(each.seconds for each in stems)
    excerpt = choose_excerpt([each.moments for each in stems if each.moments], seconds)
    rates = Counter(probe(each.files["received"]).rate_hz for each in stems)
    rate_hz = clip_rate(max(rates, key=lambda rate: (rates[rate], rate)), form)
    paired = pairs(each.stem for each in stems)
    jobs = [(each, excerpt, rate_hz, each.stem in paired) for each in stems]
    sums = {side: np.zeros((round(excerpt.seconds * rate_hz) + 1, 2)) for side in stems[0].files}
    longest = 0
    for read in executor.map(_read, *zip(*jobs, strict=True)):
        for side, audio in read.items():
            sums[side][: len(audio)] += audio[: len(sums[side])]
            longest = max(longest, len(audio))
    sums = {side: total[:longest] for side, total in sums.items()}
    peak = max(float(np.abs(audio).max(initial=0.0)) for audio in sums.values())
    gain = min(1.0, CEILING / peak) if peak > 0.0 else 1.0
    heard = hear({side: audio * gain for side, audio in sums.items()}, rate_hz, excerpt, form, executor.map)
    return Beat(len(stems), round(20.0 * float(np.log10(gain)), 2), heard)


def _read(stem: BeatStem, excerpt: Excerpt, rate_hz: int, paired: bool) -> dict[str, np.ndarray]:  # noqa: FBT001 - mapped over
    cache: dict[Path, np.ndarray] = {}
    for path in stem.files.values():
        if path not in cache:
            cache[path] = _placed(to_stereo(read_excerpt(path, probe(path), excerpt, rate_hz)), stem.stem, paired=paired)
    return {side: cache[path] for side, path in stem.files.items()}


def _placed(audio: np.ndarray, stem: str, *, paired: bool) -> np.ndarray:
    """Return stereo: mono in the middle, the two files of a left/right pair on their sides."""
    if audio.shape[1] == 2:
        return audio
    side = side_of(stem) if paired else None
    gains = np.array([[1.0, 1.0] if side is None else [1.0, 0.0] if side[0] == "L" else [0.0, 1.0]])
    return np.asarray(audio * gains)
