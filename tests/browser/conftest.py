"""Headless Chromium and Firefox from Debian, and songs whose pages they open from the disk."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from stemwright.cli import main

BROWSERS = {"chromium": Path("/usr/bin/chromium"), "firefox": Path("/usr/bin/firefox-esr")}
MISSING = "THE PAGE WAS NOT TRIED IN {}: Debian's package of that name is not installed"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# Firefox has no way yet to be asked for a colour scheme from outside: it is a setting it starts with (0 dark, 1 light).
NO_DEVICE = {"media.cubeb.force_null_context": True}
SCHEME = "layout.css.prefers-color-scheme.content-override"
EXAMPLES = Path(__file__).parents[2] / "examples"
RATE_HZ = 44_100
EVIL = "<img src=x onerror=alert(1)>.wav"


def beat(seed, seconds, decay):
    """Return noise that falls off twice a second: like a beat, loud enough to be matched."""
    frames = round(seconds * RATE_HZ)
    envelope = np.exp(-decay * (np.arange(frames) / RATE_HZ % 0.5))[:, np.newaxis]
    return np.random.default_rng(seed).standard_normal((frames, 2)) * 0.15 * envelope


@pytest.fixture(scope="session")
def playwright():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="session", params=list(BROWSERS))
def launch(request, playwright):
    """Return a launcher of one of the browsers, which is started once for each set of its settings."""
    name, path = request.param, BROWSERS[request.param]
    if not path.exists():
        pytest.skip(MISSING.format(path.name))
    running = {}

    def go(**settings):
        """Return the browser; ``settings`` are Firefox's own, and nothing to Chromium."""
        key = tuple(sorted(settings.items())) if name == "firefox" else ()
        if key not in running and name == "firefox":
            running[key] = playwright.firefox.launch(
                channel="moz-firefox", executable_path=str(path), firefox_user_prefs=NO_DEVICE | settings
            )
        elif key not in running:
            running[key] = playwright.chromium.launch(executable_path=str(path), args=ARGUMENTS)
        return running[key]

    yield go
    for each in running.values():
        each.close()


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


@pytest.fixture(scope="session")
def demo_beat(tmp_path_factory):
    """Return the demo's beat with its pass, made by the README's first command."""
    folder = tmp_path_factory.mktemp("demo") / "beat"
    made = [sys.executable, str(EXAMPLES / "first_beat.py"), str(folder)]
    ran = subprocess.run(made, capture_output=True, text=True, check=False, env=os.environ)
    assert ran.returncode in (0, 1), ran.stderr
    return folder


@pytest.fixture
def open_page(launch):
    """Return an opener of pages; afterwards nothing may have been said on the console or asked of the network."""
    contexts, said = [], []

    def go(path, *, width=1280, height=900, scheme="light"):
        browser = launch(**{SCHEME: 0 if scheme == "dark" else 1})
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
