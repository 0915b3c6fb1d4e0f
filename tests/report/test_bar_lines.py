"""Bar lines on the page: excerpts are whole bars where the sheet knows bars, and are called as the sheet calls them."""

from __future__ import annotations

import re

import pytest

from stemwright.recipes.timeline import TempoFrom, Timeline
from stemwright.recipes.times import Bars, Times
from stemwright.report.bar_lines import bar_lines, called, whole_bars_s
from stemwright.report.excerpt import Moments, choose_excerpts

# At 120 a bar of 4/4 is 2 s, at 60 it is 4 s: bars 1 to 4 begin at 0.5, 2.5, 4.5 (and from bar 3 on last 4 s) and 8.5 s.
SHEET = Timeline(
    tempo=(TempoFrom(1, 120.0), TempoFrom(3, 60.0)),
    bar_one_s=0.5,
    sections={"verse": (Bars(1, 2),), "hook": (Bars(3, 9),), "spoken": (Times(40.0, 41.0),)},
)
NO_BARS = Timeline(sections={"hook": (Bars(3, 9),), "spoken": (Times(40.0, 50.0),)})


def test_bars_begin_where_the_tempi_say():
    assert bar_lines(SHEET, 12.5) == pytest.approx((0.5, 2.5, 4.5, 8.5, 12.5))
    assert bar_lines(NO_BARS, 12.5) == ()


def test_the_most_whole_bars_that_fit():
    assert whole_bars_s(SHEET, 8.0) == pytest.approx(8.0)
    assert whole_bars_s(SHEET, 7.9) == pytest.approx(6.0)
    assert whole_bars_s(SHEET, 1.9) == 1.9
    assert whole_bars_s(NO_BARS, 7.9) == 7.9


@pytest.mark.parametrize(
    ("start_s", "end_s", "name"),
    [
        (0.5, 4.5, "verse, bars 1 to 2"),
        (2.5, 4.5, "verse, bar 2"),
        (2.5, 8.5, "hook, bars 2 to 3"),  # 2 s of the verse, 4 s of the hook
        (0.0, 2.0, "verse"),  # before bar one nobody counts
        (44.5, 52.5, "bars 13 to 14"),
    ],
)
def test_a_stretch_is_called_by_what_has_half_of_it(start_s, end_s, name):
    assert called(SHEET, start_s, end_s) == name


def test_sections_by_time_need_no_bars():
    assert called(NO_BARS, 41.0, 49.0) == "spoken"
    assert called(NO_BARS, 0.0, 8.0) == ""


def test_an_excerpt_begins_at_the_bar_line_that_has_most_of_the_change():
    moments = [Moments((21.0, 22.0), (1.0, 1.0), 0.4)]
    (chosen,) = choose_excerpts(moments, 90.0, 1, 8.0, (0.5, 8.5, 16.5, 88.0))
    assert (chosen.start_s, chosen.seconds) == (16.5, 8.0)
    (anywhere,) = choose_excerpts(moments, 90.0, 1, 8.0, (88.0,))  # the only bar line leaves no room
    assert anywhere.start_s <= 21.0 <= anywhere.start_s + 8.0


def test_the_page_names_what_is_heard(make_song, make_page, noise):
    sheet = "tempo: 120\nbar_one: 0.5 s\nsections: {hook: bars 1-40}\n"
    _, text = make_page(make_song({"piano.wav": noise(20.0)}, sheet))
    (option,) = re.findall(r"<option value=\"0\">(.*?)</option>", text)
    start, end, first, last = re.fullmatch(r"0:(\d\d) to 0:(\d\d): hook, bars (\d+) to (\d+)", option).groups()
    assert (int(end) - int(start), int(last) - int(first) + 1) == (8, 4)
