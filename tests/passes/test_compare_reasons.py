"""Why a stem changed between two passes, and what became of its file; each reason from one difference of two plans."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from types import SimpleNamespace

import pytest

from stemwright.dsp.loudness import Levels
from stemwright.passes.compare import Compared, StemChange, _by_hash, _levels, _stem, _why, compare
from stemwright.passes.difference import Difference
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


def test_other_bytes_of_the_same_samples_are_told_from_a_change_and_another_rate_is_one(make_song, make_pass, executor):
    song = make_song({"kick.wav": None})
    make_pass(song)
    (song / "session.yaml").write_text("deliver: {format: flac}\n", encoding="utf-8")
    make_pass(song)
    (song / "session.yaml").write_text("deliver: {rate: 44.1 kHz}\n", encoding="utf-8")
    make_pass(song)
    (same,) = compare(open_song(song), "1", "2", executor).stems
    (other,) = compare(open_song(song), "1", "3", executor).stems
    # Integers of one word length and one dither in a WAV and in a FLAC.
    assert (same.fate, same.difference.null, same.why) == ("same samples", True, ("delivered in another form",))
    assert (other.fate, other.difference) == ("changed", None)


def test_whether_a_plan_was_edited_is_no_part_of_what_a_pass_is(make_song, make_pass):
    manifest = make_pass(make_song({"kick.wav": None})).manifest
    assert replace(manifest, plan_intact=False) == manifest
    assert replace(manifest, plan_sha256="0" * 64) != manifest


def test_a_change_as_plain_values_has_its_difference_or_none():
    apart = Difference(largest_dbfs=-6.0, rms_dbfs=-9.0)
    assert StemChange(stem="a", fate="changed", difference=apart).as_json() == {
        "stem": "a", "fate": "changed", "moves": [], "why": [], "levels_db": None, "trouble": "",
        "difference": {"largest_dbfs": -6.0, "rms_dbfs": -9.0, "null": False},
    }  # fmt: skip
    assert StemChange(stem="a", fate="no file").as_json()["difference"] is None


def entries_of(**outputs):
    items = {stem: replace(ITEM, stem=f"{stem}.wav", why="because") for stem in outputs}
    return {
        f"{stem}.wav": SimpleNamespace(item=items[stem], output=output and SimpleNamespace(**output), levels=LevelPair())
        for stem, output in outputs.items()
    }


@pytest.fixture
def pair(tmp_path):
    """Return a comparer of one stem's bytes in two passes, each with the hash its manifest has; no bytes is no file."""

    def make(*sides):
        passes = []
        for name, (content, sha256) in zip(("pass-01", "pass-02"), sides, strict=True):
            folder = tmp_path / name / "stems"
            folder.mkdir(parents=True)
            if content is not None:
                (folder / "a.wav").write_bytes(content)
            known = sha256 or hashlib.sha256(content).hexdigest()
            passes.append(SimpleNamespace(name=name, recipes=[], entries=entries_of(a={"path": "a.wav", "sha256": known})))
        return _stem(SimpleNamespace(passes_dir=tmp_path), tuple(passes), "a.wav")

    return make


def test_the_same_bytes_are_the_same_even_where_they_are_no_sound(pair):
    found = pair((b"same", None), (b"same", None))
    assert (found.fate, found.difference.null, found.trouble) == ("same bytes", True, "")


def test_files_that_are_not_what_their_manifests_say_are_named(pair):
    found = pair((b"same", "0" * 64), (b"same", "1" * 64))
    assert found.fate == "same bytes"
    assert found.trouble == (
        "pass-01 has another file than its manifest says; pass-02 has another file than its manifest says"
    )


def test_where_a_file_is_gone_or_no_sound_the_manifests_decide(pair):
    gone = pair((None, "0" * 64), (b"there", "0" * 64))
    assert gone.fate == "same bytes"
    assert gone.trouble.startswith("a file is not readable: ")
