"""Moves that are made in places only: nothing else moves, bar lines are clean, and a pass comes back to the bit."""

from __future__ import annotations

import json

import numpy as np
import pytest
import soundfile

from stemwright.handover.recall_sheet import recall_sheet
from stemwright.passes.compare import compare
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.song import open_song
from stemwright.passes.stages import chain, through
from stemwright.passes.story import short_changes
from stemwright.plan.items import PlannedMove
from stemwright.plan.only import Only, variants
from stemwright.plan.resolve import sections_of

RATE_HZ = 48_000
FADE = 960  # 20 ms
SHEET = "tempo: 120\nbar_one: 0 s\nsections: {hook: bars 2}\n"  # 120 quarters a minute: bar 2 is 2 s to 4 s
RECIPE = (
    "recipe: ours\nabout: for this test\nstems: {names: [keys]}\nmoves:\n"
    "  - high_pass: {freq: 60 Hz}\n    why: rumble\n"
    "  - bell: {freq: 300 Hz, gain: +6 dB, q: 2}\n    why: body\n    name: body\n    only: hook\n"
    "  - compress: {threshold: -30 dB, ratio: 4:1, attack: 5 ms, release: 200 ms}\n    why: hold\n"
)


def move(kind, only=None, **settings):
    where = None if only is None else Only(said=("there",), fade_frames=FADE, spans=tuple(only))
    sections = sections_of(kind, settings, RATE_HZ)
    return PlannedMove(kind=kind, name=kind, why="", settings=settings, sections=sections, only=where)


HIGH_PASS = move("high_pass", freq_hz=80.0, slope_db_oct=12.0)
BELL = move("bell", [(48_000, 60_000)], freq_hz=200.0, gain_db=6.0, q=4.0)
SHELF = move("high_shelf", [(40_000, 50_000), (70_000, 80_000)], freq_hz=4000.0, gain_db=-6.0, q=0.7071)
LINEAR = move("high_pass", freq_hz=100.0, slope_db_oct=12.0, linear_phase=1.0)
DE_ESS = move("de_ess", freq_hz=5000.0, over_db=-8.0, most_db=4.0, attack_ms=2.0, release_ms=60.0)


def run(moves, sound, sizes=(65_536,)):
    blocks, at, turn = [], 0, 0
    while at < len(sound):
        size = sizes[turn % len(sizes)]
        blocks.append(sound[at : at + size])
        at, turn = at + size, turn + 1
    return np.concatenate(list(through(chain(tuple(moves), RATE_HZ, sound.shape[1]), blocks)))


@pytest.fixture
def sound(noise):
    return noise(seconds=2.5)


@pytest.mark.parametrize(
    "after", [(), (HIGH_PASS,), (LINEAR,), (DE_ESS,)], ids=["alone", "filter", "linear phase", "de-ess"]
)
def test_outside_its_places_a_stem_is_the_same_samples_as_without_the_move(sound, after):
    with_it, without = run([BELL, *after], sound), run(after, sound)
    changed = np.flatnonzero((with_it != without).any(axis=1))
    assert (changed[0], changed[-1]) == (48_000 - FADE + 1, 60_000 - 1)


def test_inside_its_places_a_stem_is_the_same_samples_as_with_the_move_everywhere(sound):
    everywhere = move("bell", freq_hz=200.0, gain_db=6.0, q=4.0)
    inside = slice(48_000, 60_000 - FADE)
    assert np.array_equal(run([BELL, HIGH_PASS], sound)[inside], run([everywhere, HIGH_PASS], sound)[inside])


def test_half_way_through_its_fade_half_of_the_move_is_there(sound):
    everywhere = move("bell", freq_hz=200.0, gain_db=6.0, q=4.0)
    middle = 48_000 - FADE // 2  # 3 t^2 - 2 t^3 is 1/2 at t = 1/2
    half = (run([everywhere], sound)[middle] + sound[middle]) / 2.0
    assert np.allclose(run([BELL], sound)[middle], half, rtol=0.0, atol=1e-15)


GAIN = move("gain", [(45_000, 50_000)], gain_db=-3.0)


def one_by_one_at_every_edge():
    """Return sizes of blocks: single samples round every frame at which a fade begins or ends, all else in one piece."""
    edges = sorted(
        {at for each in (BELL, SHELF, GAIN) for span in each.only.spans for end in span for at in (end - FADE, end)}
    )
    gaps = np.diff([0, *edges]) - 64
    gaps[0] += 32
    return tuple(size for gap in gaps for size in (int(gap), *[1] * 64))


@pytest.mark.parametrize(
    "sizes", [one_by_one_at_every_edge(), (7, 5000, 313), (65_536,)], ids=["one by one", "odd", "large"]
)
def test_block_size_does_not_show(sound, sizes):
    moves = [BELL, SHELF, GAIN, DE_ESS]
    assert np.array_equal(run(moves, sound, sizes), run(moves, sound))


def test_a_gain_at_the_end_is_exact_inside_and_nothing_outside(sound):
    result = run([HIGH_PASS, move("gain", [(48_000, 60_000)], gain_db=-6.0)], sound)
    plain = run([HIGH_PASS], sound)
    assert np.array_equal(result[: 48_000 - FADE], plain[: 48_000 - FADE])
    assert np.array_equal(result[60_000:], plain[60_000:])
    assert np.array_equal(result[48_000 : 60_000 - FADE], plain[48_000 : 60_000 - FADE] * 10.0 ** (-6.0 / 20.0))


def test_only_choices_that_are_ever_needed_are_run():
    apart = [(FADE, ((48_000, 60_000),)), (FADE, ((90_000, 99_000),))]
    assert variants(apart) == [frozenset(), frozenset({0}), frozenset({1})]


# Two that begin together but fade in over different times: while the second fades the first does too, so it may be on alone.
def test_where_two_fade_at_once_every_choice_of_them_is_run():
    fading = [(FADE, ((48_000, 60_000),)), (FADE // 2, ((48_000, 55_000),))]
    assert variants(fading) == [frozenset(), frozenset({0}), frozenset({0, 1}), frozenset({1})]
    # From the very start on, the fade in has no room.
    assert variants([(FADE, ((0, 60_000),))]) == [frozenset(), frozenset({0})]


@pytest.fixture
def song(make_song, noise):
    folder = make_song({"keys.wav": noise(seconds=6.0), "bass.wav": None}, SHEET)
    (folder / "recipes").mkdir()
    (folder / "recipes" / "ours.yaml").write_text(RECIPE, encoding="utf-8")
    return folder


def samples(folder, name, stem="keys.wav"):
    return soundfile.read(folder / "passes" / name / "stems" / stem)[0]


def test_a_pass_has_the_sample_positions_and_leaves_the_rest_alone(song, make_pass):
    first = make_pass(song)
    (body,) = [each for each in first.manifest.entries["keys.wav"].item.moves if each.name == "body"]
    assert body.only == Only(said=("hook",), fade_frames=FADE, spans=((96_000, 192_000),))
    (song / "recipes" / "ours.yaml").write_text(RECIPE.replace("+6 dB", "0 dB"), encoding="utf-8")
    second = make_pass(song)
    changed = np.flatnonzero((samples(song, first.name) != samples(song, second.name)).any(axis=1))
    assert 96_000 - FADE <= changed[0] < 96_000
    assert 192_000 - FADE < changed[-1] < 192_000


def test_comparison_story_and_sheets_say_where_a_move_is_made(song, make_pass, executor):
    first = make_pass(song)
    (song / "session.yaml").write_text(SHEET.replace("bars 2", "bars 1"), encoding="utf-8")
    second = make_pass(song)
    (keys,) = [each for each in compare(open_song(song), first.name, second.name, executor).stems if each.stem == "keys.wav"]
    assert keys.moves == ("bell 300 Hz +6 dB q 2 [body] only hook, as it was -> where that is now",)
    moves = [each.manifest.entries["keys.wav"].item.moves for each in (first, second)]
    assert short_changes(*moves) == "bell 300 Hz +6 dB q 2 only hook"
    assert "bell 300 Hz +6 dB q 2 only hook   [body]" in recall_sheet(second.manifest, "song")


def test_a_recalled_pass_needs_no_sheet_and_is_the_same_to_the_bit(song, make_pass, make_recall):
    first = make_pass(song)
    (song / "session.yaml").unlink()
    before = samples(song, first.name)
    (song / "recipes" / "ours.yaml").write_text(RECIPE.replace("only: hook", "only: 0:01-0:02"), encoding="utf-8")
    make_pass(song)
    recalled = make_recall(song, "1")
    assert np.array_equal(samples(song, recalled.made.name), before)


def test_a_section_that_is_not_there_sets_the_move_aside_with_the_way_out(song, make_pass):
    (song / "session.yaml").write_text(SHEET.replace("hook", "chorus"), encoding="utf-8")
    entry = make_pass(song).manifest.entries["keys.wav"]
    assert [each.kind for each in entry.item.moves] == ["high_pass", "compress"]
    assert entry.item.messages == (
        (
            "body is not made: no section is called hook; allowed: chorus; in session.yaml write "
            "sections: {hook: bars 21-28} or {hook: 0:45-1:10}"
        ),
    )


def test_a_manifest_whose_places_are_out_of_order_is_refused(song, make_pass):
    made = make_pass(song)
    path = song / "passes" / made.name / "manifest.json"
    path.write_text(path.read_text(encoding="utf-8").replace("96000,\n", "292000,\n"), encoding="utf-8")
    assert json.loads(path.read_text(encoding="utf-8"))
    with pytest.raises(Exception, match="body: its places are not in order"):
        read_manifest(path.parent)
