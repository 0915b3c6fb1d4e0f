"""Sections to seconds: bars by arithmetic on paper, what touches made one, and names that are not there."""

from __future__ import annotations

import pytest

from stemwright.plan.sections import NoSuchSectionError, Span, bar_at, bar_start, places, when
from stemwright.recipes.timeline import TempoFrom, Timeline
from stemwright.recipes.times import Bars, Times

# 120 quarters a minute: a bar of 4/4 lasts 2 s; from bar 5 on 60, 4 s. Bar 1 at 0.5 s, so bar 5 at 8.5 s and bar 7 at 16.5 s.
SONG = Timeline(
    tempo=(TempoFrom(1, 120.0), TempoFrom(5, 60.0)),
    bar_one_s=0.5,
    sections={"Hook": (Bars(2, 3),), "verse": (Bars(4, 4), Times(30.0, 40.0))},
)


def test_bars_lie_where_the_tempi_before_them_put_them():
    assert [bar_start(SONG, bar) for bar in (1, 2, 5, 7)] == [0.5, 2.5, 8.5, 16.5]


def test_a_bar_of_six_eighths_at_120_quarters_lasts_a_second_and_a_half():
    assert bar_start(Timeline(tempo=(TempoFrom(1, 120.0),), meter=(6, 8), bar_one_s=0.0), 3) == 3.0


@pytest.mark.parametrize(
    ("seconds", "said"), [(0.5, "bar 1 (0:00.5)"), (3.1, "bar 2 beat 2 (0:03.1)"), (13.5, "bar 6 beat 2 (0:13.5)")]
)
def test_a_moment_is_said_in_bars_and_beats(seconds, said):
    assert when(SONG, seconds) == said


def test_no_bar_is_before_bar_one():
    assert bar_at(SONG, 0.4) is None


def test_a_section_is_found_whatever_its_capitals_and_what_touches_is_one():
    assert places(SONG, ["hook", "VERSE"]) == (Span(2.5, 8.5), Span(30.0, 40.0))


def test_a_time_needs_no_sheet():
    assert places(Timeline(), ["0:45-1:10"]) == (Span(45.0, 70.0),)


def test_bars_need_one():
    with pytest.raises(
        NoSuchSectionError, match=r"^bars need tempo and bar_one in session.yaml, as in: tempo: 88 and bar_one: 0.52 s$"
    ):
        places(Timeline(), ["bars 5-8"])


def test_a_section_that_is_not_there_lists_those_that_are_and_how_to_write_one():
    with pytest.raises(NoSuchSectionError) as caught:
        places(SONG, ["hok"])
    assert str(caught.value) == (
        "no section is called hok; did you mean Hook? allowed: Hook, verse; "
        "in session.yaml write sections: {hook: bars 21-28} or {hook: 0:45-1:10}"
    )
