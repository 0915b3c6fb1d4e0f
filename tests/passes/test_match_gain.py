"""The gain that makes before and after equally loud, by arithmetic on their levels."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from stemwright.passes.render import match_gain_db


def levels(lufs, rms_dbfs):
    return SimpleNamespace(lufs=lufs, rms_dbfs=rms_dbfs)


@pytest.mark.parametrize(
    ("before", "after", "gain_db"),
    [
        (levels(-20.0, -25.0), levels(-23.5, -26.0), 3.5),
        (levels(-20.0, -25.0), levels(-17.254, -25.0), -2.75),  # to a hundredth
        (levels(None, -25.0), levels(-23.5, -26.0), 1.0),  # too short for loudness: by mean level
        (levels(None, None), levels(-23.5, -26.0), None),  # silence has no level
        (None, levels(-23.5, -26.0), None),
        (levels(-20.0, -25.0), None, None),
    ],
)
def test_what_became_quieter_is_brought_back_up(before, after, gain_db):
    assert match_gain_db(before, after) == gain_db
