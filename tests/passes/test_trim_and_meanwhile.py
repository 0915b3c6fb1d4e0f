"""Whether a plan gives the last pass's files, and what another run made of the song meanwhile: decided by plans and hashes alone."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from stemwright.errors import SongError
from stemwright.passes import meanwhile
from stemwright.passes.keep import Kept
from stemwright.passes.meanwhile import check_meanwhile, made_meanwhile
from stemwright.passes.trim import same_plan
from stemwright.plan.items import TRIM, DeliverAs, InputFacts, PlanItem, PlannedMove

RECEIVED = InputFacts(path="a.wav", sha256="0" * 64, frames=9, channels=2, rate_hz=48_000, container="WAV", subtype="PCM_24")
FORM = DeliverAs(path="a.wav", container="WAV", subtype="PCM_24", rate_hz=48_000, frames=9)


def gain(gain_db, name="level"):
    return PlannedMove(kind="gain", name=name, why="", settings={"gain_db": gain_db})


def item(*moves, stem="a.wav", status="prepped", seed=5, why=""):
    return PlanItem(
        stem=stem, input=RECEIVED, role=None, recipe=None, matched_by="", status=status, why=why, moves=moves, seed=seed,
        deliver_as=FORM,
    )  # fmt: skip


def manifest(*items, name="pass-01"):
    return SimpleNamespace(name=name, items=lambda: list(items))


FIRST, OTHER_TAKE = "pass-01", replace(RECEIVED, sha256="1" * 64)


@pytest.mark.parametrize(
    ("now", "last", "same"),
    [
        (item(gain(-3.0)), item(gain(-3.0)), True),
        (item(gain(-3.0)), item(gain(-2.0)), False),
        (item(gain(-3.0)), item(gain(-3.0), stem="b.wav"), False),
        # A trim for what went over is the pass's own doing; a stem that it alone moved had no dither before.
        (item(gain(-3.0)), item(gain(-3.0), gain(-6.1, TRIM)), True),
        (item(gain(-3.0)), item(gain(-2.0), gain(-6.1, TRIM)), False),
        (item(seed=None), item(gain(-6.1, TRIM)), True),
        (item(seed=5), item(gain(-6.1, TRIM)), False),
        # That a stem was signed off, or released, changes no file.
        (item(gain(-3.0), status="kept", why="signed off"), item(gain(-3.0)), True),
        (item(gain(-3.0)), item(gain(-3.0), status="kept", why="signed off"), True),
        (item(gain(-3.0), status="kept"), item(gain(-2.0)), False),
        (item(gain(-3.0), status="left"), item(gain(-3.0)), False),
        # What failed while it was rendered fails again, as long as it is the same file.
        (item(gain(-3.0)), item(gain(-3.0), status="failed", why="no numbers"), True),
        (item(gain(-2.0)), item(gain(-3.0), status="failed", why="no numbers"), True),
        (replace(item(gain(-3.0)), input=OTHER_TAKE), item(gain(-3.0), status="failed"), False),
        (replace(item(), input=None), replace(item(status="failed"), input=None), False),
    ],
)
def test_a_plan_is_the_last_passes_where_it_gives_the_same_files(now, last, same):
    assert same_plan([now], manifest(last)) == same


def test_a_stem_that_came_or_went_is_another_plan():
    one, two = item(gain(-3.0)), item(gain(-3.0), stem="b.wav")
    assert same_plan([two, one], manifest(one, two))
    assert not same_plan([one], manifest(one, two))
    assert not same_plan([one, two], manifest(one))
    assert not same_plan([one], manifest(one, replace(two, status="failed")))


def entry(stem="a.wav", sha256="x", *moves):
    made = item(*moves, stem=stem)
    return SimpleNamespace(stem=stem, item=made, output=SimpleNamespace(sha256=sha256), sha256=sha256)


@pytest.fixture
def song(monkeypatch, tmp_path):
    """Return a maker of requests on a song whose newest pass is another run's, made of a prep or of what is said."""

    def make(*passes, last=None, other=(), made="prep", kind="prep", kept=()):
        newest = SimpleNamespace(name="pass-02", stems=list(other), items=lambda: [each.item for each in other])
        monkeypatch.setattr(meanwhile, "read_manifest", lambda _: newest)
        monkeypatch.setattr(meanwhile, "made_because", lambda _: made)
        monkeypatch.setattr(meanwhile, "load_kept", lambda _: {each.stem: each for each in kept})
        folder = SimpleNamespace(passes=lambda: list(passes), passes_dir=tmp_path, folder=SimpleNamespace(name="song"))
        return SimpleNamespace(
            song=folder, last=None if last is None else manifest(name=last), because=SimpleNamespace(kind=kind)
        )

    return make


def test_the_very_same_pass_of_another_run_is_taken_for_ours(song):
    same = SimpleNamespace(sha256="x")
    one, other = entry(), entry()
    one.output = other.output = same
    request = song("pass-01", "pass-02", last="pass-01", other=[other])
    assert made_meanwhile(request, [one]).name == "pass-02"
    assert made_meanwhile(song("pass-02", other=[other]), [one]).name == "pass-02"
    assert (
        made_meanwhile(song("pass-01", "pass-02", last="pass-02", other=[other]), [one]) is None
    )  # that is what we built on
    assert made_meanwhile(song(other=[other]), [one]) is None
    differs = entry("a.wav", "x", gain(-3.0))
    differs.output = same
    assert made_meanwhile(song("pass-02", other=[differs]), [one]) is None  # the same file of another plan
    assert made_meanwhile(song("pass-02", other=[entry("a.wav", "y")]), [one]) is None


# Two preps may follow each other unseen: the later one has all that the recipes say. A note's or a recall's change would be undone.
@pytest.mark.parametrize(
    ("kind", "made", "refused"),
    [
        ("prep", "prep", False),
        ("prep", "note", True),
        ("note", "prep", True),
        ("recall", "recall", True),
        ("prep", None, True),
    ],
)
def test_what_another_run_changed_meanwhile_is_not_undone(song, kind, made, refused):
    asked = song("pass-01", "pass-02", last="pass-01", made=made, kind=kind)
    if not refused:
        check_meanwhile(asked, [entry()])
        return
    with pytest.raises(SongError) as caught:
        check_meanwhile(asked, [entry()])
    assert str(caught.value) == (
        "song: pass-02 appeared while this pass was being made, and what it changed would be undone; nothing was written, run it again"
    )


def test_where_no_other_run_made_a_pass_nothing_is_in_the_way(song):
    check_meanwhile(song("pass-01", last="pass-01", kind="note"), [entry()])
    check_meanwhile(song(kind="note"), [entry()])
    with pytest.raises(SongError, match="pass-01 appeared"):
        check_meanwhile(song("pass-01", kind="note"), [entry()])


@pytest.mark.parametrize(("sha256", "refused"), [("x", False), ("y", True)])
def test_a_pass_has_the_very_file_of_a_stem_that_is_signed_off(song, sha256, refused):
    kept = Kept(stem="a.wav", in_pass=FIRST, sha256=sha256, by="Ann")
    asked = song("pass-01", last="pass-01", kept=[kept])
    if not refused:
        check_meanwhile(asked, [entry()])
        return
    for entries in ([entry()], []):
        with pytest.raises(SongError) as caught:
            check_meanwhile(asked, entries)
        assert str(caught.value) == (
            "a.wav: signed off in pass-01 by Ann, but its file cannot be brought back to the bit from any pass or from its plan; "
            'nothing was written. To let it change: stemwright keep SONG "a.wav" --release'
        )
