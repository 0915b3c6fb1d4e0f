"""What is said before a next pass: recipes that moved, notes on top and set aside, stems kept and what became of them."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
import soundfile

from stemwright.passes.history import read_pass
from stemwright.passes.keep import keep
from stemwright.passes.look import look
from stemwright.passes.since_last import SinceLast, since_last
from stemwright.passes.song import open_song


def item(stem, *, noted):
    return SimpleNamespace(stem=stem, moves=(SimpleNamespace(note="more bite" if noted else None),))


def last(*items):
    return SimpleNamespace(items=lambda: list(items))


def test_each_thing_has_its_line_and_what_is_not_has_none():
    before = last(item("hats.wav", noted=True), item("keys.wav", noted=True), item("kick.wav", noted=False))
    now = [item("hats.wav", noted=True), item("keys.wav", noted=False), item("kick.wav", noted=False)]
    since = SinceLast(last=before, recipes=("hats: version 1 -> 2",), kept=("kick.wav, signed off in pass-01",))
    assert since.lines(now) == [
        "recipe hats: version 1 -> 2",
        "notes stay on top of the recipes' moves: hats.wav",
        "notes set aside, since nothing is done to these stems any more: keys.wav",
        "kept: kick.wav, signed off in pass-01",
    ]
    assert SinceLast(last=last(item("kick.wav", noted=False))).lines([item("kick.wav", noted=False)]) == []
    assert SinceLast(last=None, kept=("kick.wav",)).lines(now) == []


@pytest.fixture
def kept(make_song, make_pass):
    folder = make_song({"kick.wav": None, "hats.wav": None})
    make_pass(folder)
    song = open_song(folder)
    keep(song, read_pass(song, None), ["kick.wav"], "Ann")
    return folder


def said(folder, executor, *, hashed=True):
    return since_last(look(folder, executor, hashed=hashed)).kept


def test_a_kept_stem_is_told_with_what_became_of_its_file(kept, executor, noise):
    assert said(kept, executor) == ("kick.wav, signed off in pass-01 by Ann",)
    soundfile.write(kept / "kick.wav", noise(0.17, seed=9), 48_000, "PCM_24")
    other = "kick.wav, signed off in pass-01 by Ann (another file was received since; it is not used)"
    assert said(kept, executor) == (other,)
    assert said(kept, executor, hashed=False) == ("kick.wav, signed off in pass-01 by Ann",)  # not looked at
    (kept / "kick.wav").unlink()
    assert said(kept, executor) == ("kick.wav, signed off in pass-01 by Ann (the stem as received is gone)",)


def test_before_the_first_pass_there_is_nothing_to_tell(make_song, executor):
    assert since_last(look(make_song({"kick.wav": None}), executor)) == SinceLast(last=None)


def test_a_recipe_that_moved_is_told(kept, executor):
    (kept / "recipes").mkdir()
    (kept / "recipes" / "hats.yaml").write_text("recipe: hats\nversion: 99\nbased_on: hats\n", encoding="utf-8")
    (line,) = since_last(look(kept, executor, hashed=True)).recipes
    assert line.startswith("hats: version ")
    assert line.endswith(" -> 99")
