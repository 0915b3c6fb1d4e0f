"""Passes made the short way."""

from __future__ import annotations

import pytest

from stemwright.passes import prep
from stemwright.passes.making import Maker
from stemwright.passes.note import answer, plan_note
from stemwright.passes.recall import recall
from stemwright.passes.song import open_song


@pytest.fixture
def make_pass(executor):
    """Return a maker of passes: looks, plans and preps a song's folder."""

    def make(folder, *, only=(), recipe_dirs=()):
        seen = prep.look(folder, executor, recipe_dirs=recipe_dirs, hashed=True)
        return prep.prep(seen, prep.plan(seen, executor), Maker(executor), only=only)

    return make


@pytest.fixture
def make_note(executor):
    """Return an answerer of notes on a song's newest pass: (plan, what was made)."""

    def answer_note(folder, text, *, by=None, recipe_dirs=()):
        plan = plan_note(open_song(folder), text, by, recipe_dirs, executor)
        return plan, answer(plan, Maker(executor))

    return answer_note


@pytest.fixture
def make_recall(executor):
    """Return a recaller of a song's passes."""

    def bring_back(folder, asked, *stems):
        return recall(open_song(folder), asked, stems, Maker(executor), executor)

    return bring_back
