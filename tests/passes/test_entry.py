"""One stem of a pass: what is said of it, by the plan and by the rendering; and what is not said did not happen."""

from __future__ import annotations

from stemwright.passes.entry import Entry, LevelPair, Output
from stemwright.plan.items import PlanItem

ITEM = PlanItem(
    stem="a.wav", input=None, role=None, recipe=None, matched_by="", status="skipped", why="", messages=("planned",)
)


def test_what_is_not_said_of_a_stem_did_not_happen():
    plain = Entry(item=ITEM, output=None)
    assert (plain.stem, plain.sha256, plain.levels, plain.match_gain_db) == ("a.wav", None, LevelPair(), None)
    assert (plain.went_over, plain.messages, plain.taken_from) == (False, (), None)


def test_the_plans_messages_come_before_those_of_rendering():
    output = Output(path="a.wav", container="WAV", subtype="PCM_24", sha256="0" * 64, samples_sha256=None)
    told = Entry(item=ITEM, output=output, messages=("rendered",))
    assert (told.all_messages, told.sha256) == (("planned", "rendered"), "0" * 64)
