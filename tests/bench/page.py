"""What does the page cost? A pass with it against the same pass without, in turn in the same run, and how soon it opens.

Run: python tests/bench/page.py [--stems 16] [--seconds 90] [--rounds 3]

Stems are stereo noise bursts at 48 kHz/24 bit, as in bench/prep.py: FLAC cannot make much of noise, so the size printed is
the largest a page of so many stems comes to. The page is opened in headless Chromium where there is one, until its
Play button has been pressed and the beat sounds; that time stands beside a page of the same size with nothing in it.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from prep import ENVIRONMENT, RECIPE, make_stems, timed  # the same stems and moves

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]


def opened(page: Path, rounds: int) -> list[float]:
    """Return how long a page takes from being asked for to a button that reacts, in seconds."""
    from playwright.sync_api import sync_playwright

    times = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        for _ in range(rounds):
            tab = browser.new_page()
            start = time.perf_counter()
            tab.goto(page.as_uri(), wait_until="load")
            if tab.locator("#play").count():
                tab.locator("#play").click()
                tab.wait_for_function("() => stemwrightPage.playing()")
            times.append(time.perf_counter() - start)
            tab.close()
        browser.close()
    return times


def main() -> None:
    """Run the bench and print its table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--stems", type=int, default=16)
    parser.add_argument("--seconds", type=float, default=90.0)
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        song = Path(scratch) / "song"
        (song / "stems").mkdir(parents=True)
        (song / "recipes").mkdir()
        (song / "recipes" / "bench.yaml").write_text(RECIPE, encoding="utf-8")
        make_stems(song / "stems", asked.stems, asked.seconds)

        def run(*options: str) -> None:
            shutil.rmtree(song / "passes", ignore_errors=True)
            command = [sys.executable, "-m", "stemwright", "prep", str(song), *options]
            subprocess.run(command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=ENVIRONMENT)

        times: dict[str, list[float]] = {"without": [], "with": []}
        for _ in range(asked.rounds):
            for name, options in (("without", ["--no-page"]), ("with", [])):
                os.sync()
                times[name].append(timed(lambda options=options: run(*options)))
        page = song / "passes" / "pass-01" / "report.html"
        extra = [mine / other - 1.0 for mine, other in zip(times["with"], times["without"], strict=True)]
        print(f"{asked.stems} stems of {asked.seconds:g} s, 48 kHz/24 bit stereo; {asked.rounds} rounds in turn")
        print(f"pass without a page  median {statistics.median(times['without']):6.2f} s")
        print(f"the page adds        median {statistics.median(extra):6.0%}  ({min(extra):.0%} to {max(extra):.0%})")
        print(f"the page is          {page.stat().st_size / 1e6:6.1f} MB")
        if CHROMIUM.exists():
            bare = Path(scratch) / "bare.html"
            bare.write_text(f"<!doctype html><script type=text/plain>{'A' * page.stat().st_size}</script>", encoding="utf-8")
            ours, nothing = opened(page, asked.rounds), opened(bare, asked.rounds)
            print(f"opens, first press   median {statistics.median(ours):6.2f} s")
            print(f"a bare page as large median {statistics.median(nothing):6.2f} s")


if __name__ == "__main__":
    main()
