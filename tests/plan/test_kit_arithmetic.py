"""Which stems are a kit, and what their sum loses where their moves turn them against each other; by scipy's responses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import butter, sosfreqz

from stemwright.plan.assignment import Assignment
from stemwright.plan.items import InputFacts, PlanItem, PlannedMove
from stemwright.plan.kit import FREQS_HZ, SHARED, losses, members, moved_roles, seeming, sharing_phase
from stemwright.recipes.library import house_dir, load_library

RATE_HZ = 48_000


def item(stem, *rows, rate_hz=RATE_HZ, linear=False):
    received = InputFacts(
        path=stem, sha256="0" * 64, frames=100, channels=1, rate_hz=rate_hz, container="WAV", subtype="PCM_24"
    )
    settings = {"freq_hz": 1.0, "slope_db_oct": 12.0} | ({"linear_phase": 1.0} if linear else {})
    moves = tuple(
        PlannedMove(kind="high_pass", name=f"{number}", why="", settings=settings, sections=tuple(map(tuple, each.tolist())))
        for number, each in enumerate(rows)
    )
    return PlanItem(stem=stem, input=received, role=None, recipe=None, matched_by="", status="prepped", why="", moves=moves)


def high_pass(freq_hz, order=2, rate_hz=RATE_HZ):
    return butter(order, freq_hz, "hp", fs=rate_hz, output="sos")


def worst(one, other, rate_hz=RATE_HZ):
    """Return what two sounds alike lose in their sum at most, where both let through -12 dB or more: (dB, degrees, Hz)."""
    responses = [sosfreqz(rows, FREQS_HZ, fs=rate_hz)[1] if len(rows) else np.ones(len(FREQS_HZ)) for rows in (one, other)]
    heard = (np.abs(responses[0]) >= 10**-0.6) & (np.abs(responses[1]) >= 10**-0.6)
    sums_db = 20 * np.log10(np.abs(sum(responses)) / sum(map(np.abs, responses)))
    at = int(np.argmin(np.where(heard, sums_db, np.inf)))
    return sums_db[at], abs(np.degrees(np.angle(responses[0][at] / responses[1][at]))), FREQS_HZ[at]


NOTHING = np.zeros((0, 6))
KIT = "; kit: in session.yaml makes the stems of a kit share phase"


@pytest.mark.parametrize("declared", [True, False])
@pytest.mark.parametrize(
    ("one", "other"),
    [
        (high_pass(120), high_pass(30)),
        (high_pass(200, 4), high_pass(90)),
        (high_pass(100), high_pass(60, 4)),  # what both have less than 12 dB under it is turned further, and not heard
    ],
)
def test_a_stem_is_told_what_its_sum_with_the_one_it_fits_worst_loses(one, other, declared):
    loss_db, degrees, at_hz = worst(one, other)
    kit = ["a.wav", "b.wav", "c.wav"]
    first, *_ = losses([item("a.wav", one), item("b.wav", other), item("c.wav", one)], kit, declared=declared)
    assert first.messages == (
        f"turned {degrees:.0f} degrees against b.wav at {at_hz:.4g} Hz: {-loss_db:.1f} dB less of it in their sum"
        + ("" if declared else KIT),
    )


def test_what_is_turned_above_1_khz_only_is_no_kits_loss():
    # A corner of 3 kHz lets through 19 dB less at 1 kHz, where what stems of a kit share ends.
    pair = [item("a.wav", high_pass(3000)), item("b.wav", NOTHING)]
    assert losses(pair, ["a.wav", "b.wav"], declared=True) == pair


# Half a decibel is the least worth a word: first-order high-passes at f and 20 Hz turn the more against each other the higher f is.
def test_half_a_decibel_is_the_least_worth_a_word():
    said = []
    for freq_hz in np.geomspace(25.0, 200.0, 25):
        pair = high_pass(freq_hz, 1), high_pass(20.0, 1)
        found = losses([item("a.wav", pair[0]), item("b.wav", pair[1])], ["a.wav", "b.wav"], declared=True)
        said.append((worst(*pair)[0] < -0.5, bool(found[0].messages)))
    assert [one for one, _ in said] == [other for _, other in said]
    assert {one for one, _ in said} == {True, False}


def test_linear_phase_turns_nothing_and_stems_of_other_rates_have_their_own_response():
    one, other = item("a.wav", high_pass(120), linear=True), item("b.wav", NOTHING)
    assert [each.messages for each in losses([one, other], ["a.wav", "b.wav"], declared=True)] == [(), ()]
    at_96 = item("b.wav", high_pass(120, rate_hz=96_000), rate_hz=96_000)
    found = losses([item("a.wav", high_pass(120)), at_96], ["a.wav", "b.wav"], declared=True)
    assert [each.messages for each in found] == [(), ()]


def test_stems_that_are_no_part_of_the_kit_or_were_not_read_are_left_alone():
    one, other = item("a.wav", high_pass(120)), item("b.wav", NOTHING)
    assert losses([one, other], ["a.wav"], declared=True) == [one, other]
    unread = replace(other, input=None)
    assert losses([one, unread], ["a.wav", "b.wav"], declared=True) == [one, unread]


@pytest.fixture(scope="module")
def recipes():
    return load_library([house_dir()])


def assigned(recipes, **roles):
    """Return assignments by stem; the role in the recipes, None for none."""
    return {
        f"{stem.replace('_', ' ')}.wav": Assignment(
            recipe=None if role is None else recipes.get(role), matched_by="", why=""
        )
        for stem, role in roles.items()
    }


def test_a_kit_is_listed_by_name_role_or_folder():
    roles = {"Snare Top.wav": "snare", "Toms.wav": "toms", "What.wav": None, "drums/room/far.wav": None}
    for listed, stems in (
        (["snare"], ["Snare Top.wav"]),
        (["Snare Top.wav"], ["Snare Top.wav"]),
        (["Snare Top", "What"], ["Snare Top.wav", "What.wav"]),
        (["drums/"], ["drums/room/far.wav"]),
        (["drums/room/"], ["drums/room/far.wav"]),
        (["room/", "drums"], []),
        ([], []),
    ):
        assert members(roles, listed) == stems


def test_close_drums_with_overheads_or_a_room_look_like_a_kit(recipes):
    close = assigned(recipes, Snare_Top="snare", Toms="toms")
    common = assigned(recipes, Overheads="cymbals")
    assert seeming(moved_roles(close)) == seeming(moved_roles(common)) == []
    assert seeming(moved_roles({**close, **common})) == ["Snare Top.wav", "Toms.wav", "Overheads.wav"]
    assert seeming(moved_roles({**close, **assigned(recipes, Crash="cymbals")})) == []
    assert seeming(moved_roles({**close, "Overheads.wav": replace(common["Overheads.wav"], leave=True)})) == []


def test_high_passes_of_a_kit_get_linear_phase_and_the_reason_after_what_was_there(recipes):
    found = assigned(recipes, Snare_Top="snare", Toms="toms", What=None)
    corner = next(move for move in found["Toms.wav"].moves if move.kind == "high_pass")
    found["Toms.wav"] = replace(found["Toms.wav"], because={corner.name: "rumble"})
    shared = sharing_phase(found, ["Toms.wav", "What.wav"])
    assert shared["Snare Top.wav"] == found["Snare Top.wav"]
    assert shared["What.wav"] == found["What.wav"]
    for move, was in zip(shared["Toms.wav"].recipe.moves, found["Toms.wav"].recipe.moves, strict=True):
        turned = was.kind == "high_pass"
        assert move.settings == (was.settings | {"linear_phase": 1.0} if turned else was.settings)
    assert shared["Toms.wav"].because[corner.name] == f"rumble; {SHARED}"
    alone = sharing_phase({"Toms.wav": replace(found["Toms.wav"], because={})}, ["Toms.wav"])
    assert alone["Toms.wav"].because[corner.name] == SHARED
