"""What two rides do differently, told by time; times and gains as the points have them, 1,000 frames a second."""

from __future__ import annotations

from stemwright.plan.items import PlannedMove
from stemwright.plan.ride_words import rides_apart


def ride(*points):
    return [
        PlannedMove(
            kind="ride", name="ride", why="", settings={}, points=tuple((at, db, 10.0 ** (db / 20.0)) for at, db in points)
        )
    ]


FIRST = ride(
    (1_000, 0.0), (1_100, 1.5), (3_000, 1.5), (3_100, 0.0), (5_000, 0.0), (5_100, -2.0), (8_040, -2.0), (8_100, 0.0)
)


def test_a_new_ride_is_told_stretch_by_stretch():
    assert rides_apart([], FIRST, 1_000) == ["0:01.1-0:03 0 -> +1.5 dB", "0:05.1-0:08 0 -> -2 dB"]


def test_a_ride_taken_out_goes_to_nothing():
    assert rides_apart(FIRST, [], 1_000) == ["0:01.1-0:03 +1.5 -> +0 dB", "0:05.1-0:08 -2 -> +0 dB"]


def test_only_what_differs_is_told():
    other = ride(
        (1_000, 0.0), (1_100, 1.5), (3_000, 1.5), (3_100, 0.0), (5_000, 0.0), (5_100, -1.0), (8_040, -1.0), (8_100, 0.0)
    )
    assert rides_apart(FIRST, other, 1_000) == ["0:05.1-0:08 -2 -> -1 dB"]
    assert rides_apart(FIRST, FIRST, 1_000) == []
