"""Every kind of move gets through the whole program: a kind left out of one of its places is named here."""

from __future__ import annotations

import json
from importlib.resources import files
from string import ascii_lowercase

import numpy as np
import pytest
import soundfile

from stemwright.passes.stages import OWN_STAGES
from stemwright.plan.wording import in_short
from stemwright.recipes.kinds import KINDS
from stemwright.recipes.units import parse, show
from stemwright.report.rows import LABELS

# A rings move is planned as the notches it finds; a ride needs phrases, and has its own test.
PLANNED = {name: kind for name, kind in KINDS.items() if name not in ("rings", "ride")}
STEMS = {name: f"zq{letter}" for name, letter in zip(PLANNED, ascii_lowercase, strict=False)}


def written(kind):
    """Return a kind as a recipe has it: defaults where there are some, else each field's example within its range."""
    if kind.word:
        return kind.word
    given = [field for field in kind.fields if field.default is None]
    values = {field: min(max(parse(field.quantity, field.example), field.lowest), field.highest) for field in given}
    values |= {field: -40.0 for field in given if field.quantity == "level"}  # 20 dB under the noise, so that it is passed
    return "{" + ", ".join(f"{field.key}: {show(field.quantity, value)}" for field, value in values.items()) + "}"


@pytest.fixture
def made(tmp_path, make_song, make_pass, noise):
    """Return a song with a stem and a recipe for each kind, its recipes' folder, and its first pass."""
    recipes = tmp_path / "kinds"
    recipes.mkdir()
    for name, stem in STEMS.items():
        text = f"recipe: {stem}\nabout: one move\nfamily: music\nstems: {{names: [{stem}]}}\nmoves:\n"
        (recipes / f"{stem}.yaml").write_text(f"{text}  - {name}: {written(KINDS[name])}\n", encoding="utf-8")
    uneven = noise(24_001 / 48_000)  # frames: a prime number, so that a stage that works in steps has a rest to hand over
    song = make_song({f"{stem}.wav": uneven for stem in STEMS.values()}, "deliver: {bits: float}\n")
    return song, recipes, make_pass(song, recipe_dirs=[recipes])


def test_every_kind_is_heard_told_and_can_be_noted(made, make_note):
    song, recipes, done = made
    entries = {entry.item.stem.removesuffix(".wav"): entry for entry in done.manifest.stems}
    for name, stem in STEMS.items():
        [move] = entries[stem].item.moves
        before, _ = soundfile.read(song / f"{stem}.wav")
        after, _ = soundfile.read(song / "passes/pass-01/stems" / f"{stem}.wav")
        # Half a percent (-46 dB): a move that is planned and not made would leave the difference at 0.
        assert np.abs(after - before).max() > 0.005 * np.abs(before).max(), name
        assert after[-1].any(), f"{name} keeps the end to itself"
        assert in_short([move]), name
        assert not (KINDS[name].own_stage and move.gain_sections), f"{name} is drawn as a filter's curve"
        assert move.settings.keys() <= LABELS.keys(), name
    _, noted = make_note(song, "everything brighter", recipe_dirs=[recipes])
    assert not noted.failed
    assert len(noted.rendered) == len(STEMS)


def test_every_kind_a_plan_may_hold_is_in_the_manifests_schema():
    schema = json.loads(files("stemwright.passes").joinpath("manifest.schema.json").read_text(encoding="utf-8"))
    kinds = [found["kind"]["enum"] for found in _properties(schema) if "sections" in found]
    assert [set(each) for each in kinds] == [{*PLANNED, "ride"}] * len(kinds)
    assert kinds


def test_every_kind_with_a_stage_of_its_own_has_that_stage():
    assert OWN_STAGES.keys() == {name for name, kind in KINDS.items() if kind.own_stage}


def _properties(node):
    if isinstance(node, dict):
        if isinstance(node.get("properties"), dict):
            yield node["properties"]
        for value in node.values():
            yield from _properties(value)
    if isinstance(node, list):
        for value in node:
            yield from _properties(value)
