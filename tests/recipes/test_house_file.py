"""A house as one file: what goes in comes out, and nothing that somebody else made can reach beyond its folder."""

from __future__ import annotations

import hashlib
import stat
import struct
import zipfile

import pytest

from stemwright.errors import RecipeError
from stemwright.recipes import house_file
from stemwright.recipes.house_file import HouseFileError, add_house, pack_house

HATS = "recipe: our hats\nversion: 3\nabout: Ours.\nstems: {names: [hat]}\nmoves:\n  - gain: {gain: -1 dB}\n"
WORDS = "words:\n  crunch:\n    why: ours\n    opposite: bite\n"


@pytest.fixture
def house(tmp_path):
    folder = tmp_path / "our house"
    (folder / "words").mkdir(parents=True)
    (folder / "hats.yaml").write_text(HATS)
    (folder / "words" / "ours.yaml").write_text(WORDS)
    (folder / "notes.txt").write_text("not for others")
    return folder


def zipped(path, files, *, sums=True, **entry):
    with zipfile.ZipFile(path, "w") as archive:
        lines = "".join(f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in files.items())
        for name, data in {**files, **({"SHA256SUMS": lines.encode()} if sums else {})}.items():
            info = zipfile.ZipInfo(name)
            for key, value in entry.items():
                setattr(info, key, value)
            archive.writestr(info, data)
    return path


def test_what_is_packed_comes_out_the_same_and_the_same_house_makes_the_same_file(house, tmp_path):
    packed = pack_house(house, tmp_path / "one.zip")
    assert pack_house(house, tmp_path / "two.zip").sha256 == packed.sha256
    assert hashlib.sha256((tmp_path / "one.zip").read_bytes()).hexdigest() == packed.sha256
    added = add_house(tmp_path / "one.zip", tmp_path / "theirs", packed.sha256)
    assert (added.recipes, added.words) == (1, 1)
    found = {path.relative_to(added.path).as_posix(): path.read_text() for path in added.path.rglob("*.*")}
    assert found == {"hats.yaml": HATS, "words/ours.yaml": WORDS}


@pytest.mark.parametrize(
    "name",
    [
        "../hats.yaml",
        "/hats.yaml",
        "words/../../hats.yaml",
        "C:\\hats.yaml",
        "a\\b.yaml",
        "sub/hats.yaml",
        ".hidden.yaml",
        "run.py",
    ],
)
def test_a_name_that_is_no_recipes_is_not_unpacked(tmp_path, name):
    with pytest.raises(HouseFileError, match=r"is no recipe \(NAME.yaml\) and no words .*; not unpacked"):
        add_house(zipped(tmp_path / "bad.zip", {name: HATS.encode()}), tmp_path / "in" / "it")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["bad.zip"]


def test_a_link_is_not_unpacked(tmp_path):
    with pytest.raises(HouseFileError, match="not unpacked"):
        add_house(
            zipped(tmp_path / "bad.zip", {"a.yaml": b"/etc"}, external_attr=(stat.S_IFLNK | 0o777) << 16), tmp_path / "it"
        )


def test_two_names_that_differ_in_case_alone_are_refused(tmp_path):
    with pytest.raises(HouseFileError, match="two files of one name"):
        add_house(zipped(tmp_path / "bad.zip", {"a.yaml": b"1", "A.yaml": b"2"}), tmp_path / "it")


def test_too_much_is_refused_before_it_is_unpacked_and_while_it_is(tmp_path, monkeypatch):
    large = b" " * (house_file.LARGEST_BYTES + 1)
    with pytest.raises(HouseFileError, match="of at most 1 MiB; not unpacked"):
        add_house(zipped(tmp_path / "bomb.zip", {"a.yaml": large}, compress_type=zipfile.ZIP_DEFLATED), tmp_path / "it")
    # the same with sizes that lie, in the central directory (APPNOTE 4.3.12: uncompressed size at byte 24)
    raw = bytearray((tmp_path / "bomb.zip").read_bytes())
    raw[raw.index(b"PK\x01\x02") + 24 :][:4] = b""
    at = raw.index(b"PK\x01\x02") + 24
    raw[at : at + 4] = struct.pack("<I", 10)
    (tmp_path / "lies.zip").write_bytes(raw)
    with pytest.raises(HouseFileError):
        add_house(tmp_path / "lies.zip", tmp_path / "it")
    monkeypatch.setattr(house_file, "MOST_FILES", 2)
    with pytest.raises(HouseFileError, match="larger than any house"):
        add_house(zipped(tmp_path / "many.zip", {f"{n}.yaml": b"" for n in range(3)}), tmp_path / "it")
    assert not (tmp_path / "it").exists()


def test_a_file_that_was_changed_is_refused_whichever_sum_shows_it(house, tmp_path):
    packed = pack_house(house, tmp_path / "one.zip")
    with pytest.raises(HouseFileError, match=f"its sha256 is {packed.sha256}, not 00; it was changed on the way"):
        add_house(packed.path, tmp_path / "it", "00")
    other = zipped(tmp_path / "x.zip", {"a.yaml": b"1", "SHA256SUMS": b"0" * 64 + b"  a.yaml\n"}, sums=False)
    with pytest.raises(HouseFileError, match=r"not as its checksums say: a\.yaml; it was changed"):
        add_house(other, tmp_path / "it")
    with pytest.raises(HouseFileError, match="no SHA256SUMS in it"):
        add_house(zipped(tmp_path / "y.zip", {"a.yaml": b"1"}, sums=False), tmp_path / "it")
    (tmp_path / "z.zip").write_bytes(b"no zip")
    with pytest.raises(HouseFileError, match="no house file, or a damaged one"):
        add_house(tmp_path / "z.zip", tmp_path / "it")


def test_recipes_that_are_wrong_are_neither_packed_nor_added(house, tmp_path):
    (house / "hats.yaml").write_text("recipe: [\n")
    with pytest.raises(RecipeError):
        pack_house(house, tmp_path / "one.zip")
    with pytest.raises(RecipeError):
        add_house(zipped(tmp_path / "two.zip", {"hats.yaml": b"recipe: 1\nmoves: 2\n"}), tmp_path / "it")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["our house", "two.zip"]


def test_nothing_is_written_over(house, tmp_path):
    packed = pack_house(house, tmp_path / "one.zip")
    with pytest.raises(HouseFileError, match="there already"):
        pack_house(house, packed.path)
    with pytest.raises(HouseFileError, match="there already"):
        add_house(packed.path, house)
    assert hashlib.sha256(packed.path.read_bytes()).hexdigest() == packed.sha256
