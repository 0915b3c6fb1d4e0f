"""A note's page takes what the page before it has of the same files: the same bars, the same bytes, and encodes only what changed."""

from __future__ import annotations

import base64
import json
import re

import numpy as np
import pytest

from stemwright.cli import main
from stemwright.report import listening
from stemwright.report.excerpt import Excerpt, Moments, still_tell
from stemwright.report.kept import kept_page
from stemwright.report.looking import _everywhere

RATE_HZ = 44_100
CLIP = re.compile(r'class="clip" data-of="([^"]*)" data-clip="([a-z]+)" data-in="(\d+)">([^<]*)<')
NAMES = ("hats", "keys", "kick", "snare")


@pytest.fixture
def song(make_song):
    """Return a song of four stems, prepped, with its page: noise under a slow swell, so that some bars have more of a change."""
    frames = np.arange(20 * RATE_HZ)
    swell = 0.02 + 0.1 * np.sin(np.pi * frames / len(frames)) ** 2
    stems = {
        f"{name}.wav": np.random.default_rng(seed).standard_normal((len(frames), 1)) * swell[:, np.newaxis]
        for seed, name in enumerate(NAMES)
    }
    folder = make_song(stems)
    assert main(["prep", str(folder)]) in (0, 1)
    return folder


def page_of(song, number):
    return song / "passes" / f"pass-0{number}" / "report.html"


def clips_of(song, number):
    """Return a page's clips by stem and side."""
    page = page_of(song, number).read_text(encoding="utf-8")
    told = json.loads(re.search(r'id="sound">([^<]*)<', page)[1])
    names = {key: each["of"]["stem"] for key, each in told["stems"].items()}
    return {(names[stem], side): data for stem, side, _, data in CLIP.findall(page)}, told


def test_what_a_note_leaves_alone_is_not_encoded_again(song, monkeypatch):
    made = []
    monkeypatch.setattr(listening, "mp3", lambda *given, encode=listening.mp3: made.append(1) or encode(*given))
    assert main(["note", str(song), "keys a lot brighter"]) in (0, 1)
    first, told = clips_of(song, 1)
    second, told_again = clips_of(song, 2)
    assert told_again["excerpts"] == told["excerpts"]
    for name in ("hats.wav", "kick.wav", "snare.wav"):
        for side in ("received", "this"):
            assert second[name, side] == first[name, side]
        assert (name, "null") not in second
    assert second["keys.wav", "this"] != first["keys.wav", "this"]
    assert len(made) == 5  # received, that, this, and the two differences, of the keys alone
    assert main(["verify", str(song)]) == 0


@pytest.mark.parametrize(
    "spoil",
    [
        lambda page: page.replace('class="clip"', 'class="cut"'),
        lambda page: re.sub(r'(data-clip="this" data-in="0">)[A-Za-z0-9+/]{400}', r"\1", page),
        lambda page: re.sub(r'("of":\{"stem":")', r"\1other ", page),
        lambda page: page.replace('"quality":"V2"', '"quality":"V4"'),
        lambda page: page.replace('"scale":0.0', '"scale":"loud"'),
        lambda page: re.sub(r'"rate":\d+', '"rate":Infinity', page),
        lambda page: page.replace('"scale":0.0', '"scale":-99999'),
        lambda page: re.sub(r'"start":[\d.]+', '"start":-3.0', page),
        lambda page: re.sub(r'"start":[\d.]+', '"start":NaN', page),
        lambda page: page.replace('"paired":"no"', '"paired":"yes"'),
        lambda page: re.sub(r'id="sound">[^<]*<', 'id="sound">{"stems": 3}<', page),
    ],
)  # fmt: skip
def test_a_page_that_says_other_things_is_not_believed(song, spoil):
    page = page_of(song, 1)
    right, _ = clips_of(song, 1)
    text = page.read_text(encoding="utf-8")
    assert spoil(text) != text
    page.write_text(spoil(text), encoding="utf-8")
    assert main(["note", str(song), "keys a lot brighter"]) in (0, 1)
    made, _ = clips_of(song, 2)
    assert made["hats.wav", "received"] == right["hats.wav", "received"]
    assert len(base64.b64decode(made["hats.wav", "this"])) == len(base64.b64decode(right["hats.wav", "this"]))


def test_there_is_nothing_kept_of_what_is_no_page(tmp_path):
    assert kept_page(tmp_path / "report.html") is None
    (tmp_path / "report.html").write_text("<p>no page of ours</p>", encoding="utf-8")
    assert kept_page(tmp_path / "report.html") is None


def test_bars_are_kept_while_half_of_the_change_is_heard_in_them():
    # Changes of 1 in every half second from 10 to 30 s, in another stem of 0.4 there: 8 s hold at most 16 of them.
    steady = Moments(tuple(np.arange(10.0, 30.0, 0.5)), (1.0,) * 40, 0.5)
    early = Moments(tuple(np.arange(0.0, 90.0, 0.5)), (1.0,) * 32 + (0.6,) * 32 + (0.4,) * 116, 0.5)
    usual = [Excerpt(20.0, 8.0)]
    assert still_tell(usual, [steady], 90.0, 2, 8.0)
    assert still_tell(usual, [steady, early], 90.0, 2, 8.0)
    assert not still_tell([Excerpt(40.0, 8.0)], [early], 90.0, 2, 8.0)
    assert still_tell([Excerpt(26.0, 8.0)], [steady], 90.0, 2, 8.0)  # 8 of 16
    assert not still_tell([Excerpt(26.5, 8.0)], [steady], 90.0, 2, 8.0)
    assert not still_tell(usual, [steady], 90.0, 2, 6.0)
    assert not still_tell([*usual, *usual], [steady], 90.0, 1, 8.0)
    assert not still_tell(usual, [steady], 27.0, 2, 8.0)
    assert not still_tell([], [steady], 90.0, 2, 8.0)


def test_a_change_is_heard_wherever_the_stem_is_as_it_was_measured():
    # Arithmetic: measured in moments 0 and 2, of swings 1 and 2, so of power 1 and 4; the change 10 there is 2 for a power of 1.
    found = _everywhere(np.array([1.0, 0.5, 2.0, 0.0, 1.0, 0.3]), [0.0, 1.0], np.array([4.0, 6.0]), 0.5)
    assert found.scores == pytest.approx((4.0, 0.5, 6.0, 0.0, 2.0))
    assert found.starts_s == pytest.approx((0.0, 0.5, 1.0, 1.5, 2.0))
    assert found.seconds == 0.5
