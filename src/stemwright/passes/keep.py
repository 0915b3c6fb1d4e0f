"""Keep: stems that were signed off; every later pass takes their files over unchanged, whatever recipes say.

What is kept stands in ``passes/kept.json``, written whole or not at all. A stem is kept as one pass has it, by the hash of
its file; a pass that cannot bring exactly that file is not made.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

from stemwright.errors import ManifestError, SongError
from stemwright.passes.history import read_pass
from stemwright.passes.lock import locked
from stemwright.passes.whole import write_whole
from stemwright.stems.opening import read_file_bytes

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from stemwright.passes.entry import Entry
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem

KEPT_NAME = "kept.json"
KEPT_VERSION = 1
LARGEST_BYTES = 16 << 20  # ten thousand stems with the longest names


@dataclass(frozen=True, kw_only=True)
class Kept:
    """A stem signed off: in which pass, the hash of its file there, and by whom."""

    stem: str
    in_pass: str
    sha256: str
    by: str | None = None

    @property
    def why(self) -> str:
        """Say it in words."""
        return f"signed off in {self.in_pass}{f' by {self.by}' if self.by else ''}"

    def as_json(self) -> Plain:
        """Return it as plain JSON values."""
        return {"stem": self.stem, "pass": self.in_pass, "sha256": self.sha256, "by": self.by}


@dataclass(frozen=True, kw_only=True)
class KeptStems:
    """What is kept of a song: each stem's plan item, the hash of its file, and the passes that have the files."""

    items: Mapping[str, PlanItem]
    hashes: Mapping[str, str]
    passes: tuple[Manifest, ...]

    def apply(self, items: Iterable[PlanItem]) -> list[PlanItem]:
        """Return a plan in which every kept stem is as it was signed off, and no other is called kept."""
        result = [self.items.get(item.stem) or released(item) for item in items]
        there = {item.stem for item in result}
        return result + [item for stem, item in self.items.items() if stem not in there]

    def changed_by(self, items: Iterable[PlanItem]) -> list[str]:
        """Return the kept stems that a plan would change or leave out."""
        planned = {item.stem: item for item in items}
        return [stem for stem, item in self.items.items() if stem not in planned or planned[stem].sound != item.sound]


def released(item: PlanItem) -> PlanItem:
    """Return a kept item as an ordinary one again."""
    return replace(item, status="prepped" if item.moves else "left") if item.status == "kept" else item


def load_kept(song: SongFolder) -> dict[str, Kept]:
    """Read what is kept, by stem.

    Raises
    ------
    ManifestError
        If the file is damaged or of a newer version: then nothing may be made, or a kept stem could change.
    """
    path = song.passes_dir / KEPT_NAME
    label = f"passes/{KEPT_NAME}"
    try:
        data = json.loads(read_file_bytes(path, LARGEST_BYTES))
        kept = _read_kept(data)
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, RecursionError, KeyError, TypeError) as error:
        raise ManifestError(
            f"{label}: not readable, so it is not known which stems are signed off; bring it back from a backup, "
            "or remove it and sign off again with: stemwright keep SONG STEM"
        ) from error
    if kept is None:
        raise ManifestError(f"{label}: written by a newer stemwright; update stemwright")
    return {each.stem: each for each in kept}


def _read_kept(data: dict[str, Any]) -> list[Kept] | None:
    """Return what is kept, or None if a newer version wrote it; TypeError where it is out of shape."""
    if data["version"] > KEPT_VERSION:
        return None
    kept = [Kept(**each) for each in data["kept"]]
    if not all(isinstance(value, str | None) for each in kept for value in asdict(each).values()):
        raise TypeError
    return kept


def kept_stems(song: SongFolder, last: Manifest | None) -> KeptStems:
    """Return what is kept, ready for a plan.

    Parameters
    ----------
    song : SongFolder
    last : Manifest or None
        The newest pass.

    Raises
    ------
    SongError
        If no pass has a kept stem's plan any more.
    """
    items: dict[str, PlanItem] = {}
    manifests = {last.name: last} if last is not None else {}
    kept = load_kept(song)
    for stem, each in kept.items():
        if each.in_pass not in manifests and each.in_pass in song.passes():
            manifests[each.in_pass] = read_pass(song, each.in_pass)
        found = next((entry for one in manifests.values() if (entry := _entry(one, each)) is not None), None)
        if found is None:
            raise SongError(
                f"{stem}: {each.why}, but no pass has it like that any more; bring {each.in_pass} back from a backup, "
                f"or let go of it with: stemwright keep SONG {stem!r} --release"
            )
        items[stem] = replace(found.item, status="kept", why=each.why)
    also = tuple(manifest for name, manifest in manifests.items() if last is None or name != last.name)
    return KeptStems(items=items, hashes={stem: each.sha256 for stem, each in kept.items()}, passes=also)


def _entry(manifest: Manifest, kept: Kept) -> Entry | None:
    entry = manifest.entries.get(kept.stem)
    return entry if entry is not None and entry.sha256 == kept.sha256 else None


def keep(song: SongFolder, seen: Manifest, stems: Sequence[str], by: str | None) -> list[Kept]:
    """Sign stems off as the newest pass has them.

    Parameters
    ----------
    song : SongFolder
    seen : Manifest
        The newest pass as the person who signs off knows it.
    stems : sequence of str
        Stems of it.
    by : str or None
        Who signs off.

    Returns
    -------
    list of Kept
        Those new; a stem that is kept already stays as it is.

    Raises
    ------
    SongError
        If the pass has no file of a stem, or another run has changed one of them since `seen`.
    """
    with locked(song):
        return _sign_off(song, seen, stems, by)


def _sign_off(song: SongFolder, seen: Manifest, stems: Sequence[str], by: str | None) -> list[Kept]:
    last = read_pass(song, None)  # again, under the lock: a note may have been answered meanwhile
    entries = last.entries
    moved = [stem for stem in stems if _file_of(last, stem) != _file_of(seen, stem)]
    if moved:
        raise SongError(
            f"{last.name} appeared meanwhile and changed {', '.join(moved)}; nothing was signed off, listen to it and run it again"
        )
    files = {stem: entries[stem].sha256 for stem in stems}
    empty = [f"  {stem}: {entries[stem].item.status}, {entries[stem].item.why}" for stem in stems if files[stem] is None]
    if empty:
        raise SongError("\n".join([f"{last.name} has no file to sign off for:", *empty]))
    kept = load_kept(song)
    new = [
        Kept(stem=stem, in_pass=last.name, sha256=sha256, by=by)
        for stem, sha256 in files.items()
        if stem not in kept and sha256 is not None
    ]
    _write(song, {**kept, **{each.stem: each for each in new}})
    return new


def _file_of(manifest: Manifest, stem: str) -> str | None:
    entry = manifest.entries.get(stem)
    return None if entry is None else entry.sha256


def release(song: SongFolder, stems: Sequence[str]) -> list[Kept]:
    """Let later passes change stems again; returns what was kept of them.

    Raises
    ------
    SongError
        If one is not kept; the message lists those that are.
    """
    with locked(song):
        kept = load_kept(song)
        unknown = [stem for stem in stems if stem not in kept]
        if unknown:
            raise SongError(f"not kept: {', '.join(unknown)}; kept are: {', '.join(sorted(kept)) or 'none'}")
        _write(song, {stem: each for stem, each in kept.items() if stem not in stems})
    return [kept[stem] for stem in stems]


def refuse_change(song: SongFolder, stems: Iterable[str], what: str) -> None:
    """Refuse to change stems that are kept.

    Raises
    ------
    SongError
        If any of them is kept; the message says how to let go of them.
    """
    kept = load_kept(song)
    listed = [kept[stem] for stem in dict.fromkeys(stems) if stem in kept]
    if listed:
        lines = "\n".join(f"  {each.stem}: {each.why}" for each in listed)
        names = " ".join(f'"{each.stem}"' for each in listed)
        raise SongError(
            f"{what} would change stems that are signed off, so nothing was done:\n{lines}\n"
            f"To let them change again: stemwright keep SONG {names} --release"
        )


def _write(song: SongFolder, kept: Mapping[str, Kept]) -> None:
    data = {"version": KEPT_VERSION, "kept": [asdict(kept[stem]) for stem in sorted(kept)]}
    text = json.dumps(data, indent=1, sort_keys=True) + "\n"
    try:
        write_whole(song.passes_dir / KEPT_NAME, [text.encode("utf-8")])
    except OSError as error:
        raise SongError(f"passes/{KEPT_NAME}: cannot be written ({error.strerror}); nothing was changed") from error
