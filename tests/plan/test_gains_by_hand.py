"""Gains by hand among phrases: whose middle lies in them, which are cut, and what of them is a pause."""

from __future__ import annotations

import pytest

from stemwright.plan.ride import Phrase
from stemwright.plan.ride_by_hand import with_hand
from stemwright.recipes.by_hand import ByHand

SONG = [Phrase(0.0, 2.0, 1.0), Phrase(3.0, 5.0, -1.0), Phrase(6.0, 8.0, 2.0)]


def hand(start_s, end_s, gain_db=9.0):
    return ByHand(start_s=start_s, end_s=end_s, gain_db=gain_db)


def spoken(phrases):
    return [(each.start_s, each.end_s, each.gain_db) for each in phrases]


REST = {number: (each.start_s, each.end_s, each.gain_db) for number, each in enumerate(SONG)}


@pytest.mark.parametrize(
    ("wanted", "expected"),
    [
        # Around a phrase, or its end no further than a quarter of a second inside it.
        ((2.5, 5.5), [REST[0], (3.0, 5.0, 9.0), REST[2]]),
        ((3.25, 4.75), [REST[0], (3.0, 5.0, 9.0), REST[2]]),
        # Further inside it is cut there.
        ((3.26, 5.0), [REST[0], (3.0, 3.26, -1.0), (3.26, 5.0, 9.0), REST[2]]),
        ((3.0, 4.74), [REST[0], (3.0, 4.74, 9.0), (4.74, 5.0, -1.0), REST[2]]),
        ((3.5, 4.5), [REST[0], (3.0, 3.5, -1.0), (3.5, 4.5, 9.0), (4.5, 5.0, -1.0), REST[2]]),
        # Over two of them.
        ((2.9, 8.1), [REST[0], (3.0, 5.0, 9.0), (6.0, 8.0, 9.0)]),
        # In a pause it is a stretch of its own, cut to the pause.
        ((2.2, 2.8), [REST[0], (2.2, 2.8, 9.0), REST[1], REST[2]]),
        ((1.9, 3.1), [REST[0], (2.0, 3.0, 9.0), REST[1], REST[2]]),
        ((2.2, 2.4), [REST[0], (2.2, 2.4, 9.0), REST[1], REST[2]]),
        ((9.0, 10.0), [*REST.values(), (9.0, 10.0, 9.0)]),
        # Both ends near one pause: what it shares with the phrase is cut out of it.
        ((1.8, 2.05), [(0.0, 1.8, 1.0), (1.8, 2.0, 9.0), REST[1], REST[2]]),
        ((2.95, 3.2), [REST[0], (3.0, 3.2, 9.0), (3.2, 5.0, -1.0), REST[2]]),
        ((3.05, 3.2), [REST[0], (3.0, 3.05, -1.0), (3.05, 3.2, 9.0), (3.2, 5.0, -1.0), REST[2]]),
    ],
)
def test_where_a_gain_by_hand_goes(wanted, expected):
    assert spoken(with_hand(SONG, [hand(*wanted)])) == expected


@pytest.mark.parametrize("wanted", [(3.9, 4.0), (3.5, 3.7), (4.3, 4.7), (3.26, 3.4)])
def test_a_short_gain_inside_a_phrase_moves_no_more_of_it_than_was_written(wanted):
    inside = [(3.0, wanted[0], -1.0), (*wanted, 9.0), (wanted[1], 5.0, -1.0)]
    assert spoken(with_hand(SONG, [hand(*wanted)])) == [REST[0], *inside, REST[2]]


def test_later_gains_leave_earlier_ones_alone():
    found = with_hand(SONG, [hand(0.5, 1.0, 5.0), hand(1.0, 1.5, -5.0), hand(6.0, 8.0, 0.0)])
    assert spoken(found) == [
        (0.0, 0.5, 1.0), (0.5, 1.0, 5.0), (1.0, 1.5, -5.0), (1.5, 2.0, 1.0), REST[1], (6.0, 8.0, 0.0),
    ]  # fmt: skip
    # Where an earlier gain cut a phrase there is no pause to go to.
    assert spoken(with_hand(SONG, [hand(0.5, 1.0, 5.0), hand(1.1, 1.3, -5.0)]))[1:5] == [
        (0.5, 1.0, 5.0), (1.0, 1.1, 1.0), (1.1, 1.3, -5.0), (1.3, 2.0, 1.0),
    ]  # fmt: skip


def test_a_stem_without_phrases_gets_what_is_written():
    assert spoken(with_hand([], [hand(1.0, 2.0)])) == [(1.0, 2.0, 9.0)]
