"""Moves shown as a recipe has them."""

from __future__ import annotations

import pytest

from stemwright.recipes.moves import Move, describe

SHOWN = [
    ("high_shelf", {"freq_hz": 30000.0, "gain_db": 4.0, "q": 0.7071}, {"freq": "30 kHz", "gain": "+4 dB", "q": "0.7071"}),
    ("high_pass", {"freq_hz": 250.0, "slope_db_oct": 12.0}, {"freq": "250 Hz", "slope": "12 dB/oct"}),
    ("gain", {"gain_db": -3.0}, {"gain": "-3 dB"}),
    ("polarity", {}, {"polarity": "flip"}),
]


@pytest.mark.parametrize(("kind", "settings", "shown"), SHOWN)
def test_a_move_is_shown_as_a_recipe_has_it(kind, settings, shown):
    assert describe(Move(kind, kind, "", off=False, settings=settings)) == shown
