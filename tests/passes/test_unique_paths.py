"""No two stems of a pass get one file name, and none gets another name than it must."""

from __future__ import annotations

from dataclasses import replace

from stemwright.passes.file_names import float_path, unique_paths
from stemwright.plan.items import DeliverAs, PlanItem


def stem(name, path):
    form = DeliverAs(path=path, container="WAV", subtype="PCM_24", rate_hz=48_000, frames=1) if path else None
    return PlanItem(
        stem=name, input=None, role=None, recipe=None, matched_by="", status="prepped", why="", moves=(), deliver_as=form
    )


def paths(*stems):
    return [item.deliver_as and item.deliver_as.path for item in unique_paths(tuple(stem(*each) for each in stems))]


def test_a_changed_ending_that_would_meet_another_stem_gives_way():
    assert paths(("a.mp3", "a.wav"), ("a.wav", "a.wav")) == ["a.mp3.wav", "a.wav"]
    assert paths(("A.mp3", "A.wav"), ("a.wav", "a.wav")) == ["A.mp3.wav", "a.wav"]  # one file where case does not count
    assert paths(("a.mp3", "a.wav"), ("a.ogg", "a.wav")) == ["a.wav", "a.ogg.wav"]


def test_a_name_that_another_stem_gives_up_is_free():
    assert paths(("a.mp3", "a.wav"), ("a.wav", "a.flac")) == ["a.wav", "a.flac"]


def test_a_stem_without_a_file_takes_no_name():
    assert paths(("a.wav", None), ("a.mp3", "a.wav")) == [None, "a.wav"]


# Of a WAV the float goes under the same name, of a FLAC as a WAV; where another stem has that name, behind the whole of its own.
def test_a_float_goes_under_a_name_that_is_no_other_stems():
    wav, flac = stem("a.wav", "a.wav"), stem("b.flac", "b.flac")
    flac = replace(flac, deliver_as=replace(flac.file, container="FLAC"))
    assert float_path(wav, [wav, flac]) == "a.wav"
    assert float_path(flac, [wav, flac]) == "b.wav"
    assert float_path(flac, [wav, flac, stem("B.wav", "B.wav")]) == "b.flac.wav"
    assert float_path(flac, [wav, flac, stem("b.wav", None)]) == "b.wav"
    assert float_path(stem("c.wav", None), [wav]) == ""
