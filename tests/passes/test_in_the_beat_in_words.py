"""What is heard of a change among the others, in words: each line written out by hand."""

from __future__ import annotations

import pytest

from stemwright.passes.in_the_beat import _words
from stemwright.plan.audible import Audibility


def words(**found):
    return _words(Audibility(**{"freq_hz": 3012.0, "change_db": 1.24, "share": 0.3, **found}))


# Heard half of the time or more is heard; so is what nothing lies over.
@pytest.mark.parametrize(
    ("share", "covered_by", "heard"),
    [(0.5, ("keys.wav",), True), (0.496, ("keys.wav",), True), (0.494, ("keys.wav",), False), (0.2, (), True)],
)
def test_half_of_the_time_is_heard(share, covered_by, heard):
    assert (words(share=share, covered_by=covered_by) == "3 kHz +1.2 dB in the beat: heard") == heard


def test_a_change_of_all_of_it_is_said_so():
    assert words(freq_hz=None, change_db=-2.06, share=1.0) == "all of it -2.1 dB in the beat: heard"


# Under a tenth of the time is nearly never; a tenth is a tenth.
@pytest.mark.parametrize(
    ("share", "how"),
    [
        (0.099, "covered by keys.wav and pad.wav nearly always"),
        (0.1, "heard 10% of the time, else under keys.wav and pad.wav"),
        (0.42, "heard 42% of the time, else under keys.wav and pad.wav"),
    ],
)
def test_what_is_covered_is_said_with_how_often_and_by_whom(share, how):
    assert words(share=share, covered_by=("keys.wav", "pad.wav")) == f"3 kHz +1.2 dB in the beat: {how}"


@pytest.mark.parametrize(
    ("ways", "said"),
    [
        ({"more_db": 2.0}, "+2 dB more here"),
        ({"less_db": 3.0}, "3 dB off keys.wav there"),
        ({"more_db": 2.5, "less_db": 3.0}, "+2.5 dB more here, or 3 dB off keys.wav there"),
    ],
)
def test_what_would_help_is_said_with_what_it_gives(ways, said):
    text = words(covered_by=("keys.wav", "pad.wav"), **ways)
    assert text.endswith(f"else under keys.wav and pad.wav; {said}, and it is heard half of the time")
