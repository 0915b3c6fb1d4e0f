"""What de-essers took and which rides moved nothing, said after rendering; and what a stage of its own is made of."""

from __future__ import annotations

import re

import numpy as np
import pytest

from stemwright.passes.stages import chain, reductions, through
from stemwright.plan.items import PlannedMove
from stemwright.plan.only import Only
from stemwright.plan.resolve import sections_of

RATE_HZ = 48_000
T = np.arange(RATE_HZ) / RATE_HZ
HISS, HUM = (0.2 * np.sin(2 * np.pi * freq_hz * T)[:, np.newaxis] for freq_hz in (7000.0, 200.0))


def de_ess(name, only=None):
    settings = {"freq_hz": 5000.0, "over_db": -8.0, "most_db": 4.0, "attack_ms": 2.0, "release_ms": 60.0}
    where = None if only is None else Only(said=("there",), fade_frames=480, spans=only)
    sections = sections_of("de_ess", settings, RATE_HZ)
    return PlannedMove(kind="de_ess", name=name, why="", settings=settings, sections=sections, only=where)


def gain(gain_db, only=None):
    where = None if only is None else Only(said=("there",), fade_frames=480, spans=only)
    sections = sections_of("gain", {"gain_db": gain_db}, RATE_HZ)
    return PlannedMove(kind="gain", name="level", why="", settings={"gain_db": gain_db}, sections=sections, only=where)


def said(sound, *moves):
    stages = chain(moves, RATE_HZ, 1)
    for _ in through(stages, [sound]):
        pass
    return reductions(moves, stages)


# A tone that is all hiss lies over any limit, so the most that is allowed is taken, all the time; of a hum there is none to take.
def test_a_de_esser_says_what_it_took():
    (line,) = said(HISS, de_ess("ess"))
    found = re.fullmatch(r"ess: took (\d\.\d) dB at most, (\d\.\d) dB on average while it worked, (\d+)% of the time", line)
    assert float(found[1]) == pytest.approx(4.0, abs=0.05)
    assert 3.0 < float(found[2]) <= 4.0
    assert int(found[3]) >= 95
    assert said(HUM, de_ess("ess")) == ("ess: had nothing to take",)


def test_each_de_esser_is_told_by_its_own_name_in_branches_too():
    # The first takes 4 dB from the hiss; the second, behind a gain that is made in a place, meets what is left.
    lines = said(HISS, de_ess("one"), gain(-6.0, ((0, 100),)), de_ess("two"))
    assert [line.split(":")[0] for line in lines] == ["one", "two"]
    assert all(": took " in line for line in lines)
    there = said(HISS, de_ess("there", ((0, RATE_HZ),)), de_ess("after"))
    assert [line.split(":")[0] for line in there] == ["there", "after"]


def test_a_ride_without_points_says_that_nothing_was_moved():
    still = PlannedMove(kind="ride", name="ride", why="", settings={"at_most_db": 4.0})
    moved = PlannedMove(kind="ride", name="other", why="", settings={"at_most_db": 4.0}, points=((0, 0.0, 1.0),))
    assert said(HUM, still, moved) == ("ride: the phrases lie evenly enough; nothing was moved",)
    assert said(HUM, gain(-6.0)) == ()


def test_a_gain_in_a_place_with_nothing_behind_it_that_remembers_is_exact_there():
    moves = (gain(-6.0, ((10_000, 20_000),)), gain(-3.0, ((30_000, 40_000),)))
    out = np.concatenate(list(through(chain(moves, RATE_HZ, 1), [HUM])))
    assert len(chain(moves, RATE_HZ, 1)) == 2
    inside, rest = slice(10_480, 19_520), slice(40_480, None)
    assert out[inside] == pytest.approx(HUM[inside] * 10 ** (-6.0 / 20))
    assert np.array_equal(out[rest], HUM[rest])
    assert np.array_equal(out[:9_520], HUM[:9_520])
