"""Limits: how much of anything there may be, in one place; recipes, sheets, words, plans and manifests all obey it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

RATES_HZ = (8_000, 768_000)
MOST_CHANNELS = 64
MOST_FRAMES = 24 * 3600 * RATES_HZ[1]  # a day at the highest rate
MOST_MOVES = 256  # of a recipe, and of a stem with its notes
MOST_WORDS = 2_000  # of a words file; the house has a tenth of that
MOST_MEANINGS = 256  # of a word
MOST_FILES = 2_000  # of a folder of recipes or words
HIGHEST_CHAIN_DB = 72.0  # what all moves of a stem may lift together: three times the most that one may
HIGHEST_PEAK_DBFS = 60.0  # of what is written; no mix holds that, and float would carry it to the speakers
LARGEST_SAMPLE = 1e9  # as received; 180 dB over full scale, and whatever is beyond counts as no number

CONTAINERS = ("WAV", "RF64", "BW64", "AIFF", "FLAC", "CAF", "W64", "AU", "MP3", "OGG")
"""Those that are read; all but the last two are written as well."""


def are_numbers(audio: np.ndarray) -> bool:
    """Whether every sample is one: neither NaN nor infinite, nor so large that it counts as none."""
    return bool(abs(audio).max(initial=0.0) <= LARGEST_SAMPLE)  # one comparison finds all three
