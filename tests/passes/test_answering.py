"""Answering: how an ask was understood, what changes in a stem's sound, and what stands against an ask, in words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from stemwright.errors import AudioError
from stemwright.notes.applying import Asked
from stemwright.notes.frames import Ask, Back
from stemwright.notes.language import NoteError
from stemwright.passes import heard
from stemwright.passes.answering import Answered, Answering
from stemwright.passes.heard import CENTRES_HZ
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.recipes.moves import Move
from stemwright.recipes.timeline import Timeline
from stemwright.recipes.words import Meaning, Understood, Vocabulary, Word

BANDS = len(CENTRES_HZ)
RECEIVED = InputFacts(path="a.wav", sha256="0" * 64, frames=9, channels=2, rate_hz=48_000, container="WAV", subtype="PCM_24")
FORM = DeliverAs(path="a.wav", container="WAV", subtype="PCM_24", rate_hz=48_000, frames=9)
ITEM = PlanItem(
    stem="a.wav", input=RECEIVED, role=None, recipe=None, matched_by="", status="prepped", why="", deliver_as=FORM
)
ASK = Ask(stems=("a.wav",), named=True, word="bite", amount=0.5, gain_db=None, text="a little more bite")


def gain(gain_db):
    return PlannedMove(kind="gain", name="level", why="", settings={"gain_db": gain_db})


def corner(kind, freq_hz):
    return PlannedMove(kind=kind, name=kind, why="", settings={"freq_hz": freq_hz, "slope_db_oct": 12.0})


def with_moves(*moves, **changed):
    return replace(ITEM, moves=moves, **changed)


@pytest.mark.parametrize(
    ("gain_db", "sign", "words"),
    [
        (None, 1.0, "bite x0.5 (house: the front of a note)"),
        (-2.0, 1.0, "bite -2 dB (house: the front of a note)"),
        (None, -1.0, "bite x0.5, which is blunt turned round (house: the front of a note)"),
    ],
)
def test_how_a_word_was_understood_is_said(gain_db, sign, words):
    understood = Understood(
        name="bite" if sign > 0 else "blunt", sign=sign, meaning=Meaning(), why="the front of a note", source="house"
    )
    asked = Asked(ask=replace(ASK, gain_db=gain_db), understood=understood, number=1, by=None)
    assert Answered(stem="a.wav", asked=asked).words == words


def work(*items, power=None, last=(), because=None):
    before = SimpleNamespace(name="pass-01", items=lambda: list(last or items), because=SimpleNamespace(came_from=because))
    found = Answering(None, before, {each.stem: each for each in items}, None, 2, None, Timeline())
    found._power = {each.stem: np.ones(BANDS) if power is None else power for each in items}
    return found


def measured(now, was, power=None):
    return work(now, power=power).measured(now, was)


# The least that is heard is 1 dB; what is a twentieth under it passes for it.
@pytest.mark.parametrize(
    ("gain_db", "ending"),
    [
        (2.0, "+2 dB on average"),
        (-2.0, "-2 dB on average"),
        (0.951, "+0.95 dB on average"),
        (0.94, "+0.94 dB on average; under 1 dB is hardly heard"),
        (-0.94, "-0.94 dB on average; under 1 dB is hardly heard"),
    ],
)
def test_a_change_is_said_over_the_band_it_is_made_in(gain_db, ending):
    # All third octaves from 20 Hz to 20 kHz: 17.8 Hz to 22.39 kHz.
    assert measured(with_moves(gain(gain_db)), ITEM) == f"17.78 Hz to 22.39 kHz {ending}"
    assert measured(with_moves(gain(gain_db + 3.0)), with_moves(gain(3.0))).endswith(ending)


def test_where_nothing_changes_nothing_is_said():
    assert not measured(with_moves(gain(3.0)), with_moves(gain(3.0)))


# A bell of an octave at 10 kHz on a stem that has next to nothing there: 50 dB under all of it is the end.
@pytest.mark.parametrize(("under_db", "quiet"), [(-49.0, False), (-51.0, True)])
def test_a_change_of_what_is_not_there_is_said_to_be_hardly_heard(under_db, quiet):
    bell = PlannedMove(kind="bell", name="air", why="", settings={"freq_hz": 10_000.0, "gain_db": 6.0, "q": 8.0})
    power = np.zeros(BANDS)
    power[5], power[27] = 1.0, 10.0 ** (under_db / 10.0)
    said = measured(with_moves(bell), ITEM, power)
    assert said.endswith("; hardly heard: this stem has next to nothing there") == quiet
    assert said.startswith("8.913 kHz to 11.22 kHz +")


def test_corners_are_said_by_where_they_are_and_not_by_an_average():
    high, low = corner("high_pass", 90.0), corner("low_pass", 9000.0)
    assert measured(with_moves(high, low), ITEM) == (
        "starts to fall below 90 Hz, where it is -3 dB; starts to fall above 9 kHz, where it is -3 dB"
    )
    assert measured(ITEM, with_moves(high, low)) == "falls no more below 90 Hz; falls no more above 9 kHz"
    moved = measured(with_moves(corner("high_pass", 120.0), gain(2.0)), with_moves(high))
    assert moved == (
        "starts to fall below 120 Hz, where it is -3 dB; falls no more below 90 Hz; 17.78 Hz to 22.39 kHz +2 dB on average"
    )


# What has no file cannot be changed, by name or in a crowd.
@pytest.mark.parametrize(
    ("item", "message"),
    [
        (replace(ITEM, deliver_as=None, status="skipped", why="not now"), "has no file in the last pass (skipped: not now)"),
        (replace(ITEM, input=None, status="failed", why="cut short"), "has no file in the last pass (failed: cut short)"),
        (replace(ITEM, status="failed", why="cut short"), "has no file in the last pass (failed: cut short)"),
        (replace(ITEM, status="skipped", why="not now"), "has no file in the last pass (skipped: not now)"),
        (
            replace(ITEM, status="left", matched_by="session sheet", why="as it is"),
            "left as received on purpose (as it is); to change it, take that out of session.yaml and prep",
        ),
    ],
)
def test_a_stem_that_cannot_be_changed_is_said_with_its_reason(item, message):
    named = work(item)
    named.do(ASK)
    with pytest.raises(NoteError) as caught:
        named.raise_any()
    assert str(caught.value) == (
        f"the note is understood, but cannot be done as it stands, so nothing was done:\n  a.wav: {message}"
    )
    crowd = work(item)
    crowd.do(replace(ASK, named=False))
    assert crowd.passed_over == [f"a.wav: {message}"]
    with pytest.raises(NoteError, match=r"  a little more bite: it does nothing to any stem it is about$"):
        crowd.raise_any()


def test_a_note_without_problems_raises_none():
    work(ITEM).raise_any()


def test_a_stem_that_a_note_leaves_out_does_not_go_back():
    both = [replace(with_moves(corner("high_pass", 90.0)), stem=name) for name in ("a.wav", "b.wav")]
    asked = work(*both)
    asked.go_back(Back(stems=(), way="notch", text="no notches"), {"a.wav", "b.wav"})
    with pytest.raises(NoteError, match="no notches: "):
        asked.raise_any()
    notch = replace(corner("notch", 900.0))
    notched = [replace(with_moves(notch), stem=name) for name in ("a.wav", "b.wav")]
    asked = work(*notched, last=notched, because="pass-00")
    asked._plan_of = lambda _: {}
    asked.go_back(Back(stems=(), way="notch", text="no notches"), {"a.wav"})
    asked.raise_any()
    assert [asked.items[name].moves for name in ("a.wav", "b.wav")] == [(notch,), ()]


# 50 dB under the whole, and 0.95 dB, are still heard: what is under them is not.
@pytest.mark.parametrize(
    ("mean_db", "share_db", "ending"),
    [
        (2.0, -50.0, "+2 dB on average"),
        (2.0, -50.1, "+2 dB on average; hardly heard: this stem has next to nothing there"),
        (0.95, 0.0, "+0.95 dB on average"),
        (-0.95, 0.0, "-0.95 dB on average"),
        (0.949, 0.0, "+0.95 dB on average; under 1 dB is hardly heard"),
    ],
)
def test_the_least_that_is_heard(monkeypatch, mean_db, share_db, ending):
    monkeypatch.setattr(heard, "change", lambda *_: heard.Change(900.0, 1100.0, mean_db, share_db))
    assert measured(with_moves(gain(1.0)), ITEM) == f"900 Hz to 1.1 kHz {ending}"


def words(gain_db):
    move = Move("gain", "gain", "", off=False, settings={"gain_db": gain_db})
    return Vocabulary([Word(name="bite", why="the front of a note", means=(Meaning(moves=(move,)),))])


# A step under 1 dB grows to 1 dB, to a thousandth of a plain "more": 1 / 0.7 = 1.429; dB that were written stay as they are.
@pytest.mark.parametrize(("gain_db", "asked_db", "amount"), [(0.7, None, 1.429), (2.0, None, 1.0), (0.7, 0.3, 1.0)])
def test_a_word_moves_by_a_decibel_at_least_and_by_what_was_written_where_it_was(gain_db, asked_db, amount):
    asked = work(ITEM)
    asked._vocabulary = words(gain_db)
    asked.do(replace(ASK, amount=1.0, gain_db=asked_db))
    asked.raise_any()
    (answered,) = asked.answered
    assert answered.asked.ask.amount == amount
    (move,) = asked.items["a.wav"].moves
    assert move.settings["gain_db"] == pytest.approx(asked_db or gain_db * amount, abs=0.005)


def test_a_file_that_cannot_be_read_is_not_this_rooms_to_say(monkeypatch):
    def unreadable(*_):
        raise AudioError("a.wav: cut short")

    monkeypatch.setattr(heard, "spectrum", unreadable)
    asked = work(ITEM)
    asked._power, asked._song, asked._vocabulary = {}, SimpleNamespace(folder=Path()), words(0.7)
    asked.do(replace(ASK, amount=1.0))
    assert asked.answered[0].asked.ask.amount == 1.0
