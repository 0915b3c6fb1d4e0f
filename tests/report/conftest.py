"""Passes with their pages, made the short way."""

from __future__ import annotations

import pytest

from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.song import open_song
from stemwright.report import write_page


@pytest.fixture
def make_pass(executor):
    """Return a maker of passes: looks, plans and preps a song's folder."""

    def make(folder):
        seen = look(folder, executor, hashed=True)
        return prep.prep(seen, prep.plan(seen, executor), Maker(executor))

    return make


@pytest.fixture
def make_page(make_pass, executor):
    """Return a maker of pages: a song's folder to what was written and the page's text."""

    def make(folder, options=None, findings=None):
        name = make_pass(folder).name or open_song(folder).passes()[-1]
        written = write_page(open_song(folder), name, executor, options, findings)
        return written, written.path.read_text(encoding="utf-8")

    return make
