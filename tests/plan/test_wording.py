"""What became of a stem's moves, in the words of the trade; each line is written out by hand from what was changed."""

from __future__ import annotations

from dataclasses import replace

from stemwright.plan.items import PlannedMove
from stemwright.plan.only import Only
from stemwright.plan.wording import changes_in_short, describe, held_gains, peak_change

BITE = PlannedMove(kind="bell", name="bite", why="", settings={"freq_hz": 3000.0, "gain_db": 1.5, "q": 1.0})
ROLL_OFF = PlannedMove(kind="high_pass", name="roll-off", why="", settings={"freq_hz": 90.0, "slope_db_oct": 12.0})
HOOK = Only(said=("hook",), fade_frames=480, spans=((0, 48_000),))


def set_to(move, **settings):
    return replace(move, settings=move.settings | settings)


def test_a_gain_alone_is_said_from_and_to_and_nothing_is_a_bare_0():
    flat = set_to(BITE, gain_db=0.0)
    assert changes_in_short([BITE], [set_to(BITE, gain_db=-2.0)]) == ["bell 3 kHz +1.5 -> -2 dB [bite]"]
    assert changes_in_short([flat], [BITE]) == ["bell 3 kHz 0 -> +1.5 dB [bite]"]
    assert changes_in_short([], [BITE]) == ["bell 3 kHz 0 -> +1.5 dB [bite]"]
    assert changes_in_short([BITE], []) == ["bell 3 kHz +1.5 -> 0 dB [bite]"]


def test_a_gain_without_a_frequency_is_said_without_one():
    level = PlannedMove(kind="gain", name="level", why="", settings={"gain_db": -3.0})
    assert changes_in_short([level], [set_to(level, gain_db=-1.0)]) == ["gain -3 -> -1 dB [level]"]


def test_more_than_the_gain_is_said_whole():
    assert changes_in_short([BITE], [set_to(BITE, freq_hz=2500.0, gain_db=3.0)]) == [
        "bell 3 kHz +1.5 dB q 1 -> bell 2.5 kHz +3 dB q 1 [bite]"
    ]


def test_what_has_no_gain_is_added_or_taken_out():
    assert changes_in_short([], [ROLL_OFF]) == ["high-pass 90 Hz 12 dB/oct [roll-off] added"]
    assert changes_in_short([ROLL_OFF], []) == ["high-pass 90 Hz 12 dB/oct [roll-off] taken out"]


def test_what_is_the_same_is_not_said():
    assert changes_in_short([BITE, ROLL_OFF], [BITE, ROLL_OFF]) == []


def test_a_place_is_said_and_so_is_one_that_moved_under_its_name():
    there = replace(BITE, only=HOOK)
    later = replace(BITE, only=replace(HOOK, spans=((100, 48_100),)))
    assert changes_in_short([BITE], [there]) == ["bell 3 kHz +1.5 dB q 1 [bite] everywhere -> only hook"]
    assert changes_in_short([there], [later]) == ["bell 3 kHz +1.5 dB q 1 [bite] only hook, as it was -> where that is now"]


def test_other_points_and_other_sections_are_said_as_such():
    designed = replace(BITE, sections=((1.0, 0.0, 0.0, 1.0, 0.0, 0.0),))
    assert changes_in_short([BITE], [designed]) == ["bell 3 kHz +1.5 dB q 1 [bite] designed anew"]
    assert changes_in_short([BITE], [replace(BITE, points=((0, 1.0, 1.122),))]) == [
        "bell 3 kHz +1.5 dB q 1 [bite] other points"
    ]


def test_every_kind_says_what_sets_it():
    times = {"attack_ms": 10.0, "release_ms": 100.0}
    squeeze = {"threshold_db": -18.0, "ratio": 4.0, "makeup_db": 2.0, **times}
    assert describe("compress", squeeze) == "compress 4:1 over -18 dB 10/100 ms +2 dB"
    assert describe("compress", squeeze | {"makeup_db": 0.0}) == "compress 4:1 over -18 dB 10/100 ms"
    assert describe("de_ess", {"freq_hz": 6000.0, "most_db": 4.0}) == "de-ess 6 kHz at most 4 dB"
    assert describe("high_shelf", {"freq_hz": 999.0, "gain_db": 2.0, "q": 0.7071}) == "high shelf 999 Hz +2 dB"
    assert describe("low_shelf", {"freq_hz": 1000.0, "gain_db": 2.0, "q": 1.0}) == "low shelf 1 kHz +2 dB q 1"
    assert describe("polarity", {}) == "polarity flipped"
    assert describe("high_pass", ROLL_OFF.settings | {"linear_phase": 1.0}) == "high-pass 90 Hz 12 dB/oct, linear phase"
    rings = {"from_hz": 200.0, "to_hz": 8000.0, "at_most": 2.0, "take_percent": 50.0}
    assert describe("rings", rings) == "rings 200 Hz to 8 kHz, at most 2, 50 % taken"
    assert describe("rings", rings | {"only_offered": 1.0}) == "rings 200 Hz to 8 kHz, at most 2, offered only"
    ride = {"keep_percent": 100.0, "follow_percent": 0.0, "at_most_db": 6.0}
    assert describe("ride", ride) == "ride by hand"
    assert describe("ride", ride | {"keep_percent": 50.0}) == "ride keeps 50 % at most 6 dB"
    assert describe("ride", ride | {"follow_percent": 20.0}) == "ride keeps 100 % at most 6 dB"


def test_a_peak_that_ends_over_full_scale_goes_over_and_full_scale_itself_does_not():
    assert peak_change(-4.0, -0.9) == "+3.1"
    assert peak_change(-3.0, 0.1) == "+3.1, goes over"
    assert peak_change(-3.0, 0.0) == "+3.0"
    assert peak_change(-3.0, -3.04) == "+0.0"
    assert peak_change(None, -3.0) == "-"


def test_a_ride_made_in_one_place_holds_what_it_holds_there():
    points = ((0, 1.0, 1.122), (47_000, 1.0, 1.122), (49_000, -2.0, 0.794), (90_000, -2.0, 0.794), (91_000, 0.0, 1.0))
    ride = PlannedMove(kind="ride", name="ride", why="", settings={}, points=points)
    assert held_gains(ride) == [1.0, -2.0]
    assert held_gains(replace(ride, only=HOOK)) == [1.0]
