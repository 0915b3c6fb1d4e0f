"""The index page: every song with what waits in it, links that lead to its page, nothing from outside taken for markup."""

from __future__ import annotations

import html
import math
import re
import shutil
from html.parser import HTMLParser
from urllib.parse import unquote, urlparse

from stemwright.cli import main


class Rows(HTMLParser):
    """Collects the cells of the table's body, and all links."""

    def __init__(self):
        super().__init__()
        self.rows, self.links, self._cell = [], [], None

    def handle_starttag(self, tag, attrs):
        attributes = dict(attrs)
        if tag == "tr" and "data-tags" in attributes:
            self.rows.append({"tags": attributes["data-tags"].split()})
        if attributes.get("data-label"):
            self._cell = attributes["data-label"]
            self.rows[-1][self._cell] = ""
        if tag == "a":
            self.links.append(attributes["href"])

    def handle_endtag(self, tag):
        self._cell = None if tag in ("td", "th") else self._cell

    def handle_data(self, data):
        if self._cell is not None:
            self.rows[-1][self._cell] += data


def test_every_song_is_on_the_page_with_its_newest_pass_and_what_waits(make_song, make_pass, tmp_path):
    good = make_song({"kick.wav": None, "<b>hats & co.wav": None}, folder="made")
    good = shutil.move(good, tmp_path / "album" / "a <i>& b #1")
    make_pass(good)
    (good / "passes" / "pass-01" / "report.html").write_text("page")
    unknown = make_song({"kick.wav": None, "Aud 07.wav": None}, folder="made")
    unknown = shutil.move(unknown, tmp_path / "album" / "second")
    make_pass(unknown)
    shutil.copytree(good, tmp_path / "album" / "third", ignore=lambda *_: ["passes"])
    page = tmp_path / "pages" / "index.html"
    page.parent.mkdir()
    assert main(["index", "--under", str(tmp_path / "album"), "--to", str(page)]) == 1
    text = page.read_text(encoding="utf-8")
    read = Rows()
    read.feed(text)
    assert [row["song"] for row in read.rows] == [f"{name}../album/{name}" for name in ("a <i>& b #1", "second", "third")]
    assert [row["newest pass"].split()[0] for row in read.rows] == ["pass-01", "pass-01", "-"]
    assert [row["waits for a person"] for row in read.rows] == [
        "",
        "no recipe takes: Aud 07.wav",
        "no passes yet; make the first one with: stemwright prep SONG",
    ]
    (link,) = [each for each in read.links if not each.startswith("#")]
    assert (page.parent / unquote(urlparse(link).path)).read_text() == "page"
    assert "<i>" not in text
    # self-contained: no address in it but the links to the pages beside it
    assert re.findall(r"""(?:src|href|url)\s*[=(]\s*["']?(?!#)([^"')\s>]+)""", text) == [html.escape(link)]


def test_loudness_is_the_power_of_the_stems_added(make_song, make_pass):
    from stemwright.catalogue.index import _lufs

    manifest = make_pass(make_song({"kick.wav": None, "pad.wav": None}, seconds=1.0)).manifest
    one, other = (entry.levels.before.lufs for entry in manifest.stems)
    assert _lufs(manifest)[0] == f"{10 * math.log10(10 ** (one / 10) + 10 ** (other / 10)):.1f}"
