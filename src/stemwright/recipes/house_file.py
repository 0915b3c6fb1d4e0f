"""House file: a folder of recipes with its words as one zip with checksums, to hand to another house, and taken in again.

What comes in is somebody else's: nothing is unpacked by its own names, sizes are bounded before and while they are read, and
the folder appears whole or not at all.
"""

from __future__ import annotations

import hashlib
import io
import re
import shutil
import stat
import zipfile
import zlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import StemwrightError
from stemwright.recipes.folders import ENDINGS, house_dir
from stemwright.recipes.library import load_library
from stemwright.recipes.strict_yaml import LARGEST_BYTES
from stemwright.recipes.words import FALLBACK_SOURCE
from stemwright.recipes.words_library import FOLDER, load_vocabulary
from stemwright.stems.leftovers import aside_name, sweep
from stemwright.stems.limits import MOST_FILES
from stemwright.stems.opening import open_file, read_file_bytes
from stemwright.stems.whole import write_new

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

SUMS = "SHA256SUMS"
DATE = (1980, 1, 1, 0, 0, 0)  # the earliest a zip knows: the same recipes make the same file
LARGEST_FILE_BYTES = 64 << 20  # all recipes and words together, unpacked; ours are a hundred kilobytes
_NAME = re.compile(r"(?:words/)?[^/\\:\x00-\x1f\x7f.][^/\\:\x00-\x1f\x7f]*\.ya?ml")
_LINE = re.compile(r"(?P<sha256>[0-9a-f]{64})  (?P<name>.+)")


class HouseFileError(StemwrightError):
    """A house file cannot be made, or is not what it should be; nothing was written."""


@dataclass(frozen=True)
class House:
    """A house file or folder: where, the SHA-256 of the file, and how many recipes and files of words."""

    path: Path
    sha256: str
    recipes: int
    words: int


def pack_house(folder: Path, target: Path) -> House:
    """Put a folder of recipes and its ``words`` into one file.

    Parameters
    ----------
    folder : Path
        With recipes (``*.yaml``) in it.
    target : Path
        Must not exist.

    Returns
    -------
    House

    Raises
    ------
    HouseFileError
        If there is nothing to pack, or it cannot be written.
    RecipeError
        If a recipe or a word is wrong: that is not handed to anybody.
    """
    _whole(folder)
    files = dict(_files_of(folder))
    if not any("/" not in name for name in files):
        raise HouseFileError(f"{folder}: no recipes (*.yaml) in it; give the folder that holds them")
    sums = "".join(f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in files.items())
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "x", zipfile.ZIP_DEFLATED) as archive:
        for name, data in {**files, SUMS: sums.encode()}.items():
            entry = zipfile.ZipInfo(name, DATE)
            entry.external_attr = 0o100644 << 16
            archive.writestr(entry, data, zipfile.ZIP_DEFLATED)
    try:
        write_new(target, [packed.getvalue()])
    except FileExistsError as error:
        raise HouseFileError(f"{target}: there already, and is not written over; give another name with --to") from error
    except OSError as error:
        raise HouseFileError(f"{target}: could not be written ({error.strerror}); nothing of it was left behind") from error
    return House(target, _sha256_of(target), *_counts(files))


def add_house(file: Path, target: Path, sha256: str | None = None) -> House:
    """Take a house file in as a folder.

    Parameters
    ----------
    file : Path
    target : Path
        The folder; must not exist.
    sha256 : str, optional
        What the file's must be, as its maker told it.

    Returns
    -------
    House

    Raises
    ------
    HouseFileError
        If the file is not what it should be, or the folder is there already or cannot be written.
    RecipeError
        If a recipe or a word in it is wrong.
    """
    found = _sha256_of(file)
    if sha256 is not None and found != sha256.strip().lower():
        raise HouseFileError(f"{file}: its sha256 is {found}, not {sha256}; it was changed on the way: ask for it again")
    files = read_house(file)
    if target.exists() or target.is_symlink():
        raise HouseFileError(f"{target}: there already, and is not written over; give another folder with --to")
    building = target.with_name(aside_name(target.name))
    sweep([target.parent])
    try:
        shutil.rmtree(building, ignore_errors=True)
        (building / FOLDER).mkdir(parents=True)
        for name, data in files.items():
            (building / name).write_bytes(data)
        if not any((building / FOLDER).iterdir()):
            (building / FOLDER).rmdir()
        _whole(building)
        building.rename(target)
    except OSError as error:
        raise HouseFileError(f"{target}: could not be written ({error.strerror}); nothing of it was left behind") from error
    finally:
        shutil.rmtree(building, ignore_errors=True)
    return House(target, found, *_counts(files))


def read_house(file: Path) -> dict[str, bytes]:
    """Return the files in a house file by name, each as its checksums say.

    Raises
    ------
    HouseFileError
        If it is no zip, holds anything but recipes and words, too much of it, or other bytes than its checksums say.
    """
    try:
        with open_file(file) as raw, zipfile.ZipFile(raw) as archive:
            entries = archive.infolist()
            _check_entries(file, entries)
            files = {entry.filename: _read(file, archive, entry) for entry in entries}
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError) as error:
        raise HouseFileError(f"{file}: no house file, or a damaged one ({error}); ask for it again") from error
    except OSError as error:
        raise HouseFileError(
            f"{file}: cannot be read ({error.strerror}); give a file made by stemwright recipes pack"
        ) from error
    sums = files.pop(SUMS, None)
    if sums is None:
        raise HouseFileError(f"{file}: no {SUMS} in it; give a file made by stemwright recipes pack")
    said = {
        line["name"]: line["sha256"] for line in map(_LINE.fullmatch, sums.decode("utf-8", "replace").splitlines()) if line
    }
    wrong = sorted(name for name in {*said, *files} if said.get(name) != hashlib.sha256(files.get(name, b"?")).hexdigest())
    if wrong:
        raise HouseFileError(f"{file}: not as its checksums say: {', '.join(wrong[:5])}; it was changed: ask for it again")
    return files


def _check_entries(file: Path, entries: list[zipfile.ZipInfo]) -> None:
    names = [entry.filename for entry in entries]
    if len(names) > MOST_FILES or sum(entry.file_size for entry in entries) > LARGEST_FILE_BYTES:
        raise HouseFileError(
            f"{file}: larger than any house ({MOST_FILES} files, {LARGEST_FILE_BYTES >> 20} MiB); not unpacked"
        )
    if len({name.casefold() for name in names}) != len(names):
        raise HouseFileError(f"{file}: two files of one name in it; not unpacked")
    for entry in entries:
        mode = entry.external_attr >> 16
        odd = stat.S_IFMT(mode) not in (0, stat.S_IFREG)
        if odd or not (entry.filename == SUMS or _NAME.fullmatch(entry.filename)) or entry.file_size > LARGEST_BYTES:
            raise HouseFileError(
                f"{file}: {entry.filename!r} is no recipe (NAME.yaml) and no words (words/NAME.yaml) of at most "
                f"{LARGEST_BYTES >> 20} MiB; not unpacked"
            )


def _read(file: Path, archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    with archive.open(entry) as reader:
        data = reader.read(LARGEST_BYTES + 1)
    if len(data) > LARGEST_BYTES:  # a size that lies
        raise HouseFileError(f"{file}: {entry.filename!r} is larger than it says; not unpacked")
    return data


def _whole(folder: Path) -> None:
    house = house_dir()  # what it builds on may be there
    load_library(list(dict.fromkeys([folder.resolve(), house.resolve()])))
    if (folder / FOLDER).is_dir():
        places = {(folder / FOLDER).resolve(): folder.name, (house / FOLDER).resolve(): FALLBACK_SOURCE}
        load_vocabulary([(name, place) for place, name in places.items()])


def _files_of(folder: Path) -> Iterator[tuple[str, bytes]]:
    for prefix, place in (("", folder), (f"{FOLDER}/", folder / FOLDER)):
        for path in sorted(place.iterdir()) if place.is_dir() else ():
            if path.suffix.lower() in ENDINGS and not path.name.startswith("."):
                yield prefix + path.name, read_file_bytes(path, LARGEST_BYTES)


def _counts(files: dict[str, bytes]) -> tuple[int, int]:
    words = sum(name.startswith(f"{FOLDER}/") for name in files)
    return len(files) - words, words


def _sha256_of(file: Path) -> str:
    try:
        with open_file(file) as reader:
            return hashlib.file_digest(reader, "sha256").hexdigest()
    except OSError as error:
        raise HouseFileError(
            f"{file}: cannot be read ({error.strerror}); give a file made by stemwright recipes pack"
        ) from error
