"""Doctor: what this machine has of what stemwright needs, what is missing, and how to get it."""

from __future__ import annotations

import os
import platform
import re
import shutil
import sys
import tempfile
from dataclasses import asdict, dataclass
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from stemwright import native
from stemwright.errors import StemwrightError
from stemwright.recipes.folders import house_dir
from stemwright.recipes.library import load_library
from stemwright.stems.encoding import libsndfile_version

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from stemwright.plain import Plain

State = Literal["good", "optional", "missing"]
SCARCE_BYTES = 2 << 30  # a song of sixteen stems is about that
FEW_FILES = 256
_REQUIREMENT = re.compile(r"(?P<name>[\w.-]+)\s*(?P<bounds>[^;]*)(?:;.*extra\s*==\s*['\"](?P<extra>[\w-]+)['\"])?")


@dataclass(frozen=True)
class Needed:
    """One thing looked at: what was found, whether it is good, and what to do where it is not."""

    name: str
    found: str
    state: State = "good"
    do: str = ""

    def as_json(self) -> Plain:
        """Return it as plain JSON values."""
        return asdict(self)


def examine(folder: Path) -> list[Needed]:
    """Look at everything.

    Parameters
    ----------
    folder : Path
        Where songs are: its disk is looked at.
    """
    return [part for look in (_program, _libraries, _kernels, _house, _places) for part in _safely(look, folder)]


def _safely(look: Callable[[Path], Iterator[Needed]], folder: Path) -> list[Needed]:
    try:
        return list(look(folder))
    except (StemwrightError, OSError) as error:
        return [Needed(look.__name__.strip("_"), str(error), "missing", "see the message")]


def _program(_: Path) -> Iterator[Needed]:
    yield Needed("stemwright", f"{metadata.version('stemwright')} in {Path(__file__).parent}")
    yield Needed("Python", f"{platform.python_version()} on {platform.system()} {platform.machine()}")
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    yield Needed("cores", str(cores))
    encoding = sys.stdout.encoding or "unknown"
    if encoding.lower().replace("-", "") == "utf8":
        yield Needed("terminal", encoding)
    else:
        yield Needed("terminal", encoding, "optional", "names beyond it are shown escaped; set PYTHONUTF8=1")


def _libraries(_: Path) -> Iterator[Needed]:
    for line in metadata.requires("stemwright") or ():
        need = _REQUIREMENT.match(line)
        if need is None or need["extra"] not in (None, "dask"):
            continue
        try:
            found = metadata.version(need["name"])
        except metadata.PackageNotFoundError:
            if need["extra"]:
                yield Needed(
                    need["name"], "not installed", "optional", f"for --on: pip install 'stemwright[{need['extra']}]'"
                )
            else:
                wanted = f"{need['name']}{need['bounds'].strip()}"
                yield Needed(need["name"], "not installed", "missing", f"pip install '{wanted}'")
            continue
        yield Needed(need["name"], found)
    yield Needed("libsndfile", libsndfile_version())


def _kernels(_: Path) -> Iterator[Needed]:
    if native.NAME != "numpy":
        yield Needed("kernels", native.NAME)
    elif os.environ.get("STEMWRIGHT_PURE"):
        yield Needed(
            "kernels", "switched off by STEMWRIGHT_PURE", "optional", "the samples are the same, but slower: unset it"
        )
    else:
        how = (
            "the samples are the same, but slower: get a C compiler, then pip install --force-reinstall --no-deps stemwright"
        )
        yield Needed("kernels", "none, numpy does the work", "optional", how)


def _house(_: Path) -> Iterator[Needed]:
    yield Needed("house recipes", f"{len(load_library([house_dir()]).recipes)} in {house_dir()}")


def _places(folder: Path) -> Iterator[Needed]:
    for name, place in (("disk", folder), ("temporary files", Path(tempfile.gettempdir()))):
        free = shutil.disk_usage(place).free
        text = f"{free / 1e9:.1f} GB free in {place}"
        if not os.access(place, os.W_OK):
            yield Needed(
                name, f"{place} cannot be written to", "missing", "passes are written into the song's folder; open it"
            )
        elif free < SCARCE_BYTES:
            yield Needed(name, text, "optional", "a pass needs about as much as its stems; make room")
        else:
            yield Needed(name, text)
    if sys.platform != "win32":
        import resource  # noqa: PLC0415 - not on every system

        files = resource.getrlimit(resource.RLIMIT_NOFILE)[0]
        low = files < FEW_FILES
        yield Needed("open files", f"at most {files}", "optional" if low else "good", "ulimit -n 1024" if low else "")
