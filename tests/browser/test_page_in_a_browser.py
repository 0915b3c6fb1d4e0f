"""The page in a real browser: at every width, in both schemes, on paper, by keyboard, and with hostile names."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile
from axe_playwright_python.base import AXE_SCRIPT

from stemwright.cli import main

EVIL = "<img src=x onerror=alert(1)>.wav"
SAMPLES = Path("/usr/share/sonic-pi/samples")
EXAMPLES = Path(__file__).parents[2] / "examples"
RECORDINGS = {"HiHat": "drum_cymbal_closed", "Bass": "bass_voxy_c", "Pad": "ambi_lunar_land", "Loop": "loop_amen_full"}


@pytest.fixture
def second(song):
    return song / "passes/pass-02/report.html"


@pytest.mark.parametrize("width", [360, 768, 1280, 3840])
def test_nothing_scrolls_sideways(open_page, second, width):
    tab = open_page(second, width=width)
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= width
    assert tab.locator("svg:visible").count() == 2 * tab.locator("article").count()


def test_a_name_made_of_markup_is_text(open_page, second):
    tab = open_page(second)
    assert tab.get_by_role("heading", name=EVIL).first.is_visible()
    assert tab.locator("img").count() == 0


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 1280])
def test_axe_finds_no_fault_of_accessibility(open_page, second, scheme, width):
    tab = open_page(second, width=width, scheme=scheme)
    tab.locator("summary").first.click()
    tab.locator(".blind").nth(1).click()
    tab.evaluate(AXE_SCRIPT)  # past the page's policy, as a reader's own tools are
    faults = tab.evaluate(
        "async () => (await axe.run()).violations.map((each) => [each.impact, each.id, each.nodes.map((node) => node.html)])"
    )
    assert faults == []


def test_the_pointer_reads_off_what_the_moves_do(open_page, second):
    # A high-pass of 250 Hz is 3.01 dB down there (Butterworth); read at the nearest pixel.
    tab = open_page(second)
    stem = tab.locator("article", has=tab.get_by_role("heading", name="hats.wav"))
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
    moves = stem.locator(".words .move")
    moves.nth(0).hover()
    assert stem.locator("svg.wide path.shown").get_attribute("data-move") == "1"
    moves.nth(1).click()
    tab.mouse.move(0, 0)
    tab.locator("#find").focus()
    assert stem.locator("svg.wide path.shown").get_attribute("data-move") == "2"


def test_the_table_is_sorted_and_filtered_by_keyboard(open_page, second):
    tab = open_page(second)
    names = tab.locator("#table tbody th:visible")
    first = names.all_inner_texts()
    assert first == sorted(first, key=str.casefold)
    tab.get_by_role("button", name="stem", exact=True).press("Enter")
    assert names.all_inner_texts() == first[::-1]
    assert tab.locator("th[aria-sort=descending]").inner_text().startswith("stem")
    tab.locator("#find").press_sequentially("hats")
    assert names.all_inner_texts() == ["hats.wav"]
    assert tab.locator("#count").inner_text() == "1 of 5 stems"
    tab.locator("#find").fill("")
    tab.locator("#show").select_option("moved")
    assert names.all_inner_texts() == ["piano.wav"]


def test_levels_are_sorted_as_numbers(open_page, second):
    tab = open_page(second)
    tab.get_by_role("button", name="LUFS").click()
    column = tab.locator("#table tbody td[data-label=LUFS]").all_inner_texts()
    levels = [float(text.split("to")[1].replace("\N{MINUS SIGN}", "-")) for text in column if "to" in text]
    assert levels == sorted(levels)


def test_paper_gets_the_recall_sheet_and_nothing_that_is_only_for_screens(open_page, second):
    tab = open_page(second)
    tab.emulate_media(media="print")
    assert tab.locator(".sheet .entry:visible").count() == 5
    assert tab.locator(".player:visible, .bar:visible, .tools:visible, svg:visible").count() == 0
    paper = tab.pdf(format="A4")
    assert paper.startswith(b"%PDF")


def test_the_page_of_the_demo_beat_opens_clean(open_page, tmp_path):
    ran = subprocess.run(
        [sys.executable, str(EXAMPLES / "first_beat.py"), str(tmp_path / "beat")],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ,
    )
    assert ran.returncode in (0, 1), ran.stderr
    (page,) = tmp_path.rglob("report.html")
    tab = open_page(page, width=360)
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= 360
    assert tab.locator("article").count() > 4


@pytest.mark.skipif(
    not SAMPLES.is_dir(), reason="REAL RECORDINGS NOT TESTED: Debian's package sonic-pi-samples is not installed"
)
def test_the_page_of_real_recordings_opens_clean_and_plays(open_page, tmp_path):
    for name, recording in RECORDINGS.items():
        sound, rate_hz = soundfile.read(SAMPLES / f"{recording}.flac", always_2d=True)
        soundfile.write(tmp_path / f"{name}.wav", 0.5 * sound, rate_hz, "PCM_24")
    assert main(["prep", str(tmp_path)]) in (0, 1)
    tab = open_page(tmp_path / "passes/pass-01/report.html")
    tab.locator(".play").first.click()
    tab.wait_for_function("() => document.querySelector('.play').textContent === 'Stop'")
    assert tab.evaluate("() => document.documentElement.scrollWidth") <= 1280
