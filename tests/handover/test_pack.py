"""Packs: what is in them, that sha256sum agrees, and that nothing is written over or half."""

from __future__ import annotations

import shutil
import subprocess
import unicodedata
import zipfile

import pytest

from stemwright.errors import SongError
from stemwright.handover.pack import checksums, pack
from stemwright.passes.song import open_song

ODD = [
    "new\nline kick.wav",
    "back\\slash snare.wav",
    "\u202egnp pad.wav",
    "\U0001f941 drum.wav",
    "p" * 251 + ".wav",
    " hats .wav",
]


@pytest.fixture
def packed_song(make_song, make_pass):
    song = make_song(dict.fromkeys(["kick.wav", "sub/hats.wav", "what.wav", *ODD]), "song: Night drive\n")
    make_pass(song)
    return song


def sha256sum(folder):
    return subprocess.run(["sha256sum", "--strict", "-c", "SHA256SUMS"], cwd=folder, capture_output=True, check=False)


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not installed")
def test_sha256sum_accepts_every_file_whatever_its_name(packed_song):
    packed = pack(open_song(packed_song), "pass-01", None)
    assert packed.path == packed_song / "passes/packs/NightDrive_pass-01"
    checked = sha256sum(packed.path)
    assert (checked.returncode, checked.stderr) == (0, b"")
    assert checked.stdout.count(b": OK") == len(packed.files) == 11
    (packed.path / "stems/kick.wav").write_bytes(b"other")
    assert sha256sum(packed.path).returncode == 1


def test_the_recall_sheet_shows_control_and_direction_characters_escaped(packed_song):
    text = (pack(open_song(packed_song), "pass-01", None).path / "recall-sheet.txt").read_text(encoding="utf-8")
    assert {char for char in text if unicodedata.category(char) in ("Cc", "Cf")} == {"\n"}
    assert "\\u202egnp pad.wav" in text
    assert "new\\u000aline kick.wav" in text


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not installed")
def test_names_are_escaped_the_way_sha256sum_writes_them(tmp_path):
    names = ["plain.wav", "new\nline.wav", "back\\slash.wav", "tab\t.wav"]
    for name in names:
        (tmp_path / name).write_bytes(b"x")
    theirs = subprocess.run(["sha256sum", "--", *sorted(names)], cwd=tmp_path, capture_output=True, check=True).stdout
    digest = theirs.split()[0].lstrip(b"\\").decode()
    assert checksums(dict.fromkeys(names, digest)) == theirs


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="sha256sum is not installed")
def test_a_name_that_is_no_text_goes_through_a_folder_and_is_refused_by_a_zip(make_song, make_pass):
    name = "kick \udcff.wav"
    song = make_song({"a.wav": None})
    try:
        (song / name).write_bytes((song / "a.wav").read_bytes())
    except (OSError, UnicodeError):
        pytest.skip("this file system takes no such name")
    make_pass(song)
    packed = pack(open_song(song), "pass-01", None)
    assert sha256sum(packed.path).returncode == 0
    with pytest.raises(SongError, match=r"a zip cannot hold this name; pack a folder, or rename the stem"):
        pack(open_song(song), "pass-01", None, zipped=True)
    assert [path.name for path in (song / "passes/packs").iterdir()] == ["song_pass-01".capitalize()]


def test_a_zip_holds_the_same_and_is_the_same_every_time(packed_song, tmp_path):
    song = open_song(packed_song)
    one = pack(song, "pass-01", tmp_path / "one", zipped=True)
    two = pack(song, "pass-01", tmp_path / "two", zipped=True)
    assert one.path.read_bytes() == two.path.read_bytes()
    with zipfile.ZipFile(one.path) as archive:
        assert archive.testzip() is None
        assert {name.removeprefix("NightDrive_pass-01/") for name in archive.namelist()} == {*one.files, "SHA256SUMS"}


def test_the_recall_sheet_has_every_setting_of_every_stem_in_words(make_song, make_pass):
    song = make_song({"kick.wav": None, "what.wav": None}, "song: Night drive\n")
    (song / "recipes").mkdir()
    (song / "recipes/kick.yaml").write_text(
        "recipe: kick\nversion: 1\nabout: own\nfamily: drums\nstems: {names: [kick]}\nmoves:\n"
        "  - high_pass: {freq: 30 Hz, slope: 24 dB/oct}\n    why: nothing down there\n"
        "  - bell: {freq: 3 kHz, gain: 1.5 dB, q: 1}\n    name: beater\n    why: to be heard on small speakers\n"
        "  - compress: {threshold: -18 dB, ratio: 4, attack: 10 ms, release: 120 ms}\n    why: steady\n"
    )
    make_pass(song)
    packed = pack(open_song(song), "pass-01", None)
    text = (packed.path / "recall-sheet.txt").read_text(encoding="utf-8")
    for line in (
        "Night drive: recall sheet of pass-01",
        "get it back with: stemwright recall SONG pass-01",
        "     1. high-pass 30 Hz 24 dB/oct   [high_pass]",
        "        nothing down there",
        "     2. bell 3 kHz +1.5 dB q 1   [beater]",
        "     3. compress 4:1 over -18 dB 10/120 ms   [compress]",
        "    no moves: as received, byte for byte",
    ):
        assert line in text.splitlines(), line


def test_a_pack_is_never_written_over(packed_song):
    song = open_song(packed_song)
    packed = pack(song, "pass-01", None)
    before = sorted(path.name for path in packed.path.parent.iterdir())
    with pytest.raises(
        SongError, match=r"there already, and a pack is never written over; move it away, or give another folder with --to"
    ):
        pack(song, "pass-01", None)
    assert sorted(path.name for path in packed.path.parent.iterdir()) == before


def test_a_damaged_pass_is_not_packed_and_leaves_nothing(packed_song, tmp_path):
    (packed_song / "passes/pass-01/stems/kick.wav").write_bytes(b"damaged")
    with pytest.raises(
        SongError, match=r"^stems/kick.wav: missing or not what the manifest says; see: stemwright verify SONG pass-01$"
    ):
        pack(open_song(packed_song), "pass-01", tmp_path / "out")
    assert list((tmp_path / "out").iterdir()) == []
