"""The compressor in a pass: a new plan's times have the definition, an older plan's sound is what it was."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import soundfile

from stemwright import Song, read_manifest

RECIPE = """recipe: keys
version: 1
about: A test's.
stems: {names: [keys]}
moves:
  - compress: {threshold: -20 dB, ratio: 4:1, attack: 30 ms, release: 150 ms}
"""
KEPT = Path(__file__).parents[1] / "kept" / "version-0.1-second"


def test_a_plan_made_now_names_the_definition_and_meets_it(make_song):
    level = np.repeat([10 ** (-30 / 20), 10 ** (-10 / 20)], 48_000)
    audio = (level * np.cos(2 * np.pi * 1000 * np.arange(96_000) / 48_000))[:, None]
    folder = make_song({"keys.wav": audio}, subtype="FLOAT")
    (folder / "recipes").mkdir()
    (folder / "recipes" / "keys.yaml").write_text(RECIPE, encoding="utf-8")
    made = Song(folder).prep()
    manifest = read_manifest(folder / "passes" / made.name)
    assert manifest.entries["keys.wav"].item.moves[0].settings["times_to_63_percent"] == 1.0
    out, _ = soundfile.read(folder / "passes" / made.name / "stems" / "keys.wav")
    gain_db = 20 * np.log10(out[48_000:] / audio[48_000:, 0])
    # Arithmetic: 10 dB over at 4:1 are 7.5 dB less in the end; 63.2 % of them after 30 ms, to 10 %.
    assert 0.027 <= np.flatnonzero(gain_db <= -0.632 * 7.5)[0] / 48_000 <= 0.033


def test_a_note_on_another_stem_of_an_older_pass_leaves_its_compressor_alone(tmp_path):
    folder = Path(shutil.copytree(KEPT, tmp_path / "song"))
    before = read_manifest(folder / "passes" / "pass-02")
    compressed = [stem for stem, entry in before.entries.items() if any(m.kind == "compress" for m in entry.item.moves)]
    made = Song(folder).note("piano less bright")
    assert compressed
    assert not set(compressed) & set(made.rendered)
