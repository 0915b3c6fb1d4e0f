"""A recipe's moves to explicit numbers: what is planned, with which reason, and where in a stem."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from scipy.signal import sosfreqz

from stemwright.dsp.prototypes import magnitude_db
from stemwright.plan.assignment import Assignment, unmatched
from stemwright.plan.conditions import _condition
from stemwright.plan.items import TIMES_DEFINED, PlannedMove
from stemwright.plan.resolve import RingMoves, half_way, placed, resolve, sections_of
from stemwright.plan.sections import Span
from stemwright.recipes.moves import Move

RATE_HZ = 48_000


def move(kind, name="m", why="", only=(), when=None, if_there=None, **settings):
    return Move(kind, name, why, off=False, settings=settings, only=only, when=when, if_there=if_there)


def test_a_move_that_changes_nothing_is_not_planned():
    flat = [move("gain", gain_db=0.0), move("bell", freq_hz=1000.0, gain_db=0.0, q=1.0)]
    assert resolve([*flat, move("polarity", "flip")], RATE_HZ, {})[0][0].name == "flip"
    assert resolve(flat, RATE_HZ, {}) == ((), ())


def test_the_reason_of_a_condition_stands_after_the_moves_own():
    planned, _ = resolve(
        [move("gain", "a", "softer", gain_db=-1.0), move("gain", "b", "too", gain_db=-1.0)], RATE_HZ, {}, {"a": "rumble"}
    )
    assert [each.why for each in planned] == ["softer (rumble)", "too"]


def test_rings_give_way_to_their_notches_and_what_is_said_of_them():
    notch = PlannedMove(kind="notch", name="rings 1", why="", settings={})
    found = {"rings": RingMoves(notches=(notch,), messages=("870 Hz may ring",))}
    asked = [
        move("gain", "first", gain_db=-1.0),
        move("rings", "rings"),
        move("rings", "other"),
        move("gain", "last", gain_db=1.0),
    ]
    planned, said = resolve(asked, RATE_HZ, found)
    assert [each.name for each in planned] == ["first", "rings 1", "last"]
    assert said == ("870 Hz may ring",)


def test_a_compressor_says_that_its_times_are_defined_and_a_plain_high_pass_nothing_of_its_phase():
    squeeze = {"threshold_db": -20.0, "ratio": 4.0, "attack_ms": 5.0, "release_ms": 80.0, "makeup_db": 0.0}
    corner = {"freq_hz": 100.0, "slope_db_oct": 12.0, "linear_phase": 0.0}
    planned, said = resolve([move("compress", **squeeze), move("high_pass", **corner)], RATE_HZ, {})
    assert planned[0].settings == {**squeeze, TIMES_DEFINED: 1.0}
    assert planned[0].sections == ()
    assert planned[1].settings == {"freq_hz": 100.0, "slope_db_oct": 12.0}
    assert said == ()


# A first-order high-pass both ways: ahead of a step exp(-2 pi f t)/2 of it, f = 100 Hz (sqrt 2 - 1)^(1/2): ln(500)/(2 pi f) is 15 ms.
def test_linear_phase_says_how_far_ahead_of_a_step_it_sounds():
    _, said = resolve([move("high_pass", "roll-off", freq_hz=100.0, slope_db_oct=12.0, linear_phase=1.0)], RATE_HZ, {})
    assert said == ("roll-off: linear phase sounds up to 15 ms ahead of a step (over -60 dB of it), -6 dB at most",)


@pytest.mark.parametrize("slope", [12.0, 24.0, 36.0, 48.0])
def test_half_of_a_linear_high_pass_is_1_5_db_down_where_it_is_asked(slope):
    half = half_way({"freq_hz": 200.0, "slope_db_oct": slope})
    assert half["slope_db_oct"] == slope / 2
    assert magnitude_db("high_pass", half, np.array([200.0]))[0] == pytest.approx(-10 * np.log10(2) / 2)
    rows = np.array(sections_of("high_pass", {"freq_hz": 200.0, "slope_db_oct": slope, "linear_phase": 1.0}, RATE_HZ))
    assert 20 * np.log10(abs(sosfreqz(rows, [200.0], fs=RATE_HZ)[1][0])) == pytest.approx(-1.505, abs=0.005)


@pytest.mark.parametrize(
    ("kind", "settings", "rows"),
    [
        ("polarity", {}, ((-1.0, 0.0, 0.0, 1.0, 0.0, 0.0),)),
        ("gain", {"gain_db": 20.0}, ((10.0, 0.0, 0.0, 1.0, 0.0, 0.0),)),
        ("gain", {"gain_db": 0.0}, ()),
        ("compress", {"ratio": 2.0}, ()),
        ("ride", {}, ()),
    ],
)
def test_sections_that_are_no_curve(kind, settings, rows):
    assert sections_of(kind, settings, RATE_HZ) == rows


def test_a_de_esser_has_half_of_its_band():
    found = sections_of("de_ess", {"freq_hz": 5000.0}, RATE_HZ)
    assert found == sections_of("high_pass", {"freq_hz": 5000.0, "slope_db_oct": 6.0}, RATE_HZ)


def test_moves_in_places_get_their_samples_and_those_beyond_the_stem_are_said_once():
    asked = [
        move("gain", "a", only=("hook",), gain_db=-1.0),
        move("rings", "rings", only=("outro",)),
        move("gain", "b", gain_db=-1.0),
    ]
    recipe = SimpleNamespace(moves=asked)
    assignment = Assignment(
        recipe=recipe, matched_by="", why="", places={"a": (Span(1.0, 2.0),), "rings": (Span(60.0, 70.0),)}
    )
    planned = [
        PlannedMove(kind="gain", name="a", why="", settings={"gain_db": -1.0}),
        *(PlannedMove(kind="notch", name=f"rings {n}", why="", settings={}, found={"asked_by": "rings"}) for n in (1, 2)),
        PlannedMove(kind="gain", name="b", why="", settings={"gain_db": -1.0}),
    ]
    made, said = placed(planned, assignment, RATE_HZ, 10 * RATE_HZ)
    assert [(each.name, each.only and each.only.spans) for each in made] == [("a", ((48_000, 96_000),)), ("b", None)]
    assert said == ("rings is not made: the stem ends before outro",)
    longer, said = placed(planned, assignment, RATE_HZ, 100 * RATE_HZ)
    assert [each.only is not None for each in longer] == [True, True, True, False]
    assert said == ()


def heard(under_dbfs, level_dbfs=-20.0):
    colour = SimpleNamespace(under_dbfs=lambda _: under_dbfs, level_dbfs=level_dbfs)
    return SimpleNamespace(heard=SimpleNamespace(colour=colour))


# -50 dBFS at least, and a hundredth of the stem's power, 20 dB under it.
@pytest.mark.parametrize(
    ("under_dbfs", "level_dbfs", "met"),
    [(-40.0, -20.0, True), (-40.1, -20.0, False), (-50.0, -30.0, True), (-50.1, -31.0, False), (-30.0, -20.0, True)],
)
def test_what_rumble_is(under_dbfs, level_dbfs, met):
    asked = move("high_pass", when="rumble", freq_hz=30.0)
    found, reason = _condition(asked, [heard(under_dbfs, level_dbfs)], set())
    assert found == met
    share = f"{under_dbfs:.0f} dBFS under 30 Hz, {level_dbfs - under_dbfs:.0f} dB below the whole stem"
    assert reason == f"{'rumble' if met else 'no rumble'}: {share}"


def test_rumble_in_one_side_of_a_pair_is_in_both_and_what_was_not_heard_has_none():
    asked = move("high_pass", when="rumble", freq_hz=30.0)
    assert _condition(asked, [heard(-90.0), heard(-30.0)], set()) == (
        True,
        "rumble: -30 dBFS under 30 Hz, 10 dB below the whole stem",
    )
    assert _condition(asked, [], set()) == (False, "nothing was heard")
    assert _condition(asked, [SimpleNamespace(heard=None)], set()) == (False, "nothing was heard")


@pytest.mark.parametrize(
    ("asked", "present", "expected"),
    [
        (move("gain"), set(), (True, "")),
        (move("gain", if_there="lead vocal"), {"lead vocal"}, (True, "lead vocal is there")),
        (move("gain", if_there="lead vocal"), {"kick"}, (False, "no lead vocal in this song")),
        (move("gain", if_there="lead vocal", when="rumble"), {"kick"}, (False, "no lead vocal in this song")),
    ],
)
def test_what_has_to_be_there(asked, present, expected):
    assert _condition(asked, [], present) == expected


def test_a_stem_that_two_recipes_could_take_is_left_with_the_way_to_say_which():
    two = Assignment(
        recipe=None, matched_by="two readings", why="kick (a) or snare (b); left as received", readings=("kick", "snare")
    )
    finding = unmatched("odd.wav", two)
    assert (finding.id, finding.severity, finding.measured) == ("two-readings", "warn", "kick (a) or snare (b)")
    assert finding.do.endswith("{role: snare}, or the other")
    none = unmatched("odd.wav", Assignment(recipe=None, matched_by="nothing", why=""))
    assert (none.id, none.measured) == ("no-recipe", "no recipe takes this name")


def test_what_is_left_skipped_or_set_aside_has_no_moves():
    recipe = SimpleNamespace(moves=(move("gain", "a"), move("gain", "b"), Move("gain", "c", "", off=True, settings={})))
    plain = Assignment(recipe=recipe, matched_by="", why="", aside={"b": "no rumble"})
    assert [each.name for each in plain.moves] == ["a"]
    for other in ({"skip": True}, {"leave": True}, {"recipe": None}):
        assert Assignment(**{"recipe": recipe, "matched_by": "", "why": "", **other}).moves == ()
