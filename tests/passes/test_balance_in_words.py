"""A covered place in words, and the move that would help as a recipe has it: each line written out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stemwright.passes.balance import _lead, _ride, note_line, said
from stemwright.plan.balance import Covered
from stemwright.plan.culprits import Culprit
from stemwright.plan.cures import Cure
from stemwright.recipes.timeline import TempoFrom, Timeline

CURE = Cure(stem="keys.wav", gain_db=-3.0, freq_hz=None, q=1.0, index=0.6, enough=True)
PLACE = Covered(
    start_s=62.004,
    end_s=64.206,
    index=0.3,
    drop=0.254,
    bands_hz=((1044.0, 2126.0), (3304.0, 3996.0)),
    culprits=(Culprit(stem="keys.wav", raises=0.2, over_db=4.6), Culprit(stem="pad.wav", raises=0.1, over_db=-2.4)),
    cure=CURE,
)


def test_a_place_is_said_with_when_how_far_by_whom_and_where():
    # 64.206 - 62.004 = 2.202 s; levels to a decibel, frequencies to 10 Hz.
    assert said(PLACE, Timeline()) == (
        "1:02 for 2.2 s: 0.25 under the median, by keys.wav (+5 dB to it there) and pad.wav (-2 dB to it there); "
        "most at 1.04 kHz to 2.13 kHz, 3.3 kHz to 4 kHz"
    )


def test_a_place_is_said_by_its_bar_where_bars_are_known_and_without_a_culprit_by_nobody():
    # 120 quarters a minute: a bar lasts 2 s, and 62.004 s lie in the 32nd.
    timeline = Timeline(tempo=(TempoFrom(1, 120.0),), bar_one_s=0.0)
    text = said(replace(PLACE, culprits=()), timeline)
    assert text.startswith("bar 32 (1:02")
    assert ", by nothing that is here; most at " in text


def test_the_smallest_move_is_a_note_with_both_sides_of_a_pair_and_the_place():
    assert note_line(PLACE, {}) == '"keys.wav": -3 dB, only 1:02-1:04.21'
    sides = {"keys.wav": "keys 2.wav", "keys 2.wav": "keys.wav"}
    assert note_line(PLACE, sides) == '"keys 2.wav" and "keys.wav": -3 dB, only 1:02-1:04.21'
    bell = replace(CURE, freq_hz=2500.0, gain_db=-4.5, q=1.25)
    assert note_line(replace(PLACE, cure=bell), {}) == '"keys.wav": -4.5 dB at 2.5 kHz q 1.25, only 1:02-1:04.21'
    assert note_line(replace(PLACE, cure=None), {}) == ""


@pytest.mark.parametrize(
    ("role", "note"),
    [
        ("lead vocal", "ride the vocal"),
        ("vocal sample", "ride the vocal"),
        (None, "ride the vocal"),
        ("adlibs", "ride the adlibs"),
    ],
)
def test_what_to_note_of_an_uneven_voice(role, note):
    assert _ride(role) == note


def test_the_front_is_the_lead_vocal_and_a_sampled_one_where_there_is_none():
    roles = {"chop.wav": "vocal sample", "a.wav": "lead vocal", "b.wav": "lead vocal", "c.wav": None}
    assert _lead(roles) == ["a.wav", "b.wav"]
    assert _lead({"chop.wav": "vocal sample", "c.wav": None}) == ["chop.wav"]
    assert _lead({"c.wav": "keys"}) == []
