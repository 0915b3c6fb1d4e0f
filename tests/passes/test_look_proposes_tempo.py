"""Look proposes a tempo that files or names speak of, and takes nothing for true."""

from __future__ import annotations

import pytest

from stemwright.passes.look import look
from stemwright.stems.intake.tempo import in_name


@pytest.mark.parametrize(
    ("name", "bpm"),
    [
        ("Kick_88bpm.wav", 88.0),
        ("roof 140 BPM v2", 140.0),
        ("bpm93.5 keys", 93.5),
        ("808 kick.wav", None),
        ("1088bpm", None),
    ],
)
def test_a_tempo_in_a_name_is_read(name, bpm):
    assert in_name(name) == bpm


def found(song, executor):
    return [each for each in look(song, executor).findings if each.id == "tempo"]


def test_a_tempo_in_the_names_is_proposed(make_song, executor):
    (finding,) = found(make_song({"kick_88bpm.wav": None, "keys_88bpm.wav": None}), executor)
    assert finding.measured == "tempo 88, say 2 of the names"
    assert finding.do == "if it is the song's, write into session.yaml: tempo: 88, and bar_one: where bar 1 begins"


def test_a_tempo_that_the_sheet_has_is_not_proposed(make_song, executor):
    assert found(make_song({"kick_88bpm.wav": None}, "tempo: 90\n"), executor) == []
