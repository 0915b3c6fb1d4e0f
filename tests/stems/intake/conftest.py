"""Stems with one fault planted, and what intake says of them."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile

from stemwright.stems.intake import Arrived, inquire
from stemwright.stems.survey import begin_survey

RATE_HZ = 48_000


@pytest.fixture
def pink():
    """Return a maker of seeded pink-ish noise: (frames, channels), peaks near -12 dBFS, nothing wrong with it."""

    def make(seconds=6.0, channels=2, seed=1, rate_hz=RATE_HZ):
        frames = round(seconds * rate_hz)
        freq = np.fft.rfftfreq(frames, 1 / rate_hz)
        shape = np.where(freq > 60, 1 / np.sqrt(np.maximum(freq, 60)), 0.0)
        random = np.random.default_rng(seed)
        audio = np.stack(
            [np.fft.irfft(np.fft.rfft(random.standard_normal(frames)) * shape, frames) for _ in range(channels)]
        )
        return (audio * 0.25 / np.abs(audio).max()).T

    return make


@pytest.fixture
def intake(tmp_path, executor):
    """Return findings by stem and id for stems given as arrays: ``{name: audio}``, stop findings included."""

    def ask(stems, *, rate_hz=RATE_HZ, subtype="PCM_24", roles=None, sounds=None, partners=None, deep=()):
        sources = {}
        for name, audio in stems.items():
            path = tmp_path / name
            path.parent.mkdir(parents=True, exist_ok=True)
            rate = rate_hz[name] if isinstance(rate_hz, dict) else rate_hz
            if audio is not None:
                soundfile.write(path, audio, rate, subtype)
            sources[name] = path
        facts = [job.result() for job in begin_survey(sources, executor, hashed=False)]
        arrived = [
            Arrived(
                stem=one.stem,
                source=one.source,
                info=one.info,
                heard=one.heard,
                marks=one.marks,
                role=(roles or {}).get(one.stem),
                sounds=(sounds or {}).get(one.stem),
                partner=(partners or {}).get(one.stem),
                deep=one.stem in deep,
            )
            for one in facts
            if one.usable and one.heard
        ]
        found = [finding for one in facts for finding in one.findings] + inquire(arrived, list(stems))
        return {(finding.stem, finding.id): finding for finding in found}

    return ask
