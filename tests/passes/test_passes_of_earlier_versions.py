"""Passes made by earlier versions can still be looked at, verified, compared and recalled to the bit.

``tests/kept`` holds songs as those versions left them: three stems of noise at 8 kHz, a prep and a note. None of it is ever
written again; the expected hashes are those in the manifests of the time.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from stemwright import Song, read_manifest

KEPT = Path(__file__).parents[1] / "kept"
SONGS = sorted(path.name for path in KEPT.iterdir())


@pytest.fixture(params=SONGS)
def folder(request, tmp_path):
    return Path(shutil.copytree(KEPT / request.param, tmp_path / "song"))


def test_its_files_are_what_its_manifests_say(folder):
    assert all(Song(folder).verify(name).good for name in ("pass-01", "pass-02"))


def test_it_can_be_compared_and_its_history_read(folder):
    song = Song(folder)
    assert [one.name for one in song.history()] == ["pass-01", "pass-02"]
    changed = [each.stem for each in song.compare(1, 2).stems if each.fate != "same bytes"]
    assert changed == ["piano.wav"]


def test_it_comes_back_to_the_bit_without_its_audio(folder):
    for stem in (folder / "passes" / "pass-01" / "stems").iterdir():
        stem.unlink()
    result = Song(folder).recall(1)
    assert {verdict.outcome for verdict in result.verdicts} == {"identical"}
    old, new = (read_manifest(folder / "passes" / name) for name in ("pass-01", "pass-03"))
    assert {stem: entry.output for stem, entry in old.entries.items()} == {
        stem: entry.output for stem, entry in new.entries.items()
    }


def test_a_note_is_answered_on_it_though_a_de_esser_stands_in_its_chain(tmp_path):
    folder = Path(shutil.copytree(KEPT / "version-0.1-second", tmp_path / "song"))
    assert Song(folder).note("lead vocal less harsh").rendered == ("lead vocal.flac",)
