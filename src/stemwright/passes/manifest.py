"""The manifest of a pass: the plan and what was measured, written once, read with suspicion."""

from __future__ import annotations

import json
import math
import os
import platform
import socket
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib import metadata, resources
from typing import TYPE_CHECKING, Any, Protocol

from stemwright import native
from stemwright.errors import ManifestError
from stemwright.passes.bounds import beyond
from stemwright.plan.items import PlanItem, plan_sha256
from stemwright.stems.opening import NotRegularError, TooLargeError, read_file_bytes

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from stemwright.recipes.recipe import Source

MANIFEST_VERSION = 1
MANIFEST_NAME = "manifest.json"
LARGEST_BYTES = 64 << 20
LIBRARIES = ("stemwright", "numpy", "scipy", "soundfile", "soxr", "pedalboard")


@dataclass(frozen=True, kw_only=True)
class Because:
    """How a pass came to be: ``kind`` is prep, note or recall; ``came_from`` the pass it started at."""

    kind: str
    text: str | None = None
    by: str | None = None
    came_from: str | None = None

    def as_json(self) -> dict[str, Any]:
        """Return the four facts as the manifest has them."""
        return {"kind": self.kind, "text": self.text, "by": self.by, "from": self.came_from}


class HasSources(Protocol):
    """A recipe, or what an earlier manifest recorded of recipes: texts to write down."""

    @property
    def sources(self) -> tuple[Source, ...]:
        """The texts."""


@dataclass(frozen=True)
class Manifest:
    """A manifest as read: its JSON, and its plan items."""

    data: dict[str, Any]

    @property
    def name(self) -> str:
        """The pass's name."""
        return str(self.data["pass"])

    @property
    def entries(self) -> dict[str, dict[str, Any]]:
        """The stems' entries by stem."""
        return {entry["stem"]: entry for entry in self.data["stems"]}

    def items(self) -> list[PlanItem]:
        """Return the plan."""
        return [PlanItem.from_json(entry) for entry in self.data["stems"]]


def plan_part(entry: dict[str, Any]) -> dict[str, Any]:
    """Return the half of an entry that is the plan."""
    return PlanItem.from_json(entry).as_json()


def compose(
    *, name: str, song: str, because: Because, recipes: Iterable[HasSources], entries: list[dict[str, Any]]
) -> Manifest:
    """Put a manifest together.

    Parameters
    ----------
    name : str
        The pass's name.
    song : str
        The song's name.
    because : Because
        How the pass came to be.
    recipes : iterable of Recipe
        Those used; their parents are added.
    entries : list of dict
        Plan part and measured part of every stem.

    Returns
    -------
    Manifest
    """
    data = {
        "manifest": MANIFEST_VERSION,
        "pass": name,
        "song": song,
        "because": because.as_json(),
        "made_by": made_by(),
        "made_at": {"time": datetime.now(UTC).isoformat(timespec="seconds"), "host": socket.gethostname()},
        "recipes": _recipes(recipes),
        "plan_sha256": plan_sha256([plan_part(entry) for entry in entries]),
        "stems": sorted(entries, key=lambda entry: str(entry["stem"])),
    }
    return Manifest(data)


def made_by() -> dict[str, str]:
    """Return the versions that decide what the samples are."""
    # Imported here: the manifest is the only place that asks for libsndfile's version.
    from stemwright.stems.audio import libsndfile_version  # noqa: PLC0415

    versions = {library: metadata.version(library) for library in LIBRARIES}
    return {
        **versions,
        "libsndfile": libsndfile_version(),
        "kernels": native.NAME,
        "python": platform.python_version(),
        "platform": f"{platform.system()} {platform.machine()}",
    }


def _recipes(recipes: Iterable[HasSources]) -> list[dict[str, Any]]:
    found = {}
    for recipe in recipes:
        for source in recipe.sources:
            found[source.name, source.sha256] = {
                "name": source.name,
                "version": source.version,
                "sha256": source.sha256,
                "text": source.text,
                "came_from": source.came_from,
            }
    return [found[key] for key in sorted(found)]


def write_manifest(folder: Path, manifest: Manifest) -> None:
    """Write a pass's manifest, synced, with sorted keys."""
    path = folder / MANIFEST_NAME
    with path.open("w", encoding="utf-8") as file:
        json.dump(manifest.data, file, indent=1, sort_keys=True, allow_nan=False)
        file.write("\n")
        file.flush()
        os.fsync(file.fileno())


def read_manifest(folder: Path) -> Manifest:
    """Read and check the manifest of a pass.

    Parameters
    ----------
    folder : Path
        The pass's folder.

    Returns
    -------
    Manifest

    Raises
    ------
    ManifestError
        If it is missing, cut short, edited out of shape, or of a newer version.
    """
    path = folder / MANIFEST_NAME
    label = f"{folder.name}/{MANIFEST_NAME}"
    mend = "bring it back from a backup, or remove the pass's folder"
    try:
        data = json.loads(read_file_bytes(path, LARGEST_BYTES), parse_constant=_no_number, parse_float=_finite)
    except FileNotFoundError as error:
        raise ManifestError(f"{label}: missing, so this is no complete pass; {mend}") from error
    except (NotRegularError, TooLargeError) as error:
        raise ManifestError(f"{label}: {error.strerror}; {mend}") from error
    except OSError as error:
        raise ManifestError(f"{label}: cannot be read ({error.strerror}); check its permissions") from error
    except (ValueError, RecursionError) as error:
        raise ManifestError(
            f"{label}: not readable as JSON ({_short(error)}); it was cut short or edited; {mend}"
        ) from error
    version = data.get("manifest") if isinstance(data, dict) else None
    if isinstance(version, int) and version > MANIFEST_VERSION:
        raise ManifestError(
            f"{label}: written by a newer stemwright (manifest {version}, this one reads {MANIFEST_VERSION}); update stemwright"
        )
    problem = problem_of(data)
    if problem is not None:
        raise ManifestError(f"{label}: {problem}; it was edited or damaged; {mend}")
    return Manifest(data)


def _no_number(text: str) -> float:
    raise ValueError(f"{text} is no number")


def _finite(text: str) -> float:
    value = float(text)
    return value if math.isfinite(value) else _no_number(_short(text))


def problem_of(data: Any) -> str | None:  # noqa: ANN401 - JSON as it was read
    """Say why no pass could have this manifest, or None: by its schema, by where its paths lead, and by the limits."""
    return _schema_problem(data) or _foreign_path(data) or beyond(Manifest(data).items())


def _schema_problem(data: object) -> str | None:
    # Imported here: jsonschema costs as much time as a short look at a song.
    from jsonschema import Draft202012Validator  # noqa: PLC0415
    from jsonschema.exceptions import best_match  # noqa: PLC0415

    schema = json.loads(resources.files("stemwright.passes").joinpath("manifest.schema.json").read_text(encoding="utf-8"))
    error = best_match(Draft202012Validator(schema).iter_errors(data))
    if error is None:
        return None
    where = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in error.absolute_path).lstrip(".")
    return f"{where or 'top level'}: {_short(error.message)}"


def _foreign_path(data: Any) -> str | None:  # noqa: ANN401 - valid by the schema
    """Return a path that would lead elsewhere on Windows, where a backslash and a drive are paths; both are names elsewhere."""
    if os.name != "nt":
        return None
    for entry in data["stems"]:
        inner = [entry[key]["path"] for key in ("input", "deliver_as", "output") if entry[key]]
        for path in (entry["stem"], *inner):
            if "\\" in path or ":" in path:
                return f"{path!r}: a name that is a path here"
    return None


def _short(error: object) -> str:
    text = str(error)
    return text if len(text) <= 120 else text[:117] + "..."
