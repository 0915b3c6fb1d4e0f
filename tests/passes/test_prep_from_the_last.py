"""What a new plan takes from the last pass: sections and rings of moves that are set as they were, and stems nobody asked for."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from stemwright.errors import SongError
from stemwright.passes.prep import _as_stored, choose, prep
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem, PlannedMove

RECEIVED = InputFacts(path="a.wav", sha256="0" * 64, frames=9, channels=2, rate_hz=48_000, container="WAV", subtype="PCM_24")
FORM = DeliverAs(path="a.wav", container="WAV", subtype="PCM_24", rate_hz=48_000, frames=9)
HERE, THERE = (((float(digit), 0.0, 0.0, 1.0, 0.0, 0.0),) for digit in (1, 2))  # the same settings designed on two machines


def bell(sections, *, found=None, **settings):
    asked = {"freq_hz": 3000.0, "gain_db": 1.5, "q": 1.0} | settings
    return PlannedMove(kind="bell", name="bite", why="", settings=asked, sections=sections, found=found)


def item(*moves, stem="a.wav", **received):
    return PlanItem(
        stem=stem, input=replace(RECEIVED, **received), role=None, recipe=None, matched_by="", status="prepped", why="",
        moves=moves, deliver_as=FORM, seed=7,
    )  # fmt: skip


def manifest(*items, intact=True):
    return SimpleNamespace(name="pass-01", plan_intact=intact, items=lambda: list(items))


def moves_of(new, old, **named):
    (found,) = _as_stored([new], manifest(old, **named))
    return found.moves


@pytest.mark.parametrize(
    ("old", "taken"),
    [
        (item(bell(THERE)), True),
        (item(bell(THERE), sha256="1" * 64), True),  # another take, and the same settings
        (item(bell(THERE, gain_db=1.6)), False),
        (item(bell(THERE), rate_hz=44_100), False),  # sections of another rate are another filter
        (item(bell(THERE), stem="b.wav"), False),
        (replace(item(bell(THERE)), input=None), False),
        (item(replace(bell(THERE), kind="notch")), False),
    ],
)
def test_moves_set_as_they_were_keep_their_sections(old, taken):
    assert moves_of(item(bell(HERE)), old)[0].sections == (THERE if taken else HERE)


def test_a_stem_that_cannot_be_read_and_a_plan_that_was_edited_take_nothing():
    unread = replace(item(bell(HERE)), input=None)
    assert _as_stored([unread], manifest(item(bell(THERE)))) == [unread]
    assert moves_of(item(bell(HERE)), item(bell(THERE)), intact=False)[0].sections == HERE
    assert _as_stored([item(bell(HERE))], None) == [item(bell(HERE))]


# What was measured of a ring is of the recording it was measured on.
@pytest.mark.parametrize(("sha256", "excess_db"), [("0" * 64, 6.0), ("1" * 64, 6.1)])
def test_what_was_found_of_a_ring_stays_with_its_recording(sha256, excess_db):
    old = item(bell(THERE, found={"excess_db": 6.0}), sha256=sha256)
    (move,) = moves_of(item(bell(HERE, found={"excess_db": 6.1})), old)
    assert (move.sections, move.found) == (THERE, {"excess_db": excess_db})
    assert moves_of(item(bell(HERE)), old)[0].found is None
    (now_found,) = moves_of(item(bell(HERE, found={"excess_db": 6.1})), item(bell(THERE)))
    assert now_found.found == {"excess_db": 6.1}


def seen(*items, last=None, **more):
    return SimpleNamespace(song=SimpleNamespace(stems=[each.stem for each in items]), last=last, **more)


def test_without_names_the_whole_plan_is_chosen():
    plan = [item(bell(HERE)), item(bell(HERE), stem="b.wav")]
    assert choose(seen(*plan), plan, ()) == plan


def test_what_was_not_asked_for_stays_as_the_last_pass_has_it_or_has_no_file_yet():
    plan = [item(bell(HERE), stem=stem) for stem in ("a.wav", "b.wav", "c.wav")]
    old = item(bell(THERE, gain_db=9.0), stem="b.wav")
    asked, stays, new = choose(seen(*plan, last=manifest(old)), plan, ["a"])
    assert (asked, stays) == (plan[0], old)
    assert (new.status, new.why, new.moves, new.seed, new.deliver_as) == (
        "skipped",
        "not asked for (--only)",
        (),
        None,
        None,
    )
    assert [each.status for each in choose(seen(*plan), plan, ["c.wav"])] == ["skipped", "skipped", "prepped"]


@pytest.mark.parametrize("named", [{}, {"other_recipes": True}])
def test_recipes_out_of_reach_stop_a_pass_unless_they_are_left_out_on_purpose(named, monkeypatch):
    monkeypatch.setattr("stemwright.passes.prep.forgotten", lambda *_: "pass-01 used recipes from a folder")
    kept = SimpleNamespace(apply=list, hashes={}, passes=())
    monkeypatch.setattr("stemwright.passes.prep.kept_stems", lambda *_: kept)
    look = seen(
        last=manifest(), in_reach=(), folders=(), facts={}, recipes=[],
        sheet=SimpleNamespace(deliver=SimpleNamespace(overs="float")),
    )  # fmt: skip
    maker = SimpleNamespace(make=lambda request: request)
    if named:
        request = prep(look, [], maker, **named)
        assert (request.because.kind, request.because.came_from, request.overs) == ("prep", "pass-01", "float")
    else:
        with pytest.raises(SongError, match=r"^pass-01 used recipes from a folder$"):
            prep(look, [], maker)
