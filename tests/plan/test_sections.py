"""Sections to seconds: bars by arithmetic on paper, what touches made one, and names that are not there."""

from __future__ import annotations

import pytest

from stemwright.plan.sections import BarAt, NoSuchSectionError, Span, bar_at, bar_seconds, bar_start, places, when
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


# The beat and how far into it: 120 quarters a minute are half a second a beat; from bar 5 on (8.5 s) a second.
@pytest.mark.parametrize(
    ("seconds", "at"),
    [
        (0.5, BarAt(1, 1, 0.0)), (0.75, BarAt(1, 1, 0.5)), (1.0, BarAt(1, 2, 0.0)), (2.4, BarAt(1, 4, 0.8)),
        (2.5, BarAt(2, 1, 0.0)), (8.4, BarAt(4, 4, 0.8)), (8.5, BarAt(5, 1, 0.0)), (9.25, BarAt(5, 1, 0.75)),
        (12.5 - 1e-10, BarAt(6, 1, 0.0)), (8.5 - 1e-10, BarAt(5, 1, 0.0)), (0.5 - 1e-10, BarAt(1, 1, 0.0)),
        (16.5 + 11.0, BarAt(9, 4, 0.0)),
    ],
)  # fmt: skip
def test_a_moment_has_its_bar_beat_and_part(seconds, at):
    found = bar_at(SONG, seconds)
    assert (found.bar, found.beat, found.part) == (at.bar, at.beat, pytest.approx(at.part, abs=1e-6))
    assert 0.0 <= found.part <= 1.0


def test_in_six_eighths_a_bar_has_six_beats():
    song = Timeline(tempo=(TempoFrom(1, 120.0),), meter=(6, 8), bar_one_s=0.0)
    assert [bar_at(song, at).beat for at in (0.0, 0.25, 1.25, 1.49)] == [1, 2, 6, 6]
    assert bar_at(song, 1.5) == BarAt(2, 1, 0.0)
    assert bar_seconds(song, 120.0) == 1.5
    assert bar_seconds(Timeline(tempo=(), meter=(3, 4), bar_one_s=0.0), 90.0) == 2.0


@pytest.mark.parametrize("song", [Timeline(), Timeline(tempo=(TempoFrom(1, 120.0),)), Timeline(bar_one_s=0.5)])
def test_without_tempo_and_bar_one_there_are_no_bars(song):
    assert bar_at(song, 3.0) is None
    assert when(song, 3.04) == "0:03"
    with pytest.raises(NoSuchSectionError, match="bars need tempo and bar_one"):
        bar_start(song, 1)


# Less than a fade (20 ms) apart two places are one; none is lost inside another.
@pytest.mark.parametrize(
    ("said", "spans"),
    [
        (["0:01-0:02", "0:02.02-0:03"], (Span(1.0, 3.0),)),
        (["0:01-0:02", "0:02.03-0:03"], (Span(1.0, 2.0), Span(2.03, 3.0))),
        (["0:01-0:09", "0:02-0:03"], (Span(1.0, 9.0),)),
        (["0:05-0:06", "0:01-0:02"], (Span(1.0, 2.0), Span(5.0, 6.0))),
        (["bars 1", "bars 3-4"], (Span(0.5, 2.5), Span(4.5, 8.5))),
        ([], ()),
    ],
)
def test_places_are_in_order_and_those_that_touch_are_one(said, spans):
    assert places(SONG, said) == spans


def test_a_section_may_be_called_like_bars():
    song = Timeline(tempo=(TempoFrom(1, 120.0),), bar_one_s=0.0, sections={"Bars 1": (Times(7.0, 9.0),)})
    assert places(song, ["bars  1"]) == (Span(7.0, 9.0),)


def test_where_the_sheet_names_none_it_says_so():
    with pytest.raises(NoSuchSectionError) as caught:
        places(Timeline(), ["hook"])
    assert str(caught.value) == (
        "no section is called hook; session.yaml names none; in session.yaml write sections: {hook: bars 21-28} or {hook: 0:45-1:10}"
    )


def test_one_that_is_like_none_of_those_there_are_lists_them():
    with pytest.raises(NoSuchSectionError) as caught:
        places(SONG, ["xyzzy"])
    assert str(caught.value).startswith("no section is called xyzzy; ")
    assert "Hook, verse; in session.yaml write" in str(caught.value)
