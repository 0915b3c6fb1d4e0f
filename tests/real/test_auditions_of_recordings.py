"""Audition files for every recording at hand, at the widest and narrowest Q a ring can have: all or none, never louder."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from stemwright.dsp.rings import Ring, plan_notches
from stemwright.errors import StemwrightError
from stemwright.handover import audition
from stemwright.handover.audition import write_auditions
from stemwright.stems.audio import probe

SAMPLES = Path("/usr/share/sonic-pi/samples")
RECORDINGS = sorted(SAMPLES.glob("*.flac"))
pytestmark = pytest.mark.skipif(
    not RECORDINGS, reason="REAL RECORDINGS NOT TESTED: Debian's package sonic-pi-samples is not installed"
)


def rings(count=2):
    asked = [(3170.0, 80.0), (151.5, 8.0), (11_400.0, 80.0), (640.0, 61.0)]
    common = {"excess_db": 12.0, "share": 1.0, "confidence": 1.0, "most_cut_db": 12.0}
    fields = Ring.__dataclass_fields__
    spare = {name: 0.0 for name in fields if name not in {"freq_hz", "q", *common}}
    return plan_notches([Ring(**{**spare, **common, "freq_hz": freq_hz, "q": q}) for freq_hz, q in asked[:count]])


def test_every_recording_can_be_auditioned_and_no_part_is_louder(tmp_path):
    for recording in RECORDINGS:
        (path,) = write_auditions(recording, probe(recording), rings(1), tmp_path / recording.stem)
        heard, received = soundfile.read(path)[0], soundfile.read(recording)[0]
        assert np.abs(heard).max() <= np.abs(received).max() + 2 * 2.0**-23, recording.name


def test_where_one_file_cannot_be_written_none_is_left(tmp_path, monkeypatch):
    taken = []

    def fails_on_the_second(_source, _info, _notch, target):
        if taken:
            raise StemwrightError("no room")
        taken.append(target)
        target.write_bytes(b"whole")
        return target

    monkeypatch.setattr(audition, "_write", fails_on_the_second)
    with pytest.raises(StemwrightError, match="no room"):
        write_auditions(RECORDINGS[0], probe(RECORDINGS[0]), rings(2), tmp_path / "out")
    assert taken
    assert list((tmp_path / "out").iterdir()) == []
