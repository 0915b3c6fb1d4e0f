"""Passes made the short way."""

from __future__ import annotations

import pytest

from stemwright.passes import prep
from stemwright.passes.making import Maker


@pytest.fixture
def make_pass(executor):
    """Return a maker of passes: looks, plans and preps a song's folder."""

    def make(folder, *, only=(), recipe_dirs=()):
        seen = prep.look(folder, executor, recipe_dirs=recipe_dirs, hashed=True)
        return prep.prep(seen, prep.plan(seen, executor), Maker(executor), only=only)

    return make
