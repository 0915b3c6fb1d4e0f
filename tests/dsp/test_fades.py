"""Fades: where a move is whole, where it is gone, and 3 t^2 - 2 t^3 between; the same for any block."""

from __future__ import annotations

import numpy as np
import pytest

from stemwright.dsp.fades import FadedGain, weights


def plainly(fade, spans, frame):
    """Return the weight at one frame by the convention: in over a fade before the span, out over one before its end."""
    for first, end in spans:
        if first - fade <= frame < first:
            t = (frame - (first - fade)) / fade
            return 3 * t**2 - 2 * t**3
        out = max(end - fade, first)
        if first <= frame < out:
            return 1.0
        if out <= frame < end:
            t = (frame - out) / (end - out)
            return 1 - (3 * t**2 - 2 * t**3)
    return 0.0


# Spans that begin within a fade of the start, at it, later, two of them, one shorter than a fade.
SPANS = [((4, 40),), ((0, 30),), ((50, 90),), ((20, 45), (70, 100)), ((50, 56),), ((30, 60), (70, 76))]


@pytest.mark.parametrize("spans", SPANS)
@pytest.mark.parametrize("size", [1, 3, 7, 10, 200])
def test_weights_are_those_of_the_convention_in_any_blocks(spans, size):
    found = []
    for start in range(0, 120, size):
        weight = weights(10, spans, start, size)
        found += [weight] * size if isinstance(weight, float) else weight.tolist()
    assert found[:120] == pytest.approx([plainly(10, spans, frame) for frame in range(120)])


def test_half_of_the_way_through_a_fade_half_of_it_is_there():
    assert weights(10, ((50, 90),), 45, 1)[0] == 0.5
    assert weights(10, ((50, 90),), 85, 1)[0] == 0.5


# A block in which nothing changes is said in one number: all of it inside, or none of it within a span and its fade.
@pytest.mark.parametrize(
    ("start", "frames", "whole"),
    [
        (0, 40, 0.0),
        (0, 41, None),
        (90, 10, 0.0),
        (89, 10, None),
        (50, 30, 1.0),
        (50, 31, None),
        (49, 31, None),
        (41, 1, None),
    ],
)
def test_where_it_is_the_same_all_along_it_is_a_number(start, frames, whole):
    weight = weights(10, ((50, 90),), start, frames)
    assert (weight if isinstance(weight, float) else None) == whole


def test_a_gain_is_there_within_its_spans_only():
    sound = np.random.default_rng(2).standard_normal((120, 2))
    expected = np.array([1.0 + (0.25 - 1.0) * plainly(10, SPANS[3], frame) for frame in range(120)])[:, np.newaxis] * sound
    for size in (1, 17, 120):
        stage = FadedGain(0.25, 10, SPANS[3])
        parts = [stage.process(sound[start : start + size]) for start in range(0, 120, size)]
        assert np.concatenate(parts) == pytest.approx(expected)


def test_outside_and_inside_the_spans_it_is_the_block_itself_or_all_of_it():
    stage, sound = FadedGain(0.25, 10, ((50, 90),)), np.ones((10, 1))
    outputs = [stage.process(sound) for _ in range(10)]
    assert [each is sound for each in outputs] == [True] * 4 + [False] * 5 + [True]
    assert (outputs[5] == 0.25).all()
