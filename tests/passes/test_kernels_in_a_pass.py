"""A pass with the compiled kernels and one without write the same files, and each says which it was."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from stemwright import native

RECIPE = """\
recipe: hum
version: 1
about: Sections, a compressor and more sections.
family: music
stems: {names: [hum]}
moves:
  - high_pass: {freq: 90 Hz, slope: 24 dB/oct}
    why: sections before
  - compress: {threshold: -24 dB, ratio: 3, attack: 5 ms, release: 80 ms}
    why: a stage between
  - bell: {freq: 1200 Hz, gain: -3 dB, q: 2}
    why: sections after
"""


@pytest.mark.skipif(native.kernels is None, reason="NOT TESTED: this installation has no compiled kernels")
@pytest.mark.parametrize(("subtype", "channels"), [("PCM_24", 2), ("PCM_16", 1), ("FLOAT", 3)])
def test_the_same_files_come_out(make_song, noise, monkeypatch, subtype, channels):
    written = {}
    for pure in ("0", "1"):
        monkeypatch.setenv("STEMWRIGHT_PURE", pure)
        song = make_song({"hum.wav": noise(3.0, channels)}, folder=f"song {pure}", subtype=subtype)
        (song / "recipes").mkdir()
        (song / "recipes" / "hum.yaml").write_text(RECIPE, encoding="utf-8")
        subprocess.run([sys.executable, "-m", "stemwright", "prep", str(song)], check=False, capture_output=True)
        manifest = json.loads((song / "passes" / "pass-01" / "manifest.json").read_text(encoding="utf-8"))
        assert manifest["made_by"]["kernels"] == {"0": "native", "1": "numpy"}[pure]
        written[pure] = (song / "passes" / "pass-01" / "stems" / "hum.wav").read_bytes()
        levels = manifest["stems"][0]["levels"]
        written[pure] = (written[pure], levels)
    assert written["0"] == written["1"]
