"""What became of a stem's moves, as short as it goes: each line written out by hand from what was changed."""

from __future__ import annotations

from dataclasses import replace

import pytest
import soundfile

from stemwright.passes.entry import Entry, Output
from stemwright.passes.manifest import Because, MadeAt, Manifest
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.story import short_changes, short_name, story_of
from stemwright.plan.items import PlanItem, PlannedMove
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
    soundfile.write(song / "shaker.wav", noise(0.17, seed=5), 48_000, "PCM_24")
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


def entry(stem, sha256, *, samples=None, subtype="PCM_24", moves=(), status="prepped", why=""):
    """Return a stem of a pass; without a hash it has no file."""
    item = PlanItem(
        stem=stem, input=None, role=None, recipe=None, matched_by="", status=status, why=why, moves=moves, deliver_as=None
    )
    output = Output(path=stem, container="WAV", subtype=subtype, sha256=sha256 or "", samples_sha256=samples)
    return Entry(item=item, output=output if sha256 else None)


def a_pass(*entries, name="pass-02", **because):
    return Manifest(
        name=name,
        song="song",
        because=Because(**{"kind": "prep", **because}),
        made_by={},
        made_at=MadeAt(time="", host=""),
        recipes=(),
        plan_sha256="",
        stems=entries,
    )


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        (1, "changed: a (+1 dB); 2 stems are the same bytes"),
        (4, "changed: a (+1 dB), b (+1 dB), c (+1 dB), d (+1 dB); 2 stems are the same bytes"),
        (5, "changed: a (+1 dB), b (+1 dB), c (+1 dB), d (+1 dB), 1 more; 2 stems are the same bytes"),
        (7, "changed: a (+1 dB), b (+1 dB), c (+1 dB), d (+1 dB), 3 more; 2 stems are the same bytes"),
        (0, "nothing changed; 2 stems are the same bytes"),
    ],
)
def test_four_stems_are_named_and_the_others_counted(changed, said):
    louder = set_to(LEVEL, gain_db=-2.0)
    names = [f"{letter}.wav" for letter in "abcdefg"[:changed]]
    still = [entry("y.wav", "y"), entry("z.wav", "z"), entry("no file.wav", None, status="skipped")]
    was = a_pass(*(entry(name, "1", moves=(LEVEL,)) for name in names), *still, name="pass-01")
    now = a_pass(*(entry(name, "2", moves=(louder,)) for name in names), *still)
    assert story_of(now, was).done == said


def test_what_failed_and_what_has_another_file_alone_are_told():
    was = a_pass(entry("a.wav", "1"), entry("b.wav", "1"), entry("c.wav", "1"), name="pass-01")
    now = a_pass(entry("a.wav", "2"), entry("b.wav", None, status="failed", why="cut short"), entry("c.wav", "1"))
    told = story_of(now, was)
    assert told.done == "changed: a (its file or form); 1 stem is the same bytes; 1 failed: b"
    assert told.missing == (("b.wav", "failed: cut short"),)
    assert told.counts == "3 stems: 2 prepped, 1 failed"


def test_the_first_pass_that_moves_every_stem_says_so():
    both = a_pass(entry("a.wav", "1", moves=(LEVEL,)), entry("b.wav", "1", moves=(BITE,)), name="pass-01")
    assert story_of(both, None).done == "every stem changed"
    some = a_pass(entry("a.wav", "1", moves=(LEVEL,)), entry("b.wav", None, moves=(BITE,), status="failed"), name="pass-01")
    assert story_of(some, None).done == "1 stem of 2 changed, the others as received"


# The same bytes are identical; so are the same samples in other bytes, if their word is as long. A copy has no hash of samples.
@pytest.mark.parametrize(
    ("now", "identical"),
    [
        (entry("a.wav", "1", samples="s"), 1),
        (entry("a.wav", "1", samples="other"), 1),
        (entry("a.wav", "2", samples="s"), 1),
        (entry("a.wav", "2", samples="other"), 0),
        (entry("a.wav", "2", samples="s", subtype="PCM_16"), 0),
        (entry("a.wav", None), 0),
        (entry("b.wav", "1", samples="s"), 0),
    ],
)
def test_what_a_recall_brought_back_is_counted_by_hashes(now, identical):
    asked = a_pass(entry("a.wav", "1", samples="s"), entry("skipped.wav", None, status="skipped"), name="pass-01")
    again = a_pass(now, kind="recall", came_from="pass-01")
    assert story_of(again, None, asked).asked == f"pass-01 again: {identical} of 1 identical"
    assert story_of(again, None).sentence == "pass-01 again"


def test_copies_of_other_bytes_are_not_identical():
    asked, again = a_pass(entry("a.wav", "1")), a_pass(entry("a.wav", "2"), kind="recall", came_from="pass-01")
    assert story_of(again, None, asked).asked == "pass-01 again: 0 of 1 identical"


def ride(*points):
    return PlannedMove(kind="ride", name="phrases", why="", settings={"at_most_db": 6.0}, points=points)


def test_a_ride_is_told_where_it_is_new_or_other_and_not_where_it_is_as_before():
    held = ride((0, -2.0, 0.79), (9, -2.0, 0.79), (12, 3.0, 1.41), (20, 3.0, 1.41))
    told = "phrases evened, -2 dB to +3 dB"
    assert short_changes([], [held]) == short_changes([ride()], [held]) == told
    assert short_changes([held], [held]) == ""
    assert short_changes([held], [ride()]) == short_changes([], [ride()]) == "phrases were even"
    assert short_changes([], [replace(held, only=HOOK)]) == f"{told} only hook"


def test_who_asked_is_named_or_it_was_the_note():
    noted = a_pass(entry("a.wav", "1"), kind="note", text="more  \n bite", by="Ann")
    assert story_of(noted, None).asked == "Ann asked: “more bite”"
    assert story_of(replace(noted, because=replace(noted.because, by=None)), None).asked == "the note asked: “more bite”"
