"""Pictures of a page for README: the demo beat with a note answered, in Chromium, light and dark.

    python examples/pictures.py [FOLDER]

Needs what the browser tests need (Debian's chromium, playwright) and Pillow. Writes examples/pictures/*.webp.
"""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

HERE = Path(__file__).parent
CHROMIUM = "/usr/bin/chromium"
NOTE = "hats are harsh; piano: a little more bite, but subtle"
VIEWS = {"page": ("light", 1280, 800), "page on a phone": ("dark", 390, 800)}


def main() -> None:
    """Make the beat and its two passes, and photograph the second one's page."""
    with tempfile.TemporaryDirectory() as scratch:
        song = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(scratch) / "demo beat"
        subprocess.run([sys.executable, str(HERE / "first_beat.py"), str(song)], check=False, stdout=subprocess.DEVNULL)
        note = [sys.executable, "-m", "stemwright", "note", str(song), NOTE, "--by", "Ann"]
        subprocess.run(note, check=True, stdout=subprocess.DEVNULL)
        page = max(song.glob("passes/pass-*/report.html"))
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
            for name, (scheme, width, height) in VIEWS.items():
                tab = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)  # type: ignore[arg-type]
                tab.goto(page.as_uri())
                picture = Image.open(io.BytesIO(tab.screenshot()))
                picture.convert("RGB").save(HERE / "pictures" / f"{name.replace(' ', '-')}.webp", quality=80, method=6)
            browser.close()


if __name__ == "__main__":
    main()
