"""The page of a pass: one file, nothing fetched, and what came from outside stays text."""

from __future__ import annotations

import re

from stemwright.cli import main

HOSTILE = "<img src=x onerror=alert(1)>.wav"


def written(make_song, *options):
    song = make_song({"hats.wav": None, HOSTILE: None})
    assert main(["prep", str(song)]) in (0, 1)
    assert main(["report", str(song), *options]) in (0, 1)
    return song, (song / "passes" / "pass-01" / "report.html").read_text(encoding="utf-8")


def test_a_script_named_stem_stays_text(make_song):
    _, page = written(make_song, "--no-audio")
    assert HOSTILE not in page
    assert "&lt;img src=x onerror=alert(1)&gt;.wav" in page


def test_the_page_has_a_policy_and_fetches_nothing(make_song):
    _, page = written(make_song, "--no-audio")
    assert "Content-Security-Policy" in page
    assert not re.search(r'(?:src|href)="(?:https?:)?//', page)


def test_a_pass_with_a_page_still_verifies(make_song):
    song, _ = written(make_song)
    assert main(["verify", str(song)]) == 0
