"""Songs here are of a second of noise, so that there is time for something to happen while they are worked on."""

from __future__ import annotations

from functools import partial

import pytest


@pytest.fixture
def make_song(make_song):
    return partial(make_song, seconds=1.0)
