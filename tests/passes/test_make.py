"""Making a pass of a plan: what is rendered and what taken over, by whom it is told, and when none is made or left behind."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile

from stemwright.errors import AudioError, SongError
from stemwright.passes import make as making
from stemwright.passes.make import Made, Maker, Request
from stemwright.passes.manifest import Because
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.song import open_song
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.plan.resolve import sections_of
from stemwright.stems.audio import probe
from stemwright.stems.survey import stamp_of

RATE_HZ, FRAMES = 8_000, 800
TONE = 0.25 * np.sin(2 * np.pi * 400.0 * np.arange(FRAMES) / RATE_HZ)


def gain(gain_db):
    sections = sections_of("gain", {"gain_db": gain_db}, RATE_HZ)
    return PlannedMove(kind="gain", name="level", why="", settings={"gain_db": gain_db}, sections=sections)


class Song:
    """A song of tones, and its passes, each made from moves by stem; None for a stem that is skipped."""

    def __init__(self, folder, executor):
        self.folder, self.executor, self.told = folder, executor, []

    def item(self, stem, move):
        path = self.folder / stem
        sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
        received = InputFacts(
            path=stem, sha256=sha256, frames=FRAMES, channels=1, rate_hz=RATE_HZ, container="WAV", subtype="PCM_24"
        )
        form = DeliverAs(path=stem, container="WAV", subtype="PCM_24", rate_hz=RATE_HZ, frames=FRAMES)
        return PlanItem(
            stem=stem, input=received, role=None, recipe=None, matched_by="", status="skipped" if move is None else "prepped",
            why="", moves=() if move is None else (move,), seed=None if move is None else 5,
            deliver_as=None if move is None else form,
        )  # fmt: skip

    def ask(self, *, last=None, items=None, **moves):
        plan = items or tuple(self.item(f"{stem}.wav", move) for stem, move in moves.items())
        facts = {
            each.stem: SimpleNamespace(stamp=stamp_of(self.folder / each.stem), info=self.info(each.stem)) for each in plan
        }
        return Request(
            song=open_song(self.folder), items=plan, facts=facts, recipes=(), because=Because(kind="prep"), last=last
        )

    def info(self, stem):
        try:
            return probe(self.folder / stem)
        except AudioError:
            return None

    def make(self, request):
        self.told.clear()
        return Maker(self.executor, self.told.append).make(request)

    def gone(self):
        return not (self.folder / "passes").exists()


@pytest.fixture
def song(tmp_path, executor):
    folder = tmp_path / "song"
    folder.mkdir()
    for stem in ("a", "b", "c"):
        soundfile.write(folder / f"{stem}.wav", TONE, RATE_HZ, "PCM_24")
    return Song(folder, executor)


def test_a_pass_has_a_file_for_each_stem_that_gets_one_and_each_is_told(song):
    made = song.make(song.ask(a=gain(-3.0), b=gain(-6.0), c=None))
    assert (made.name, set(made.rendered), made.taken_over, made.failed) == ("pass-01", {"a.wav", "b.wav"}, (), ())
    assert sorted(song.told) == ["a.wav", "b.wav", "c.wav"]
    assert set(made.overviews) == {"a.wav", "b.wav"}
    assert read_manifest(song.folder / "passes/pass-01") == made.manifest
    assert made.manifest.plan_intact
    assert sorted(path.name for path in (song.folder / "passes/pass-01/stems").iterdir()) == ["a.wav", "b.wav"]


def test_a_stem_whose_sound_is_as_before_is_taken_over_and_the_others_are_rendered(song):
    first = song.make(song.ask(a=gain(-3.0), b=gain(-6.0), c=gain(-1.0)))
    made = song.make(song.ask(a=gain(-3.0), b=gain(-7.0), c=gain(-1.0), last=first.manifest))
    assert (made.name, made.rendered, made.taken_over) == ("pass-02", ("b.wav",), ("a.wav", "c.wav"))
    assert {stem: entry.taken_from for stem, entry in made.manifest.entries.items()} == {
        "a.wav": "pass-01", "b.wav": None, "c.wav": "pass-01",
    }  # fmt: skip
    assert set(made.overviews) == {"b.wav"}
    assert sorted(song.told) == ["a.wav", "b.wav", "c.wav"]
    assert made.manifest.entries["a.wav"].output == first.manifest.entries["a.wav"].output


@pytest.mark.parametrize("harm", [lambda path: path.write_bytes(b"damaged"), lambda path: path.unlink()])
def test_a_file_that_is_not_what_its_manifest_says_is_not_taken_over(song, harm):
    first = song.make(song.ask(a=gain(-3.0), b=gain(-6.0)))
    harm(song.folder / "passes/pass-01/stems/a.wav")
    made = song.make(song.ask(a=gain(-3.0), b=gain(-7.0), last=first.manifest))
    assert (set(made.rendered), made.taken_over) == ({"a.wav", "b.wav"}, ())
    assert made.manifest.entries["a.wav"].output == first.manifest.entries["a.wav"].output


def test_what_the_last_pass_has_lost_is_taken_from_one_before(song):
    first = song.make(song.ask(a=gain(-3.0), b=gain(-6.0)))
    second = song.make(song.ask(a=gain(-3.0), b=gain(-7.0), last=first.manifest))
    (song.folder / "passes/pass-02/stems/a.wav").unlink()
    asked = replace(song.ask(a=gain(-3.0), b=gain(-8.0), last=second.manifest), also_from=(first.manifest,))
    made = song.make(asked)
    assert (made.taken_over, made.manifest.entries["a.wav"].taken_from) == (("a.wav",), "pass-01")


def test_a_plan_that_is_the_last_passes_makes_none(song):
    first = song.make(song.ask(a=gain(-3.0), b=gain(-6.0)))
    made = song.make(song.ask(a=gain(-3.0), b=gain(-6.0), last=first.manifest))
    assert made == Made(name=None, manifest=first.manifest, rendered=(), taken_over=())
    assert song.told == []
    assert made.as_json() == {
        "pass": None, "rendered": [], "taken_over": [], "failed": [], "manifest": first.manifest.as_json(),
    }  # fmt: skip


def test_a_stem_at_fault_fails_alone_and_is_in_the_pass_with_its_reason(song):
    (song.folder / "b.wav").write_bytes(b"RIFF")
    made = song.make(song.ask(a=gain(-3.0), b=gain(-6.0)))
    assert (made.rendered, [entry.stem for entry in made.failed], made.as_json()["failed"]) == (
        ("a.wav",), ["b.wav"], ["b.wav"],
    )  # fmt: skip


def test_where_every_stem_is_at_fault_there_is_no_pass(song):
    for stem in ("a", "b"):
        (song.folder / f"{stem}.wav").write_bytes(b"RIFF")
    with pytest.raises(SongError) as caught:
        song.make(song.ask(a=gain(-3.0), b=gain(-6.0)))
    lines = str(caught.value).splitlines()
    assert lines[0] == "song: no stem could be prepped, so there is no pass:"
    assert [line.split(":")[0] for line in lines[1:]] == ["  a.wav", "  b.wav"]
    assert song.gone()


def test_a_plan_that_no_pass_could_have_is_refused_before_anything_is_read(song):
    asked = song.ask(a=gain(-3.0))
    twice = replace(asked, items=asked.items * 2)
    with pytest.raises(SongError) as caught:
        song.make(twice)
    assert str(caught.value) == ("song: a.wav: two entries for one stem; take some of its moves away, nothing was written")
    assert song.gone()


@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), OSError("no number")])
def test_a_disk_that_fails_leaves_nothing_and_is_said(song, monkeypatch, error):
    def fails(*_):
        raise error

    monkeypatch.setattr(making, "write_manifest", fails)
    with pytest.raises(SongError) as caught:
        song.make(song.ask(a=gain(-3.0)))
    reason = error.strerror or "no number"
    assert str(caught.value) == f"song: the pass could not be written ({reason}); nothing of it was left behind"
    assert song.gone()


# Twenty runs in a row that take the next name are more than there are.
@pytest.mark.parametrize(("losses", "made"), [(19, True), (20, False)])
def test_a_name_that_another_run_took_is_left_to_it(song, monkeypatch, losses, made):
    settle, tries = making.songs.settle, iter(range(100))
    monkeypatch.setattr(making.songs, "settle", lambda *each: next(tries) >= losses and settle(*each))
    monkeypatch.setattr(making, "write_manifest", lambda folder, _: (folder / "manifest.json").write_text("{}"))
    monkeypatch.setattr(making, "problem_of", lambda _: None)  # which takes a while
    if made:
        assert song.make(song.ask(a=gain(-3.0))).name == "pass-01"
        return
    with pytest.raises(SongError) as caught:
        song.make(song.ask(a=gain(-3.0)))
    assert str(caught.value) == ("song: other runs keep taking the next pass's name; try again when they are done")
    assert song.gone()


def test_what_another_run_made_meanwhile_of_the_same_plan_is_the_pass(song):
    asked = song.ask(a=gain(-3.0))
    first = song.make(asked)
    again = song.make(asked)  # which knows nothing of the first
    assert (again.name, again.manifest.name, again.rendered) == (None, first.name, ())
    assert [path.name for path in (song.folder / "passes").iterdir() if path.is_dir()] == ["pass-01"]


def test_a_worker_that_fails_ends_the_run_and_nothing_is_left(song, monkeypatch):
    def fails(*_):
        raise ZeroDivisionError

    monkeypatch.setattr(making, "render", fails)
    with pytest.raises(ZeroDivisionError):
        song.make(song.ask(a=gain(-3.0), b=gain(-6.0)))
    assert song.gone()


LOUD, SOFT = gain(18.0618), gain(-6.0206)  # eight times 0.25, and half of it


def test_what_goes_over_is_float_or_stops_the_pass_and_what_does_not_is_no_reason(song):
    made = song.make(replace(song.ask(a=LOUD, b=SOFT), overs="float"))
    assert {stem: entry.went_over for stem, entry in made.manifest.entries.items()} == {"a.wav": True, "b.wav": False}
    with pytest.raises(SongError) as caught:
        song.make(replace(song.ask(a=LOUD, b=gain(-5.0)), overs="stop"))
    assert str(caught.value) == (
        "overs: stop in session.yaml, and these stems would go over full scale:\n"
        "  a.wav: goes 6.0 dB over full scale, so it is written as 32-bit float"
    )
    again = song.make(replace(song.ask(a=LOUD, b=gain(-5.0), last=made.manifest), overs="stop"))
    assert again.taken_over == ("a.wav",)  # which was accepted as float before


def test_a_trim_that_would_touch_what_is_signed_off_is_refused(song):
    asked = replace(song.ask(a=LOUD, b=SOFT), overs="trim", kept={"b.wav": "0" * 64})
    with pytest.raises(
        SongError, match=r"^overs: trim in session\.yaml would lower every stem for a\.wav, and these are signed off: b\.wav"
    ):
        song.make(asked)
    assert song.gone()


def test_a_trim_lowers_every_stem_by_what_the_loudest_is_over_and_a_tenth_of_a_decibel(song):
    made = song.make(replace(song.ask(a=LOUD, b=SOFT, c=None), overs="trim"))
    # 6.02 dB and 0.1, down to a hundredth; what was written first is not in the pass.
    gains = {entry.stem: entry.item.moves[-1].settings["gain_db"] for entry in made.manifest.stems if entry.item.moves}
    assert gains == {"a.wav": pytest.approx(-6.12, abs=0.011), "b.wav": gains["a.wav"]}
    assert sorted(path.name for path in (song.folder / "passes/pass-01/stems").iterdir()) == ["a.wav", "b.wav"]
    assert made.manifest.entries["a.wav"].levels.after.sample_peak_dbfs == pytest.approx(-0.1, abs=0.02)
    assert not any(entry.went_over for entry in made.manifest.stems)
    other = song.make(replace(song.ask(a=SOFT, b=gain(-5.0), last=made.manifest), overs="trim"))
    assert [len(entry.item.moves) for entry in other.manifest.stems] == [1, 1]  # nothing goes over, so nothing is lowered


def test_two_that_were_made_are_the_same_whatever_they_look_like(song):
    made = song.make(song.ask(a=gain(-3.0)))
    assert replace(made, overviews={}) == made
