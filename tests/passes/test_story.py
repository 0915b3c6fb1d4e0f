"""What became of a stem's moves, as short as it goes: each line written out by hand from what was changed."""

from __future__ import annotations

from dataclasses import replace

import pytest
import soundfile

from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.story import short_changes, short_name, story_of
from stemwright.plan.items import PlannedMove
from stemwright.plan.only import Only

BITE = PlannedMove(kind="bell", name="bite", why="", settings={"freq_hz": 3000.0, "gain_db": 1.5, "q": 1.0})
LEVEL = PlannedMove(kind="gain", name="level", why="", settings={"gain_db": -3.0})
ROLL_OFF = PlannedMove(kind="high_pass", name="roll-off", why="", settings={"freq_hz": 90.0, "slope_db_oct": 12.0})
HOOK = Only(said=("hook",), fade_frames=480, spans=((0, 48_000),))


def set_to(move, **settings):
    return replace(move, settings=move.settings | settings)


def test_a_gain_is_said_by_how_much_it_changed():
    assert short_changes([], [BITE]) == "3 kHz +1.5 dB"
    assert short_changes([BITE], []) == "3 kHz -1.5 dB"
    assert short_changes([BITE], [set_to(BITE, gain_db=-1.0)]) == "3 kHz -2.5 dB"
    assert short_changes([LEVEL], [set_to(LEVEL, gain_db=-1.0)]) == "+2 dB"


def test_what_has_no_gain_is_said_whole_or_out():
    assert short_changes([], [ROLL_OFF]) == "high-pass 90 Hz 12 dB/oct"
    assert short_changes([ROLL_OFF], []) == "high-pass 90 Hz 12 dB/oct out"
    assert short_changes([ROLL_OFF], [set_to(ROLL_OFF, freq_hz=120.0)]) == "high-pass 120 Hz 12 dB/oct"


def test_more_than_the_gain_is_said_as_it_is_now():
    assert short_changes([BITE], [set_to(BITE, freq_hz=2500.0)]) == "bell 2.5 kHz +1.5 dB q 1"


def test_several_changes_stand_side_by_side_and_what_is_the_same_is_not_said():
    assert short_changes([LEVEL, BITE], [LEVEL, set_to(BITE, gain_db=3.0), ROLL_OFF]) == (
        "3 kHz +1.5 dB, high-pass 90 Hz 12 dB/oct"
    )
    assert short_changes([BITE], [BITE]) == ""


def test_a_move_that_changed_its_place_only_is_said_with_where_it_is_now():
    there = replace(BITE, only=HOOK)
    assert short_changes([BITE], [there]) == "bell 3 kHz +1.5 dB q 1 only hook"
    assert short_changes([there], [BITE]) == "bell 3 kHz +1.5 dB q 1 everywhere"
    assert short_changes([], [there]) == "3 kHz +1.5 dB only hook"


def test_a_name_goes_without_its_ending():
    assert [short_name(stem) for stem in ("drums/kick.in.wav", ".wav", "kick")] == ["kick.in", ".wav", "kick"]


@pytest.fixture
def song(make_song, make_pass):
    folder = make_song({"hats.wav": None, "zq.wav": None, "click.wav": None}, "stems: {click: {skip: for the drummer}}\n")
    make_pass(folder)
    return folder


def told(folder, name, since=None, recalled=None):
    read = [None if each is None else read_manifest(folder / "passes" / each) for each in (name, since, recalled)]
    return story_of(*read)


def test_the_first_pass_counts_what_moves_were_made_on(song):
    story = told(song, "pass-01")
    assert story.sentence == "pass-01 by the recipes; 1 stem of 3 changed, the others as received"
    assert story.counts == "3 stems: 1 prepped, 1 left as received, 1 skipped"
    assert story.missing == (("click.wav", "skipped: for the drummer"),)
    assert [stem for stem, _ in story.left] == ["zq.wav"]


def test_a_note_is_told_with_what_it_moved_and_how_many_are_the_same(song, make_note):
    make_note(song, "hats: 2 dB quieter", by="Ann")
    story = told(song, "pass-02", "pass-01")
    assert story.sentence == "Ann asked: “hats: 2 dB quieter”; changed: hats (-2 dB); 1 stem is the same bytes"


def test_what_came_and_what_went_is_told(song, make_pass, noise):
    soundfile.write(song / "shaker.wav", noise(seed=5), 48_000, "PCM_24")
    (song / "zq.wav").unlink()
    make_pass(song)
    done = told(song, "pass-02", "pass-01").done
    assert done.startswith("changed: shaker (new: ")
    assert done.endswith("; 1 stem is the same bytes; no longer there: zq")


def test_a_recall_is_told_by_how_many_samples_are_the_same(song, make_note, make_recall):
    make_note(song, "hats: 2 dB quieter")
    make_recall(song, "1")
    story = told(song, "pass-03", "pass-02", "pass-01")
    assert story.asked == "pass-01 again: 2 of 2 identical"
    assert story.done == "against pass-02: changed: hats (+2 dB); 1 stem is the same bytes"
