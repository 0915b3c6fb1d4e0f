"""Intake of real recordings: nothing clean is stopped, every check keeps its temper."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from stemwright.stems.info import EXTENSIONS
from stemwright.stems.intake import Arrived, inquire
from stemwright.stems.survey import begin_survey

SAMPLES = Path("/usr/share/sonic-pi/samples")
KITS = Path("/usr/share/hydrogen/data/drumkits")


def ask(folder, executor, most=10_000):
    """Return the recordings of a folder, so many evenly spread at most, and what is found of them."""
    paths = [path for path in sorted(folder.rglob("*")) if path.suffix.lower() in EXTENSIONS]
    sources = {path.relative_to(folder).as_posix(): path for path in paths[:: -(-len(paths) // most) or 1]}
    facts = [job.result() for job in begin_survey(sources, executor, hashed=False)]
    arrived = [
        Arrived(stem=one.stem, source=one.source, info=one.info, heard=one.heard, marks=one.marks)
        for one in facts
        if one.usable and one.heard
    ]
    return sources, [finding for one in facts for finding in one.findings] + inquire(arrived)


@pytest.mark.skipif(
    not SAMPLES.is_dir(), reason="REAL RECORDINGS NOT TESTED: Debian's package sonic-pi-samples is not installed"
)
def test_no_sample_is_stopped(executor):
    sources, found = ask(SAMPLES, executor)
    assert len(sources) > 100
    assert [finding for finding in found if finding.severity == "stop"] == []
    count = Counter(finding.id for finding in found)
    # They are sounds of studios, so these would be wrong of every one of them.
    assert (count["hum"], count["silent"], count["side-inverted"], count["starts-late"], count["no-numbers"]) == (
        0,
        0,
        0,
        0,
        0,
    )


@pytest.mark.skipif(
    not KITS.is_dir(), reason="REAL RECORDINGS NOT TESTED: Debian's package hydrogen-drumkits is not installed"
)
def test_no_drum_is_stopped(executor):
    # Of a kit with hundreds of strokes, each many times harder and softer, 48 in all.
    stems = 0
    for kit in sorted(KITS.iterdir()):
        sources, found = ask(kit, executor, most=48)
        stems += len(sources)
        assert [finding for finding in found if finding.severity == "stop"] == []
        assert {finding.id for finding in found} & {"side-inverted", "starts-late", "partner-missing"} == set()
        # Two kits come with an empty sound on purpose.
        assert all(finding.stem == "emptySample.flac" for finding in found if finding.id == "silent")
    assert stems > 400
