"""The timeline in the session sheet: tempo, meter, bar one, sections, and every way to write them wrong."""

from __future__ import annotations

import pytest

from stemwright.errors import RecipeError
from stemwright.recipes.session import load_session
from stemwright.recipes.timeline import TempoFrom, Timeline
from stemwright.recipes.times import Bars, Times, clock, moment


@pytest.fixture
def load(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def write_and_load(text):
        (tmp_path / "session.yaml").write_text(text, encoding="utf-8")
        return load_session(tmp_path).timeline

    return write_and_load


def test_a_timeline_is_read_whole(load):
    found = load(
        "tempo: {bar 1: 88, bar 41: 92 bpm}\nmeter: 6/8\nbar_one: 0.52 s\n"
        "sections: {verse 1: bars 5-20, hook: [bars 21-28, bar 45], bridge: 1:02-1:18.5}\n"
    )
    assert found == Timeline(
        tempo=(TempoFrom(1, 88.0), TempoFrom(41, 92.0)),
        meter=(6, 8),
        bar_one_s=0.52,
        sections={"verse 1": (Bars(5, 20),), "hook": (Bars(21, 28), Bars(45, 45)), "bridge": (Times(62.0, 78.5),)},
    )


def test_without_a_word_nothing_is_assumed(load):
    assert not load("song: x\n").has_bars


@pytest.mark.parametrize("text", ["0:00.52", "1:02", "59:59.999", "1:00:03.5"])
def test_a_clock_reads_back_what_it_wrote(text):
    assert clock(moment(text)) == text


WRONG = [
    ("tempo: 8\n", "1:8: tempo: out of range (8); allowed: 20 bpm to 400 bpm"),
    (
        "tempo: {bar 5: 88}\n",
        "1:8: tempo: begins at bar 5; say the tempo of bar 1 too",
    ),
    (
        "tempo: {bar 1: 88, bar 1: 90}\n",
        "1:20: tempo.bar 1: this key is here a second time, first in line 1; keep one of them",
    ),
    ("tempo: [bar 1: 88, bar 1: 90]\n", "1:20: tempo[2].bar 1: bar 1 does not come after bar 1"),
    ("meter: waltz\n", "1:8: meter: not a meter (waltz); write beats and their unit, as in 4/4 or 6/8"),
    (
        "bar_one: 0.52\n",
        "1:10: bar_one: not a moment of the first ten minutes (0.52); write where bar 1 begins, as in 0.52 s",
    ),
    (
        "sections: {hook: bars 21-28}\n",
        (
            "1:11: sections: bars need tempo (such as 88) and bar_one (such as 0.52 s); write tempo and bar_one, "
            "or give times such as 1:02-1:18"
        ),
    ),
    (
        "sections: {hook: somewhere}\n",
        "1:18: sections.hook: no place in a song; write bars 5-20, bar 5, or a time such as 1:02-1:18 (somewhere)",
    ),
    (
        "sections: {hook: []}\n",
        "1:18: sections.hook: a list without a place; write bars 5-20, bar 5, or a time such as 1:02-1:18",
    ),
    ('sections: {"": 0:45-1:10}\n', "1:12: sections.: a section without a name; call it what people call it"),
    ("sections: {hook: 1:18-1:02}\n", "1:18: sections.hook: ends before it begins, or as it begins (1:18-1:02)"),
    (
        "sections: {0:45-1:10: bars 1-2}\ntempo: 90\nbar_one: 0\n",
        "1:12: sections.0:45-1:10: a time is no name (0:45-1:10); call the section what people call it",
    ),
]


@pytest.mark.parametrize(("text", "line"), WRONG, ids=[line.split(": ", 1)[1][:50] for _, line in WRONG])
def test_what_is_wrong_is_told_with_its_place_and_a_way_out(load, text, line):
    with pytest.raises(RecipeError) as caught:
        load(text)
    assert list(caught.value.problems) == [f"session.yaml:{line}"]
