"""A pass with the compiled kernels and one without write the same files, and each says which it was."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
import soundfile

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


STEMS = {"hum 1.wav": ("PCM_24", 2), "hum 2.wav": ("PCM_16", 1), "hum 3.wav": ("FLOAT", 3)}


@pytest.mark.skipif(native.kernels is None, reason="NOT TESTED: this installation has no compiled kernels")
def test_the_same_files_come_out(make_song, noise, monkeypatch):
    written = {}
    for pure in ("0", "1"):
        monkeypatch.setenv("STEMWRIGHT_PURE", pure)
        song = make_song({}, folder=f"song {pure}")
        for seed, (name, (subtype, channels)) in enumerate(STEMS.items()):
            soundfile.write(song / name, noise(3.0, channels, seed=seed), 48_000, subtype)
        (song / "recipes").mkdir()
        (song / "recipes" / "hum.yaml").write_text(RECIPE, encoding="utf-8")
        command = [sys.executable, "-m", "stemwright", "prep", str(song), "--no-page"]
        subprocess.run(command, check=False, capture_output=True)
        manifest = json.loads((song / "passes" / "pass-01" / "manifest.json").read_text(encoding="utf-8"))
        assert manifest["made_by"]["kernels"] == {"0": "native", "1": "numpy"}[pure]
        levels = [entry["levels"] for entry in manifest["stems"]]
        written[pure] = ([(song / "passes" / "pass-01" / "stems" / name).read_bytes() for name in STEMS], levels)
    assert len(written["0"][1]) == len(STEMS)
    assert written["0"] == written["1"]
