"""Places in samples: at another rate, cut to the stem, in words, and every choice of moves that is ever made."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from stemwright.plan.only import MOST_VARIANTS, Only, only_at, variants
from stemwright.plan.sections import Span

ONLY = Only(said=("hook",), fade_frames=882, spans=((441, 44_100), (88_200, 132_300)))


def test_places_go_along_to_another_rate_with_a_fade_of_20_ms():
    moved = ONLY.at_rate(44_100, 48_000)
    assert moved == Only(said=("hook",), fade_frames=960, spans=((480, 48_000), (96_000, 144_000)))


def test_what_decides_samples_is_not_how_it_was_said():
    assert ONLY.sound == (882, ((441, 44_100), (88_200, 132_300)))


def test_places_are_said_with_their_times():
    one = Only(said=("hook",), fade_frames=960, spans=((2_160_000, 3_360_000),))
    assert one.words(48_000) == "only hook (0:45-1:10)"
    assert Only(said=("0:45-1:10",), fade_frames=960, spans=one.spans).words(48_000) == "only 0:45-1:10"
    both = Only(said=("hook", "bridge"), fade_frames=960, spans=((0, 48_000), (96_000, 144_000)))
    assert both.words(48_000) == "only hook, bridge (0:00-0:01, 0:02-0:03)"


@pytest.mark.parametrize(("places", "more"), [(4, ""), (5, " and 1 more"), (7, " and 3 more")])
def test_of_many_places_four_are_said(places, more):
    spans = tuple((number * 96_000, number * 96_000 + 48_000) for number in range(places))
    first = ", ".join(f"0:0{2 * number}-0:0{2 * number + 1}" for number in range(4))
    assert Only(said=("hook",), fade_frames=960, spans=spans).words(48_000) == f"only hook ({first}{more})"


@pytest.mark.parametrize(
    ("spans", "kept"),
    [
        ([(1.0, 2.0)], ((48_000, 96_000),)),
        ([(-1.0, 1.0)], ((0, 48_000),)),
        ([(-2.0, 0.0)], None),
        ([(-2.0, 0.00003)], ((0, 1),)),
        ([(2.99997, 5.0)], ((143_999, 240_000),)),
        ([(3.0, 5.0)], None),
        ([(0.5, 0.5)], None),
        ([(0.0, 1.0), (4.0, 5.0)], ((0, 48_000),)),
    ],
)
def test_of_places_those_are_kept_that_lie_in_the_stem(spans, kept):
    # A stem of 3 s at 48 kHz. An end beyond it stands as it was said.
    found = only_at(["hook"], [Span(*each) for each in spans], 48_000, 144_000)
    assert found == (None if kept is None else Only(said=("hook",), fade_frames=960, spans=kept))


def plainly(sounds, frames):
    """Return every set of moves that some frame needs: a move is off, on, or both while it fades."""
    found = set()
    for frame in range(-1, frames):
        states = []
        for fade, spans in sounds:
            state = (False,)
            for start, end in spans:
                if start - fade <= frame < start or max(end - fade, start) <= frame < end:
                    state = (False, True)
                    break
                if start <= frame < end:
                    state = (True,)
                    break
            states.append(state)
        for choice in product(*states):
            found.add(frozenset(np.flatnonzero(choice).tolist()))
    return sorted(found, key=sorted)


@pytest.mark.parametrize("seed", range(20))
def test_choices_are_those_that_some_frame_needs(seed):
    rng = np.random.default_rng(seed)
    sounds = []
    for _ in range(rng.integers(1, 4)):
        edges = np.sort(rng.choice(np.arange(0, 60), 4, replace=False)).tolist()
        sounds.append((int(rng.integers(1, 8)), ((edges[0], edges[1]), (edges[2], edges[3]))))
    assert variants(sounds) == plainly(sounds, 70)


def test_no_moves_in_places_have_one_choice_and_far_too_many_are_not_counted_out():
    assert variants([]) == [frozenset()]
    many = [(10, ((0, 100),))] + [(number, ((number, 100),)) for number in range(1, 9)]
    assert len(variants(many)) == MOST_VARIANTS + 1
