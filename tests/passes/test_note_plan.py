"""A note worked out: what it is about, what it changes, what a person should know of it; and how it becomes a pass."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from stemwright.notes.frames import Ask, Back
from stemwright.passes.in_the_beat import NOT_HEARD_YET
from stemwright.passes.note import NotePlan, _by_hand, _flag, _moved, _took_in, _unread, answer, plan_note
from stemwright.passes.song import open_song
from stemwright.plan.items import NoteMark, PlanItem, PlannedMove, Said


def gain(gain_db, *, noted=True):
    mark = NoteMark(
        word="loud", meaning="", amount=1.0, base_db=1.0, said=(Said(note=1, text="louder", by=None, amount=1.0),)
    )
    return PlannedMove(
        kind="bell", name="note 1: loud", why="", settings={"freq_hz": 1000.0, "gain_db": gain_db, "q": 1.0},
        note=mark if noted else None,
    )  # fmt: skip


def item(stem, *moves, role=None):
    return PlanItem(
        stem=stem, input=None, role=role, recipe=None, matched_by="", status="prepped", why="", moves=moves, deliver_as=None
    )


def test_what_a_note_is_about_is_said_once_for_each_part():
    ask = Ask(stems=("a.wav", "b.wav"), named=True, word="bite", amount=1.0, gain_db=None, text="more bite")
    back = Back(stems=(), way="pass", text="undo that")
    assert _took_in([ask, ask], [back], ["c.wav", "d.wav", "c.wav"]) == [
        "more bite -> a.wav, b.wav",
        "undo that -> what the newest pass changed",
        "kept off: c.wav, d.wav",
    ]
    assert _took_in([], [], []) == []


def test_words_that_said_nothing_are_named_once():
    assert _unread(["well", "er", "well"]) == ["said nothing to us: well, er"]
    assert _unread([]) == []


# Over 9 dB in one band is flagged, 9 dB are not; what a recipe does counts for nothing here.
@pytest.mark.parametrize(
    ("moves", "flagged"),
    [
        ((gain(9.0),), None),
        ((gain(9.1),), "+9.1 dB"),
        ((gain(-9.5),), "-9.5 dB"),
        ((gain(12.0, noted=False),), None),
        ((), None),
    ],
)
def test_notes_that_add_up_to_much_are_flagged(moves, flagged):
    said = _flag(item("a.wav", *moves))
    assert said == (
        f"a.wav: its notes add up to {flagged} at 1 kHz, over 9 dB; the recipe or the recording may be what should change"
        if flagged
        else None
    )


def test_which_stems_move():
    before = [item("a.wav", gain(1.0)), item("b.wav"), item("c.wav")]
    assert _moved(before, [before[0], item("b.wav", gain(1.0)), replace(before[2], why="other")]) == ["b.wav"]


def test_gains_by_hand_go_to_the_stems_that_a_sheet_names():
    hand = ("0:01-0:02 +1 dB",)
    choices = {"vox": SimpleNamespace(ride=hand), "keys": SimpleNamespace(ride=())}
    items = [item("vox.wav"), item("keys.wav"), item("other.wav", role="vox")]
    found = _by_hand(SimpleNamespace(stems=choices), items)
    assert found["vox.wav"] == hand
    assert "keys.wav" not in found


def plan(**changed):
    was, now = item("a.wav", gain(1.0)), item("a.wav", gain(2.5))
    return NotePlan(**{
        "song": None, "text": "more bite", "by": "Ann", "last": SimpleNamespace(name="pass-03", items=lambda: [was]),
        "items": (now,), "answered": (), "changed": ("a.wav",), "taken": ("taken as: a.wav: more bite",),
        "passed_over": ("b.wav: has no file",), "flagged": ("much",),
        "took_in": ("more bite -> a.wav",), "measured": {"a.wav": "1 kHz +1.5 dB"}, "in_the_beat": {"a.wav": "heard"},
        "beat_known": True, "facts": {}, "kept": SimpleNamespace(hashes={}, passes=()), "overs": "float", **changed,
    })  # fmt: skip


def test_a_plan_says_what_happens_to_a_stem_and_what_is_heard_of_it():
    assert plan().moves("a.wav") == ["bell 1 kHz +1 -> +2.5 dB [note 1: loud]"]
    assert plan().heard("a.wav") == ["1 kHz +1.5 dB", "heard"]
    assert plan(in_the_beat={}).heard("a.wav") == ["1 kHz +1.5 dB"]
    assert plan().heard("b.wav") == []
    data = plan().as_json()
    assert (data["note"], data["by"], data["from"], data["changed"]) == (
        "more bite", "Ann", "pass-03", {"a.wav": ["bell 1 kHz +1 -> +2.5 dB [note 1: loud]"]},
    )  # fmt: skip
    assert (data["measured"], data["flagged"], data["passed_over"]) == (
        {"a.wav": "1 kHz +1.5 dB"},
        ["much"],
        ["b.wav: has no file"],
    )


def test_that_nobody_listened_yet_is_said_where_something_changes():
    assert plan().remarks == ["taken as: a.wav: more bite", "passed over: b.wav: has no file", "warn  much"]
    assert plan(beat_known=False, taken=()).remarks == ["passed over: b.wav: has no file", NOT_HEARD_YET, "warn  much"]
    assert plan(beat_known=False, changed=(), taken=()).remarks == ["passed over: b.wav: has no file", "warn  much"]


def test_a_note_becomes_a_request_on_top_of_the_last_pass():
    last = SimpleNamespace(name="pass-03", items=list, recipes=("recipe",))
    request = answer(plan(last=last), SimpleNamespace(make=lambda asked: asked))
    because = request.because
    assert (because.kind, because.text, because.by, because.came_from) == ("note", "more bite", "Ann", "pass-03")
    assert (request.last, [each.sources for each in request.recipes], request.overs) == (last, [("recipe",)], "float")


def test_notes_are_numbered_one_after_the_other_and_what_is_flagged_is_of_stems_that_move(
    make_song, make_pass, make_note, executor
):
    song = make_song({"kick.wav": None, "piano.wav": None})
    make_pass(song)
    make_note(song, "kick: +12 dB at 100 Hz")
    found = plan_note(open_song(song), "piano:  +10 dB\n at 1 kHz", None, (), executor)
    assert found.text == "piano: +10 dB at 1 kHz"
    assert [flag.split(":")[0] for flag in found.flagged] == ["piano.wav"]
    assert found.changed == ("piano.wav",)
    (moved,) = (each for each in found.items if each.stem == "piano.wav")
    assert moved.moves[-1].name.startswith("note 2: ")
    assert list(found.measured) == ["piano.wav"]
    assert found.overs == "float"


@pytest.mark.parametrize(("overs", "asked"), [("stop", "stop"), ("trim", "float"), ("float", "float")])
def test_a_note_never_trims_all_stems_for_one(make_song, make_pass, executor, overs, asked):
    song = make_song({"kick.wav": None}, f"deliver: {{overs: {overs}}}\n")
    make_pass(song)
    assert plan_note(open_song(song), "kick: 1 dB louder", None, (), executor).overs == asked
