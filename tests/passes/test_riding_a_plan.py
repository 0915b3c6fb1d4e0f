"""Rides of a plan get their points from what the stems hold: whose, over which track, by hand, with a pair, by a double."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from stemwright.dsp.bands import CENTRES_HZ
from stemwright.errors import RecipeError
from stemwright.passes import riding
from stemwright.passes.riding import WITH, with_rides
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.recipes.by_hand import ByHand

RATE_HZ = 1000
LONG, GAP = 150, 60  # frames of 10 ms: phrases of 1.5 s, pauses of 0.6 s
FULL = {"keep_percent": 0.0, "follow_percent": 0.0, "at_most_db": 6.0}


def sung(*levels_db):
    """Return the powers of phrases at these levels, flat over all bands, with a pause behind each."""
    parts = [
        (np.full((LONG, len(CENTRES_HZ)), 10.0 ** (db / 10.0)), np.full((GAP, len(CENTRES_HZ)), 1e-11)) for db in levels_db
    ]
    return np.concatenate([each for pair in parts for each in pair])


EVEN, LOUD_LAST = sung(-20.0, -20.0, -20.0), sung(-20.0, -20.0, -20.0, -14.0)
SECONDS = 3 * (LONG + GAP) / 100.0


def ride(name="ride", *, points=(), why="", **settings):
    return PlannedMove(kind="ride", name=name, why=why, settings=FULL | settings, points=points)


def item(stem, *moves, family=None, role=None, rate_hz=RATE_HZ, seconds=SECONDS, status="prepped"):
    frames = round(seconds * rate_hz)
    received = InputFacts(
        path=stem, sha256=stem, frames=frames, channels=1, rate_hz=rate_hz, container="WAV", subtype="PCM_24"
    )
    form = DeliverAs(path=stem, container="WAV", subtype="PCM_24", rate_hz=rate_hz, frames=frames)
    return PlanItem(
        stem=stem, input=received, role=role, family=family, recipe=None, matched_by="", status=status, why="", moves=moves,
        deliver_as=form,
    )  # fmt: skip


@pytest.fixture
def rides(monkeypatch, tmp_path):
    """Return what `with_rides` makes of items and their powers: stem to item."""

    def make(*held, by_hand=None, of=None):
        power = {each.stem: matrix for each, matrix in held}
        monkeypatch.setattr(riding, "matrices", lambda _song, files, _pool: {stem: power[stem] for stem in files})
        found = with_rides(SimpleNamespace(folder=tmp_path), [each for each, _ in held], None, by_hand or {}, of)
        return {each.stem: each for each in found}

    return make


def gains(found, at=-1):
    return sorted({round(gain_db, 1) for _, gain_db, _ in found.moves[at].points})


# 6 dB over the three others, of which w (1 - (0.8/w)^2) is taken: 5.9 dB.
def test_a_ride_gets_its_points_and_what_is_no_ride_is_as_it_was(rides):
    gain = PlannedMove(kind="gain", name="level", why="", settings={"gain_db": -3.0})
    found = rides((item("a.wav", ride(), gain, seconds=9.0), LOUD_LAST), (item("b.wav", gain), EVEN))
    assert gains(found["a.wav"], 0) == [-5.9, 0.0]
    assert found["a.wav"].moves[1] == gain
    assert found["b.wav"].moves == (gain,)


def test_a_plan_without_rides_is_listened_to_by_nobody(monkeypatch):
    monkeypatch.setattr(riding, "matrices", lambda *_: pytest.fail("listened"))
    items = [item("a.wav"), replace(item("b.wav"), input=None)]
    assert with_rides(SimpleNamespace(folder=None), items, None, {}) == items


# A voice goes along with the track under it: with the instruments, not with other voices; what is no voice goes along with nothing.
@pytest.mark.parametrize(
    ("family", "under", "moved"),
    [("vocals", "music", True), ("vocals", "vocals", False), ("music", "music", False), (None, "music", False)],
)
def test_a_voice_follows_the_instruments(rides, family, under, moved):
    voice = item("voice.wav", ride(keep_percent=100.0, follow_percent=50.0), family=family)
    found = rides((voice, EVEN), (item("track.wav", family=under), sung(-30.0, -30.0, -22.0)))
    # Half of 8 dB is 4, of which 4 (1 - (0.8/4)^2) = 3.84 are done.
    assert gains(found["voice.wav"]) == ([0.0, 3.8] if moved else [])


def test_a_voice_without_a_track_follows_nothing(rides):
    found = rides((item("voice.wav", ride(keep_percent=100.0, follow_percent=50.0), family="vocals"), EVEN))
    assert found["voice.wav"].moves[0].points == ()


def test_a_ride_hears_its_stem_after_its_other_moves_and_not_after_itself(rides):
    # A gain of 6 dB from 6.3 s on makes the last of four even phrases the loud one.
    lift = PlannedMove(kind="gain", name="up", why="", settings={"gain_db": 6.0})
    there = replace(lift, only=SimpleNamespace(spans=((6300, 9000),)))
    four = sung(-20.0, -20.0, -20.0, -20.0)
    assert gains(rides((item("a.wav", there, ride(), seconds=9.0), four))["a.wav"]) == [-5.9, 0.0]
    again = rides((item("a.wav", ride(points=((0, 9.0, 2.8), (9000, 9.0, 2.8))), seconds=9.0), LOUD_LAST))
    assert gains(again["a.wav"]) == [-5.9, 0.0]


def test_both_sides_of_a_pair_get_the_points_of_both_together(rides):
    left, right = item("gtr L.wav", ride(), seconds=9.0), item("gtr R.wav", ride(), seconds=9.0)
    found = rides((left, LOUD_LAST), (right, sung(-20.0, -20.0, -20.0, -20.0)))
    # (10^-1.4 + 10^-2) / (2 * 10^-2) = 3.97 dB over the others; w (1 - (0.8/w)^2) = 3.81.
    assert gains(found["gtr L.wav"]) == gains(found["gtr R.wav"]) == [-3.8, 0.0]


# A note gives points to the rides it made and leaves all others as they were.
def test_only_rides_without_points_of_the_stems_asked_for_are_found(rides):
    had = ((0, 1.0, 1.12), (9, 1.0, 1.12))
    held = [
        (item("new.wav", ride(), seconds=9.0), LOUD_LAST),
        (item("had.wav", ride(points=had), seconds=9.0), LOUD_LAST),
        (item("other.wav", ride(), seconds=9.0), LOUD_LAST),
    ]
    found = rides(*held, of=["new.wav", "had.wav"])
    assert gains(found["new.wav"]) == [-5.9, 0.0]
    assert found["had.wav"].moves[0].points == had
    assert found["other.wav"].moves[0].points == ()
    assert gains(rides(*held)["had.wav"]) == [-5.9, 0.0]


def hand(start_s, end_s, gain_db):
    return (ByHand(start_s=start_s, end_s=end_s, gain_db=gain_db),)


def test_a_gain_by_hand_gets_a_ride_that_finds_nothing_itself(rides):
    found = rides((item("a.wav", seconds=9.0), LOUD_LAST), by_hand={"a.wav": hand(0.0, 1.5, 2.0)})
    (move,) = found["a.wav"].moves
    assert (move.kind, move.name, move.why) == ("ride", "ride by hand", "session sheet; by hand 0:00-0:01.5 +2 dB")
    assert gains(found["a.wav"]) == [0.0, 2.0]  # the loud phrase stays


@pytest.mark.parametrize("changed", [{"input": None}, {"deliver_as": None}])
def test_a_stem_without_a_file_gets_no_ride_by_hand(rides, changed):
    without = replace(item("a.wav"), **changed)
    assert rides((without, EVEN), by_hand={"a.wav": hand(0.0, 1.5, 2.0)})["a.wav"] == without


def test_a_gain_by_hand_stands_beside_what_a_ride_finds_and_in_its_reason_once(rides):
    old = ride(why="the recipe's; by hand 0:00-0:02 -9 dB")
    found = rides((item("a.wav", old, seconds=9.0), LOUD_LAST), by_hand={"a.wav": hand(0.0, 1.5, 2.0)})
    assert len(found["a.wav"].moves) == 1
    assert found["a.wav"].moves[0].why == "the recipe's; by hand 0:00-0:01.5 +2 dB"
    assert gains(found["a.wav"]) == [-5.9, 0.0, 2.0]
    assert rides((item("a.wav", old, seconds=9.0), LOUD_LAST))["a.wav"].moves[0].why == "the recipe's"


def test_a_gain_by_hand_goes_to_the_ends_of_a_phrase_that_is_the_only_one(rides):
    # One phrase, from 0 to 1.5 s, is compared with nothing; ends within a quarter of a second of its own go there.
    found = rides((item("a.wav", ride(), seconds=2.1), sung(-20.0)), by_hand={"a.wav": hand(0.2, 1.3, 2.0)})
    held = [frame for frame, gain_db, _ in found["a.wav"].moves[0].points if gain_db == 2.0]
    assert min(held) < 200
    assert max(held) >= 1500


def test_a_gain_by_hand_takes_no_second_ride_where_there_is_one_with_points(rides):
    found = rides(
        (item("a.wav", ride(points=((0, 1.0, 1.12),)), seconds=9.0), LOUD_LAST), by_hand={"a.wav": hand(0.0, 1.5, 2.0)}
    )
    assert [move.name for move in found["a.wav"].moves] == ["ride"]


def test_a_gain_by_hand_on_one_side_of_a_pair_is_on_both_unless_the_other_has_its_own(rides):
    both = [(item(f"gtr {side}.wav", seconds=9.0), LOUD_LAST) for side in "LR"]
    found = rides(*both, by_hand={"gtr L.wav": hand(0.0, 1.5, 2.0)})
    assert found["gtr L.wav"].moves[0].points == found["gtr R.wav"].moves[0].points != ()
    found = rides(*both, by_hand={"gtr L.wav": hand(0.0, 1.5, 2.0), "gtr R.wav": hand(0.0, 1.5, -2.0)})
    assert [gains(found[f"gtr {side}.wav"]) for side in "LR"] == [[0.0, 2.0], [-2.0, 0.0]]


# A stem of 6.3 s: what begins at its end begins after it.
@pytest.mark.parametrize(("start_s", "refused"), [(6.2, False), (6.3, True), (7.0, True)])
def test_a_gain_by_hand_begins_before_the_stems_end(rides, start_s, refused):
    asked = {"a.wav": hand(start_s, start_s + 1.0, 2.0)}
    if not refused:
        assert rides((item("a.wav"), EVEN), by_hand=asked)["a.wav"].moves[0].kind == "ride"
        return
    with pytest.raises(RecipeError, match=r"session\.yaml:1:1: stems\.a\.wav: begins after .* a\.wav is 0:06\.3 long$"):
        rides((item("a.wav"), EVEN), by_hand=asked)


def lead(**named):
    return item("lead.wav", ride(why="evened", **named), role="lead vocal", seconds=9.0)


def test_a_double_gets_its_leads_ride_at_its_own_rate_behind_its_moves(rides):
    gain = PlannedMove(kind="gain", name="level", why="", settings={"gain_db": -3.0})
    double = item("double.wav", gain, role="doubles", rate_hz=2 * RATE_HZ, seconds=9.0)
    found = rides((lead(), LOUD_LAST), (double, sung(-30.0, -30.0, -30.0, -30.0)))
    first, along = found["double.wav"].moves
    assert (first, along.name, along.why) == (gain, f"{WITH}lead.wav", "a double goes with its lead: evened")
    assert [(2 * frame, db) for frame, db, _ in found["lead.wav"].moves[0].points] == [
        (frame, db) for frame, db, _ in along.points
    ]
    again = rides((lead(), LOUD_LAST), (found["double.wav"], sung(-30.0, -30.0, -30.0, -30.0)))
    assert again["double.wav"].moves == (first, along)


@pytest.mark.parametrize(
    "double",
    [
        item("double.wav", role="adlibs", seconds=9.0),
        replace(item("double.wav", role="doubles", seconds=9.0), input=None),
        item("double.wav", role="doubles", seconds=9.0, status="skipped"),
        item("double.wav", role="doubles", seconds=9.0, status="failed"),
        item("double.wav", role="doubles", seconds=9.0, status="left"),
    ],
)
def test_what_is_no_double_that_can_be_moved_gets_none(rides, double):
    assert rides((lead(), LOUD_LAST), (double, LOUD_LAST))["double.wav"] == double


def test_a_double_with_a_ride_of_its_own_keeps_it_and_one_whose_lead_stands_still_loses_it(rides):
    own = item("double.wav", ride(), role="doubles", seconds=9.0)
    found = rides((lead(), LOUD_LAST), (own, sung(-20.0, -14.0, -20.0, -20.0)))["double.wav"]
    assert [move.name for move in found.moves] == ["ride"]
    gain = PlannedMove(kind="gain", name="level", why="", settings={"gain_db": -3.0})
    before = item("double.wav", gain, ride(f"{WITH}lead.wav", points=((0, 1.0, 1.12),)), role="doubles", seconds=9.0)
    still = rides((lead(), sung(-20.0, -20.0, -20.0, -20.0)), (before, LOUD_LAST))["double.wav"]
    assert still.moves == (gain,)
    alone = rides((item("keys.wav", ride(), seconds=9.0), LOUD_LAST), (before, LOUD_LAST))["double.wav"]
    assert alone == before  # no lead is ridden
