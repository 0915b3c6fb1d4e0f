"""The list of what is signed off: what it says, from which pass a kept stem's plan comes, and what cannot be read."""

from __future__ import annotations

import json
from types import SimpleNamespace

import pytest

from stemwright.errors import ManifestError, SongError
from stemwright.passes import keep as keeping
from stemwright.passes.history import read_pass
from stemwright.passes.keep import LARGEST_BYTES, Kept, KeptStems, kept_stems, load_kept, refuse_change, released
from stemwright.passes.song import open_song
from stemwright.plan.items import PlanItem, PlannedMove

GAIN = PlannedMove(kind="gain", name="level", why="", settings={"gain_db": -3.0})


def item(stem, *moves, status="prepped"):
    return PlanItem(
        stem=stem, input=None, role=None, recipe=None, matched_by="", status=status, why="", moves=moves, deliver_as=None
    )


def write(song, text):
    (song.passes_dir / "kept.json").write_text(text if isinstance(text, str) else json.dumps(text), encoding="utf-8")


def signed(stem, sha256="0" * 64, *, of="pass-01", by=None):
    return Kept(stem=stem, in_pass=of, sha256=sha256, by=by)


@pytest.fixture
def song(make_song, make_pass):
    """Return a song of two passes of which the second has another kick."""
    folder = make_song({"kick.wav": None, "hats.wav": None})
    made = make_pass(folder).manifest.as_json()
    (kick,) = (entry for entry in made["stems"] if entry["stem"] == "kick.wav")
    kick["output"]["sha256"] = "1" * 64
    (folder / "passes" / "pass-02").mkdir()
    (folder / "passes" / "pass-02" / "manifest.json").write_text(json.dumps(made | {"pass": "pass-02"}), encoding="utf-8")
    return open_song(folder)


def test_who_signed_off_and_where_is_said():
    assert signed("a").why == "signed off in pass-01"
    assert signed("a", by="Ann").why == "signed off in pass-01 by Ann"
    assert signed("a").as_json() == {
        "stem": "a",
        "pass": "pass-01",
        "sha256": "0" * 64,
        "by": None,
    }


def test_a_plan_with_kept_stems_has_them_as_they_were_and_calls_no_other_kept():
    kept = KeptStems(items={name: item(name, GAIN, status="kept") for name in ("a.wav", "gone.wav")}, hashes={}, passes=())
    found = kept.apply([item("b.wav", GAIN, status="kept"), item("a.wav"), item("c.wav", status="kept"), item("d.wav")])
    assert [(each.stem, each.status, each.moves) for each in found] == [
        ("b.wav", "prepped", (GAIN,)), ("a.wav", "kept", (GAIN,)), ("c.wav", "left", ()), ("d.wav", "prepped", ()),
        ("gone.wav", "kept", (GAIN,)),
    ]  # fmt: skip
    assert released(item("a.wav", status="skipped")).status == "skipped"


def test_which_kept_stems_a_plan_would_change_or_leave_out():
    kept = KeptStems(items={name: item(name, GAIN) for name in ("same", "other", "gone")}, hashes={}, passes=())
    assert kept.changed_by([item("same", GAIN), item("other")]) == ["other", "gone"]


def test_a_kept_stems_plan_is_of_the_pass_it_was_signed_off_in(song):
    first, second = read_pass(song, "1"), read_pass(song, "2")
    kept = [signed("kick.wav", first.entries["kick.wav"].sha256)]
    write(song, {"version": 1, "kept": [vars(each) for each in kept]})
    found = kept_stems(song, second)
    assert found.items["kick.wav"].moves == first.entries["kick.wav"].item.moves
    assert (found.items["kick.wav"].status, found.items["kick.wav"].why) == ("kept", "signed off in pass-01")
    assert found.hashes == {"kick.wav": kept[0].sha256}
    assert [each.name for each in found.passes] == ["pass-01"]  # the newest is looked in anyway
    assert [each.name for each in kept_stems(song, None).passes] == ["pass-01"]


def test_a_stem_that_the_newest_pass_has_like_that_needs_no_other(song):
    second = read_pass(song, "2")
    write(
        song,
        {"version": 1, "kept": [{"stem": "hats.wav", "in_pass": "pass-77", "sha256": second.entries["hats.wav"].sha256}]},
    )
    found = kept_stems(song, second)
    assert (list(found.items), found.passes) == (["hats.wav"], ())


@pytest.mark.parametrize("stem", ["kick.wav", "strange.wav"])
def test_a_kept_stem_that_no_pass_has_like_that_stops_everything(song, stem):
    write(song, {"version": 1, "kept": [{"stem": stem, "in_pass": "pass-01", "sha256": "0" * 64, "by": "Ann"}]})
    with pytest.raises(SongError) as caught:
        kept_stems(song, read_pass(song, "2"))
    assert str(caught.value) == (
        f"{stem}: signed off in pass-01 by Ann, but no pass has it like that any more; bring pass-01 back from a backup, "
        f"or let go of it with: stemwright keep SONG '{stem}' --release"
    )


def test_a_stem_that_is_kept_already_stays_as_it_was_signed_off(song):
    second = read_pass(song, "2")
    assert [each.stem for each in keeping.keep(song, second, ["kick.wav"], "Ann")] == ["kick.wav"]
    assert [each.stem for each in keeping.keep(song, second, ["kick.wav", "hats.wav"], "Bea")] == ["hats.wav"]
    assert {stem: each.by for stem, each in load_kept(song).items()} == {"kick.wav": "Ann", "hats.wav": "Bea"}
    assert [each.by for each in keeping.release(song, ["kick.wav"])] == ["Ann"]
    assert list(load_kept(song)) == ["hats.wav"]
    with pytest.raises(SongError, match=r"^not kept: kick\.wav; kept are: hats\.wav$"):
        keeping.release(song, ["kick.wav", "hats.wav"])
    assert list(load_kept(song)) == ["hats.wav"]


def test_a_pass_that_appeared_while_somebody_listened_is_not_signed_off_by_accident(song):
    first = read_pass(song, "1")
    with pytest.raises(SongError) as caught:
        keeping.keep(song, first, ["kick.wav", "hats.wav"], None)
    assert str(caught.value) == (
        "pass-02 appeared meanwhile and changed kick.wav; nothing was signed off, listen to it and run it again"
    )
    assert load_kept(song) == {}
    assert [each.in_pass for each in keeping.keep(song, first, ["hats.wav"], None)] == ["pass-02"]


def test_the_list_is_written_in_order_and_of_version_1(song):
    keeping.keep(song, read_pass(song, None), ["kick.wav", "hats.wav"], None)
    text = (song.passes_dir / "kept.json").read_text(encoding="utf-8")
    data = json.loads(text)
    assert (data["version"], [each["stem"] for each in data["kept"]]) == (1, ["hats.wav", "kick.wav"])
    assert text == json.dumps(data, indent=1, sort_keys=True) + "\n"  # so that two people's lists can be compared


def test_a_list_of_a_newer_version_is_not_guessed_at(song):
    write(song, {"version": 2, "kept": []})
    with pytest.raises(ManifestError, match=r"^passes/kept\.json: written by a newer stemwright; update stemwright$"):
        load_kept(song)
    write(song, {"version": 1, "kept": []})
    assert load_kept(song) == {}


# Ten thousand stems, the most there may be, with names of 1,024 bytes and all that is said of each, take less than 16 MiB.
def test_a_list_of_all_stems_there_may_be_is_read_and_a_longer_one_is_not(song):
    longest = {"stem": "x" * 1024, "in_pass": "pass-01", "sha256": "0" * 64, "by": "y" * 80}
    assert 10_000 * len(json.dumps(longest, indent=1)) < LARGEST_BYTES == 16 << 20
    write(song, json.dumps({"version": 1, "kept": []}).ljust(LARGEST_BYTES))
    assert load_kept(song) == {}
    write(song, json.dumps({"version": 1, "kept": []}).ljust(LARGEST_BYTES + 1))
    with pytest.raises(
        ManifestError, match=r"^passes/kept\.json: not readable, so it is not known which stems are signed off"
    ):
        load_kept(song)


def test_what_would_change_kept_stems_names_each_once(monkeypatch):
    known = {name: signed(name) for name in ("a", "b")}
    monkeypatch.setattr(keeping, "load_kept", lambda _: known)
    refuse_change(SimpleNamespace(), ["c"], "this note")
    with pytest.raises(SongError) as caught:
        refuse_change(SimpleNamespace(), ["b", "c", "a", "b"], "this note")
    assert str(caught.value) == (
        "this note would change stems that are signed off, so nothing was done:\n"
        "  b: signed off in pass-01\n  a: signed off in pass-01\n"
        'To let them change again: stemwright keep SONG "b" "a" --release'
    )


def test_a_list_that_cannot_be_written_is_said(song, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(keeping, "write_whole", full)
    with pytest.raises(SongError) as caught:
        keeping.keep(song, read_pass(song, None), ["kick.wav"], None)
    assert str(caught.value) == "passes/kept.json: cannot be written (No space left on device); nothing was changed"
