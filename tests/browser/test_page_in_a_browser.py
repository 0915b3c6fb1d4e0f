"""The page in a real browser: at every width, in both schemes, on paper, by keyboard, and with hostile names."""

from __future__ import annotations

import re
import zlib
from pathlib import Path

import numpy as np
import pytest
import soundfile
from axe_playwright_python.base import AXE_SCRIPT

from stemwright.cli import main

EVIL = "<img src=x onerror=alert(1)>.wav"
SAMPLES = Path("/usr/share/sonic-pi/samples")
# Firefox cannot be asked from outside to show what it would print, nor counted on to find an audio device.
IN_CHROMIUM = pytest.mark.parametrize("launch", ["chromium"], indirect=True, scope="session")
RECORDINGS = {"HiHat": "drum_cymbal_closed", "Bass": "bass_voxy_c", "Pad": "ambi_lunar_land", "Loop": "loop_amen_full"}


@pytest.fixture
def second(song):
    return song / "passes/pass-02/report.html"


@pytest.mark.parametrize("width", [320, 768, 1280, 3840])
def test_nothing_scrolls_sideways(open_page, second, width):
    tab = open_page(second, width=width)
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= width
    tab.evaluate("() => { for (const each of document.querySelectorAll('.open[aria-expanded=false]')) each.click(); }")
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= width
    assert tab.locator("article svg:visible").count() == 2 * tab.locator("article").count()


def test_a_name_made_of_markup_is_text(open_page, second):
    tab = open_page(second)
    assert tab.get_by_role("heading", name=EVIL).first.is_visible()
    assert tab.locator("img").count() == 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_axe_finds_no_fault_of_accessibility(open_page, second, scheme, width):
    tab = open_page(second, width=width, scheme=scheme)
    tab.locator("summary").first.click()
    tab.locator("#blind").click()
    tab.locator(".open[aria-expanded=false]").first.click()
    tab.evaluate(AXE_SCRIPT)  # past the page's policy, as a reader's own tools are
    faults = tab.evaluate(
        "async () => (await axe.run()).violations.map((each) => [each.impact, each.id, each.nodes.map((node) => node.html)])"
    )
    assert faults == []


def test_the_pointer_reads_off_what_the_moves_do(open_page, second):
    # A high-pass of 250 Hz is 3.01 dB down there (Butterworth); read at the nearest pixel.
    tab = open_page(second)
    stem = tab.locator("article", has=tab.get_by_role("heading", name="hats.wav"))
    stem.locator(".open").click()
    assert "high-pass 250 Hz" in stem.inner_text()
    plot = stem.locator(".plot svg.wide")
    left, right = (float(plot.get_attribute(f"data-{edge}")) for edge in ("left", "right"))
    plot.scroll_into_view_if_needed()
    box = plot.bounding_box()
    share = (left + (right - left) * np.log(250 / 20) / np.log(1000)) / plot.evaluate("(svg) => svg.viewBox.baseVal.width")
    tab.mouse.move(box["x"] + box["width"] * share, box["y"] + 60)
    said = stem.locator(".read").inner_text()
    assert said.startswith(("250 Hz: received ", "249 Hz: received ", "251 Hz: received "))
    assert float(said.split("moves ")[1].replace("\N{MINUS SIGN}", "-").split(" dB")[0]) == pytest.approx(-3.0, abs=0.15)


def test_the_plot_is_read_by_arrow_keys_too(open_page, second):
    tab = open_page(second)
    plot = tab.locator(".plot").first
    plot.focus()
    plot.press("Home")
    assert plot.get_attribute("aria-valuetext").startswith("20 Hz: ")
    plot.press("PageUp")
    assert plot.get_attribute("aria-valuetext").startswith("40 Hz: ")  # 24 points are an octave
    plot.press("End")
    assert plot.get_attribute("aria-valuetext").startswith("20.0 kHz: ")


def test_a_move_that_is_pointed_at_is_shown_alone_and_stays_when_pressed(open_page, second):
    tab = open_page(second)
    stem = tab.locator("article", has=tab.get_by_role("heading", name="hats.wav"))
    stem.locator(".open").click()
    moves = stem.locator(".words .move")
    moves.nth(0).hover()
    assert stem.locator("svg.wide path.shown").get_attribute("data-move") == "1"
    moves.nth(1).click()
    tab.mouse.move(0, 0)
    tab.locator("#find").focus()
    assert stem.locator("svg.wide path.shown").get_attribute("data-move") == "2"


def test_what_changed_comes_first_and_open_and_rows_are_found_filtered_and_ordered(open_page, second):
    tab = open_page(second)
    names = tab.locator("article.stem:visible .open")
    assert names.first.inner_text() == "piano.wav"
    assert tab.locator(".open[aria-expanded=true]").count() == 1
    tab.locator("#find").press_sequentially("hats")
    assert names.all_inner_texts() == ["hats.wav"]
    assert tab.locator("#count").inner_text() == "1 of 5 stems"
    tab.locator("#find").fill("")
    tab.locator("#show").select_option("moved")
    assert names.all_inner_texts() == ["piano.wav"]
    tab.locator("#show").select_option("")
    tab.locator("#order").select_option("lufs")
    levels = tab.evaluate(
        "() => [...document.querySelectorAll('article.stem')].map((each) => Number(each.dataset.lufs || -999))"
    )
    assert levels == sorted(levels, reverse=True)


@IN_CHROMIUM
def test_paper_gets_the_recall_sheet_and_nothing_that_is_only_for_screens(open_page, second):
    tab = open_page(second)
    tab.emulate_media(media="print")
    assert tab.locator(".sheet .entry:visible").count() == 5
    assert tab.locator("#transport:visible, article:visible, .head:visible, svg:visible").count() == 0


@pytest.fixture(scope="module")
def sixty(tmp_path_factory):
    """Return a song of sixty stems, with noise in every bar of every stem: no beat is as dense."""
    folder = tmp_path_factory.mktemp("sixty")
    noise = np.random.default_rng(4).standard_normal((13 * 44_100, 2)) * 0.05
    bars = (np.arange(len(noise)) // 22_050 % 2 == 0)[:, np.newaxis]
    for number in range(60):
        kind = ("piano", "hats", "snare", "guitar", "bass")[number % 5]
        soundfile.write(
            folder / f"{kind} {number}.wav", 0.02 * noise + np.roll(noise, 997 * number, axis=0) * bars, 44_100, "PCM_16"
        )
    assert main(["prep", str(folder)]) in (0, 1)
    return folder


def test_sixty_stems_are_a_short_page_of_under_30_mb_and_four_sheets_of_paper(open_page, sixty):
    path = sixty / "passes/pass-01/report.html"
    assert path.stat().st_size <= 30e6  # the sizes asked for
    tab = open_page(path, width=320)
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= 320
    assert tab.evaluate("() => document.documentElement.scrollHeight") < 20_000
    paper = tab.pdf(prefer_css_page_size=True)
    # ISO 32000-1: a page tree counts its leaves (7.7.3), parts of a file may be deflated (7.5.7); landscape A4 is 842 by 595 points.
    deflated = [part for part in re.findall(rb"stream\r?\n(.*?)endstream", paper, re.DOTALL) if part[:1] == b"x"]
    parts = b"".join([paper, *(zlib.decompressobj().decompress(part) for part in deflated)])
    assert int(re.search(rb"/Count (\d+)", parts)[1]) <= 4
    width, height = (float(each) for each in re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", parts).groups())
    assert width == pytest.approx(842, abs=1)
    assert height == pytest.approx(595, abs=1)


def test_without_scripts_every_number_is_there_and_it_says_why_nothing_plays(launch, second):
    context = launch(**{"javascript.enabled": False}).new_context(java_script_enabled=False)
    tab = context.new_page()
    tab.goto(second.as_uri())
    assert tab.locator("noscript, .missing").filter(has_text="Scripts are off").count() >= 1
    assert tab.locator("article.stem .body:visible").count() == 5
    assert tab.locator("#transport:visible").count() == 0
    context.close()


def test_the_page_of_the_demo_beat_opens_clean(open_page, demo_beat):
    (page,) = demo_beat.rglob("report.html")
    tab = open_page(page, width=360)
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= 360
    assert tab.locator("article").count() > 4


@IN_CHROMIUM
@pytest.mark.skipif(
    not SAMPLES.is_dir(), reason="REAL RECORDINGS NOT TESTED: Debian's package sonic-pi-samples is not installed"
)
def test_the_page_of_real_recordings_opens_clean_and_plays(open_page, tmp_path):
    for name, recording in RECORDINGS.items():
        sound, rate_hz = soundfile.read(SAMPLES / f"{recording}.flac", always_2d=True)
        soundfile.write(tmp_path / f"{name}.wav", 0.5 * sound, rate_hz, "PCM_24")
    assert main(["prep", str(tmp_path)]) in (0, 1)
    tab = open_page(tmp_path / "passes/pass-01/report.html")
    tab.locator("#play").click()
    tab.wait_for_function("() => stemwrightPage.playing()")
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= 1280
