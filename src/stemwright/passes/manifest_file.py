"""The manifest's file: written whole, read with suspicion; the only place where a manifest is dictionaries.

Version 2 calls what the program says about a stem ``messages``, the plan's and the rendering's apart, and leaves the plan's
out of the plan's hash. Version 1 called them ``notes`` and ``said``; it is read as if it had been written as 2.
"""

from __future__ import annotations

import json
import math
import os
from importlib import resources
from typing import TYPE_CHECKING, Any

from stemwright.errors import ManifestError
from stemwright.passes.bounds import beyond
from stemwright.passes.entry import Entry, LevelPair, Output
from stemwright.passes.in_sum import InSum
from stemwright.passes.manifest import Because, MadeAt, Manifest
from stemwright.plain import plain, typed
from stemwright.plan.written import PLAN_KEYS, hash_of_plan, item_as_json, item_of
from stemwright.recipes.recipe import Source
from stemwright.stems.opening import NotRegularError, TooLargeError, read_file_bytes, wrong_link

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.plain import Plain

VERSION = 2
MANIFEST_NAME = "manifest.json"
LARGEST_BYTES = 64 << 20
MEND = "bring it back from a backup, or remove the pass's folder"


def entry_as_json(entry: Entry) -> Plain:
    """Return one stem's entry as JSON: the plan and what was measured side by side."""
    item = item_as_json(entry.item)
    return {
        **item,
        "messages": {"plan": item["messages"], "render": list(entry.messages)},
        "output": plain(entry.output),
        "levels": plain(entry.levels),
        "match_gain_db": entry.match_gain_db,
        "went_over": entry.went_over,
        "taken_from": entry.taken_from,
    }


def manifest_as_json(manifest: Manifest) -> Plain:
    """Return a manifest as JSON."""
    because = plain(manifest.because)
    because["from"] = because.pop("came_from")
    return {
        "manifest": VERSION,
        "pass": manifest.name,
        "song": manifest.song,
        "because": because,
        "made_by": dict(manifest.made_by),
        "made_at": plain(manifest.made_at),
        "recipes": plain(manifest.recipes),
        "plan_sha256": manifest.plan_sha256,
        "stems": [entry_as_json(entry) for entry in manifest.stems],
        "sum": plain(manifest.in_sum),
    }


def write_manifest(folder: Path, data: Plain) -> None:
    """Write a pass's manifest, synced, with sorted keys."""
    with (folder / MANIFEST_NAME).open("w", encoding="utf-8") as file:
        json.dump(data, file, indent=1, sort_keys=True, allow_nan=False)
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
    label = f"{folder.name}/{MANIFEST_NAME}"
    song = folder.parent.parent
    _inside(folder / MANIFEST_NAME, song, label)
    data = _load(folder / MANIFEST_NAME, label)
    version = data.get("manifest") if isinstance(data, dict) else None
    if isinstance(version, int) and version > VERSION:
        raise ManifestError(
            f"{label}: written by a newer stemwright (manifest {version}, this one reads {VERSION}); update stemwright"
        )
    data = _as_now(data) if version == 1 else data
    problem = problem_of(data)
    if problem is not None:
        raise ManifestError(f"{label}: {problem}; it was edited or damaged; {MEND}")
    outputs = [folder / "stems" / entry["output"]["path"] for entry in data["stems"] if entry["output"]]
    for path in (*{path.parent for path in outputs}, *(path for path in outputs if path.is_symlink())):
        _inside(path, song, f"{folder.name}/{path.relative_to(folder).as_posix()}")
    try:
        return _manifest_of(data, intact=plan_hash(data, version) == data["plan_sha256"])
    except ValueError as error:  # to the schema 1e300 is a whole number
        raise ManifestError(f"{label}: {_short(error)}; it was edited or damaged; {MEND}") from error


def _inside(path: Path, song: Path, label: str) -> None:
    what = wrong_link(path, song)
    if what is not None:
        raise ManifestError(f"{label}: {what}; put there what it leads to, or {MEND}")


def problem_of(data: Any) -> str | None:  # noqa: ANN401 - JSON as it was read
    """Say why no pass could have this manifest, or None: by its schema, by where its paths lead, and by the limits."""
    problem = _schema_problem(data) or _foreign_path(data)
    if problem is not None:
        return problem
    try:
        return beyond([_item_of(entry) for entry in data["stems"]])
    except ValueError as error:
        return _short(error)


def plan_hash(data: Plain, version: int | None = VERSION) -> str:
    """Return the hash of a manifest's plan as the version that wrote it took it.

    Parameters
    ----------
    data : dict
        A manifest as JSON, in the words of today.
    version : int
        Of the manifest as it was written.
    """
    items = [{key: entry[key] for key in PLAN_KEYS} for entry in data["stems"]]
    if version == 1:
        for item, entry in zip(items, data["stems"], strict=True):
            item["notes"] = entry["messages"]["plan"]
    return hash_of_plan(items)


def made_because(folder: Path) -> str | None:
    """Return what a pass came of (prep, note, recall), read without a check; None if that cannot be read."""
    try:
        data = json.loads(read_file_bytes(folder / MANIFEST_NAME, LARGEST_BYTES))
        kind = data["because"]["kind"]
    except (OSError, ValueError, RecursionError, KeyError, TypeError):
        return None
    return str(kind)


def _load(path: Path, label: str) -> Any:  # noqa: ANN401 - JSON nobody has looked at yet
    try:
        return json.loads(read_file_bytes(path, LARGEST_BYTES), parse_constant=_no_number, parse_float=_finite)
    except FileNotFoundError as error:
        raise ManifestError(f"{label}: missing, so this is no complete pass; {MEND}") from error
    except (NotRegularError, TooLargeError) as error:
        raise ManifestError(f"{label}: {error.strerror}; {MEND}") from error
    except OSError as error:
        raise ManifestError(f"{label}: cannot be read ({error.strerror}); check its permissions") from error
    except (ValueError, RecursionError) as error:
        raise ManifestError(
            f"{label}: not readable as JSON ({_short(error)}); it was cut short or edited; {MEND}"
        ) from error


def _as_now(data: Plain) -> Plain:
    """Return a manifest of version 1 in the words of today; what is out of shape stays so, for the schema to refuse."""
    stems = data.get("stems")
    if not isinstance(stems, list) or not all(isinstance(entry, dict) for entry in stems):
        return data
    known = {"notes", "said"}
    now = [
        {**{key: value for key, value in entry.items() if key not in known},
         "messages": {"plan": entry.get("notes"), "render": entry.get("said")}}
        for entry in stems
    ]  # fmt: skip
    return {**data, "manifest": VERSION, "stems": now}


def _item_of(entry: Plain) -> Any:  # noqa: ANN401 - a PlanItem
    return item_of({**entry, "messages": entry["messages"]["plan"]})


def _manifest_of(data: Plain, *, intact: bool) -> Manifest:
    because = {**data["because"], "came_from": data["because"]["from"]}
    return Manifest(
        name=data["pass"],
        song=data["song"],
        because=typed(because, Because),
        made_by=typed(data["made_by"], dict[str, str]),
        made_at=typed(data["made_at"], MadeAt),
        recipes=typed(data["recipes"], tuple[Source, ...]),
        plan_sha256=data["plan_sha256"],
        stems=tuple(
            Entry(
                item=_item_of(entry),
                output=None if entry["output"] is None else typed(entry["output"], Output),
                levels=typed(entry["levels"], LevelPair),
                match_gain_db=entry["match_gain_db"],
                went_over=entry["went_over"],
                messages=tuple(entry["messages"]["render"]),
                taken_from=entry["taken_from"],
            )
            for entry in data["stems"]
        ),
        in_sum=None if data.get("sum") is None else typed(data["sum"], InSum),
        plan_intact=intact,
    )


def _no_number(text: str) -> float:
    raise ValueError(f"{text} is no number")


def _finite(text: str) -> float:
    value = float(text)
    return value if math.isfinite(value) else _no_number(_short(text))


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


def _foreign_path(data: Plain) -> str | None:
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
