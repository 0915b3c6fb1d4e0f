"""Moves that wait for something: made where it is there, set aside where not, and the plan says why."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.errors import RecipeError
from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.recipes.library import load_library

RATE_HZ = 48_000
RECIPE = """recipe: thump
about: for a test
stems: {names: [thump]}
moves:
  - high_pass: {freq: 30 Hz}
    name: roll-off
    why: rumble goes
    when: rumble
  - bell: {freq: 2 kHz, gain: -2 dB}
    name: room
    why: words stay in front
    if_there: lead vocal
"""


def tone(freq_hz, peak):
    time = np.arange(4 * RATE_HZ) / RATE_HZ
    return (peak * np.sin(2 * np.pi * freq_hz * time))[:, np.newaxis]


@pytest.fixture
def planned(make_song, executor):
    """Return a planner of a song with a recipe of its own: items by stem."""

    def plan(stems, recipe=RECIPE):
        song = make_song(stems)
        (song / "recipes").mkdir()
        (song / "recipes" / "thump.yaml").write_text(recipe)
        seen = look(song, executor, hashed=True)
        return {item.stem: item for item in prep.plan(seen, executor)}

    return plan


# A sine of peak a has a power of 20 lg a - 3.01 dB (arithmetic): 0.05 at 15 Hz under 0.25 at 80 Hz is -29 dBFS, 14 dB below.
def test_a_roll_off_that_waits_for_rumble_is_made_where_rumble_is_and_says_so(planned):
    item = planned({"thump.wav": tone(80, 0.25) + tone(15, 0.05)})["thump.wav"]
    assert [move.name for move in item.moves] == ["roll-off"]
    assert item.moves[0].why == "rumble goes (rumble: -29 dBFS under 30 Hz, 14 dB below the whole stem)"


# The note lies an octave above the corner: not rumble, however loud.
def test_a_roll_off_that_waits_for_rumble_is_not_made_without(planned):
    item = planned({"thump.wav": tone(60, 0.98)})["thump.wav"]
    assert (item.status, item.moves) == ("left", ())
    assert item.messages[0].startswith("roll-off is not made: no rumble: -")
    assert item.messages[1] == "room is not made: no lead vocal in this song"


@pytest.mark.parametrize(("name", "made"), [("Lead Vox.wav", True), ("piano.wav", False)])
def test_room_is_made_for_a_vocal_that_is_there(planned, name, made):
    item = planned({"thump.wav": tone(60, 0.9), name: None})["thump.wav"]
    assert ("room" in [move.name for move in item.moves]) is made


def test_a_child_recipe_takes_conditions_away_with_always(tmp_path):
    (tmp_path / "thump.yaml").write_text(RECIPE.replace("lead vocal", "thump"))
    child = "recipe: loose\nbased_on: thump\nchange: {roll-off: {when: always}, room: {when: always}}\n"
    (tmp_path / "loose.yaml").write_text(child)
    moves = load_library([tmp_path]).get("loose").moves
    assert [(move.when, move.if_there) for move in moves] == [(None, None)] * 2


def test_a_role_that_no_recipe_has_is_refused_with_the_nearest(tmp_path):
    (tmp_path / "thump.yaml").write_text(RECIPE.replace("lead vocal", "thunp"))
    with pytest.raises(RecipeError, match=r"room\.if_there: no recipe has this role \(thunp\); did you mean thump\?"):
        load_library([tmp_path])
