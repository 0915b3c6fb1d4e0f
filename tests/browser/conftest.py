"""Headless Chromium from Debian, and songs whose pages it opens from the disk."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from stemwright.cli import main

CHROMIUM = Path("/usr/bin/chromium")
MISSING = "THE PAGE WAS NOT TRIED IN A BROWSER: Debian's package chromium is not installed"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
RATE_HZ = 44_100
EVIL = "<img src=x onerror=alert(1)>.wav"


def beat(seed, seconds, decay):
    """Return noise that falls off twice a second: like a beat, loud enough to be matched."""
    frames = round(seconds * RATE_HZ)
    envelope = np.exp(-decay * (np.arange(frames) / RATE_HZ % 0.5))[:, np.newaxis]
    return np.random.default_rng(seed).standard_normal((frames, 2)) * 0.15 * envelope


@pytest.fixture(scope="session")
def browser():
    if not CHROMIUM.exists():
        pytest.skip(MISSING)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield running
        running.close()


@pytest.fixture(scope="session")
def song(tmp_path_factory):
    """Return a song of two passes, each with its page: prep, then a note on the piano."""
    folder = tmp_path_factory.mktemp("browser") / "A & B"
    folder.mkdir()
    for seed, (name, decay) in enumerate({"hats.wav": 20.0, "piano.wav": 3.0, "kick.wav": 9.0, EVIL: 5.0}.items()):
        soundfile.write(folder / name, beat(seed, 14.0, decay), RATE_HZ, "PCM_24")
    soundfile.write(folder / "clap.wav", beat(9, 0.3, 6.0), RATE_HZ, "PCM_24")
    assert main(["prep", str(folder)]) in (0, 1)  # 1: one stem has no recipe
    assert main(["note", str(folder), "piano: brighter"]) == 0
    return folder


@pytest.fixture
def open_page(browser):
    """Return an opener of pages; afterwards nothing may have been said on the console or asked of the network."""
    contexts, said = [], []

    def go(path, *, width=1280, height=900, scheme="light"):
        context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
        contexts.append(context)
        tab = context.new_page()
        tab.on("console", lambda message: said.append(f"console: {message.text}"))
        tab.on("pageerror", lambda error: said.append(f"error: {error}"))
        tab.on("dialog", lambda dialog: (said.append(f"dialog: {dialog.message}"), dialog.dismiss()))
        tab.on(
            "request",
            lambda request: said.append(f"asked for: {request.url}") if request.url != Path(path).as_uri() else None,
        )
        tab.goto(Path(path).as_uri())
        return tab

    yield go
    for context in contexts:
        context.close()
    assert said == []
