"""Why a stem changed between two passes, and what became of its file; each reason from one difference of two plans."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from stemwright.dsp.loudness import Levels
from stemwright.passes.compare import Compared, StemChange, _by_hash, _levels, _why, compare
from stemwright.passes.entry import LevelPair
from stemwright.passes.song import open_song
from stemwright.plan.items import DeliverAs, InputFacts, NoteMark, PlanItem, PlannedMove, Said

RECEIVED = InputFacts(path="a.wav", sha256="0" * 64, frames=9, channels=2, rate_hz=48_000, container="WAV", subtype="PCM_24")
FORM = DeliverAs(path="a.wav", container="WAV", subtype="PCM_24", rate_hz=48_000, frames=9)
ITEM = PlanItem(
    stem="a.wav", input=RECEIVED, role="kick", recipe="kick", matched_by="", status="prepped", why="", deliver_as=FORM
)


def passes(*versions):
    """Return two passes that hold the recipe kick in versions with these hashes."""
    return tuple(
        SimpleNamespace(recipes=[SimpleNamespace(name="kick", version=version, sha256=sha256 * 8)] if version else [])
        for version, sha256 in versions
    )


SAME = passes((1, "abcdefgh"), (1, "abcdefgh"))


def said(*each):
    """Return an item whose moves notes made: (number, text, by)."""
    marks = [
        NoteMark(word="bite", meaning="", amount=1.0, base_db=1.0, said=(Said(note=n, text=text, by=by, amount=1.0),))
        for n, text, by in each
    ]
    moves = tuple(PlannedMove(kind="gain", name="g", why="", settings={"gain_db": 1.0}, note=mark) for mark in marks)
    return replace(ITEM, moves=(*moves, PlannedMove(kind="polarity", name="p", why="", settings={})))


@pytest.mark.parametrize(
    ("old", "new", "reasons"),
    [
        (ITEM, ITEM, []),
        (ITEM, said((2, "more bite", "Ann"), (1, "louder", None)), ["note 1: louder", "note 2 by Ann: more bite"]),
        (
            said((2, "more bite", "Ann"), (1, "louder", None)),
            ITEM,
            ["without note 1: louder", "without note 2 by Ann: more bite"],
        ),
        (said((1, "louder", None)), said((1, "louder", None)), []),
        (ITEM, replace(ITEM, input=replace(RECEIVED, sha256="1" * 64)), ["another file was received"]),
        (ITEM, replace(ITEM, recipe="snare"), ["recipe kick -> snare"]),
        (ITEM, replace(ITEM, recipe=None), ["recipe kick -> none"]),
        (replace(ITEM, recipe=None), ITEM, ["recipe none -> kick"]),
        (ITEM, replace(ITEM, deliver_as=replace(FORM, subtype="PCM_16")), ["delivered in another form"]),
    ],
)
def test_each_difference_has_its_reason(old, new, reasons):
    assert _why(old, new, SAME) == reasons


def test_a_recipe_that_moved_is_said_by_version_and_hash():
    moved = passes((1, "abcdefgh"), (2, "hgfedcba"))
    assert _why(ITEM, ITEM, moved) == ["recipe kick: version 1 (abcdefgh) -> version 2 (hgfedcba)"]
    assert _why(replace(ITEM, recipe=None), replace(ITEM, recipe=None), moved) == []


def test_changes_of_levels_are_those_that_both_have():
    was = LevelPair(after=Levels(lufs=-20.0, rms_dbfs=-25.0, true_peak_dbtp=None))
    now = LevelPair(after=Levels(lufs=-18.766, rms_dbfs=-26.0, true_peak_dbtp=-1.0))
    assert _levels(was, now) == {"lufs": 1.23, "rms_dbfs": -1.0}
    assert _levels(was, LevelPair()) == {}


@pytest.mark.parametrize(("other", "fate"), [("a", "same bytes"), ("b", "changed")])
def test_where_files_cannot_be_read_the_hashes_decide(other, fate):
    assert _by_hash(SimpleNamespace(sha256="a"), SimpleNamespace(sha256=other)) == fate


def test_a_comparison_counts_what_is_the_same_and_is_good_without_trouble():
    stems = tuple(
        StemChange(stem=name, fate=fate) for name, fate in (("a", "same bytes"), ("b", "changed"), ("c", "no file"))
    )
    result = Compared(first="pass-01", second="pass-02", stems=stems)
    assert (result.same_bytes, result.good) == (1, True)
    assert not replace(result, stems=(*stems, StemChange(stem="d", fate="changed", trouble="gone"))).good


def test_a_stem_without_a_file_in_either_pass_has_none(make_song, make_pass, executor):
    song = make_song({"kick.wav": None, "hats.wav": None}, "stems: {hats: {skip: not today}}\n")
    make_pass(song)
    (song / "session.yaml").write_text("stems: {hats: {skip: not today}, kick: {skip: nor this}}\n", encoding="utf-8")
    (song / "piano.wav").write_bytes((song / "kick.wav").read_bytes())
    make_pass(song)
    there = {each.stem: each for each in compare(open_song(song), "1", "2", executor).stems}
    back = {each.stem: each.fate for each in compare(open_song(song), "2", "1", executor).stems}
    assert {stem: each.fate for stem, each in there.items()} == {
        "hats.wav": "no file", "kick.wav": "taken out", "piano.wav": "added",
    }  # fmt: skip
    assert back == {"hats.wav": "no file", "kick.wav": "added", "piano.wav": "taken out"}
    assert there["kick.wav"].why == ("skipped: nor this",)
    assert there["hats.wav"].why == ("skipped: not today",)
