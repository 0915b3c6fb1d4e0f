"""Whether the disk can hold a pass, asked of the plan alone."""

from __future__ import annotations

import re
import shutil
from contextlib import nullcontext
from types import SimpleNamespace

import pytest

from stemwright.errors import SongError
from stemwright.passes.room import check_room


def stem(subtype, container="WAV", frames=1 << 20):
    form = SimpleNamespace(frames=frames, subtype=subtype, container=container)
    return SimpleNamespace(input=SimpleNamespace(channels=2), deliver_as=form)


# Frames times channels times bytes; of FLAC a third, what dense music hardly goes under (arithmetic).
@pytest.mark.parametrize(
    ("items", "needed"),
    [
        ([stem("PCM_16")], 4 << 20),
        ([stem("PCM_24")], 6 << 20),
        ([stem("FLOAT")], 8 << 20),
        ([stem("DOUBLE")], 16 << 20),
        ([stem("PCM_U8"), stem("PCM_S8")], 4 << 20),
        ([stem("PCM_24", "FLAC")], 2 << 20),
        ([stem("PCM_16"), SimpleNamespace(input=None, deliver_as=None)], 4 << 20),
    ],
)
@pytest.mark.parametrize("less", [0, 1])
def test_what_fits_to_the_byte_fits_and_a_byte_less_is_refused(tmp_path, monkeypatch, items, needed, less):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=needed - less))
    said = re.escape(f"{tmp_path.name}: the pass needs about {needed >> 20} MiB and {(needed - 1) >> 20} MiB are free;")
    with pytest.raises(SongError, match=f"^{said}") if less else nullcontext():
        check_room(SimpleNamespace(folder=tmp_path), items)
