"""History: the passes of a song, each read with suspicion, because of what it was made and what it changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.errors import ManifestError, SongError
from stemwright.passes.manifest_file import MANIFEST_NAME, made_because, read_manifest
from stemwright.passes.song import LONGEST_ASKED, PASS_NAME, is_number, pass_number
from stemwright.plain import plain

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.recipes.recipe import Source


@dataclass(frozen=True)
class Recorded:
    """Recipes as an earlier manifest holds them."""

    sources: tuple[Source, ...]


@dataclass(frozen=True, kw_only=True)
class PassSummary:
    """One pass in short.

    ``changed`` are the stems written anew, ``taken_over`` counts the rest; ``problem`` is set, and little else, where its
    manifest cannot be used.
    """

    name: str
    kind: str = ""
    text: str | None = None
    by: str | None = None
    came_from: str | None = None
    made_at: str = ""
    changed: tuple[str, ...] = ()
    taken_over: int = 0
    problem: str | None = None

    def as_json(self) -> Plain:
        """Return the summary as plain JSON values."""
        summary: Plain = plain(self)
        return summary


def read_pass(song: SongFolder, asked: str | None, *, intact: bool = True) -> Manifest:
    """Read the manifest of a pass that is to be built on.

    Parameters
    ----------
    song : SongFolder
    asked : str or None
        ``pass-02``, ``02`` or ``2``; None for the newest.
    intact : bool
        Whether its plan must be the one the pass was made from, by its hash.

    Returns
    -------
    Manifest

    Raises
    ------
    SongError
        If there is no such pass, only half of one, or two passes of that number.
    ManifestError
        If its manifest cannot be read, is another pass's, or its plan was edited.
    """
    _one_of_its_number(song, asked)
    name = song.find_pass(asked)
    manifest = read_manifest(song.passes_dir / name)
    label = f"{name}/{MANIFEST_NAME}"
    if manifest.name != name:
        raise ManifestError(
            f"{label}: says it is {manifest.name}; passes of two people were mixed, or a folder was renamed; "
            f"give the folder the name {manifest.name}, or bring the right one back"
        )
    if intact and not manifest.plan_intact:
        raise ManifestError(
            f"{label}: its plan is not the one this pass was made from: it was edited; bring it back from a backup, "
            "or start from another pass: stemwright recall SONG PASS"
        )
    return manifest


def _one_of_its_number(song: SongFolder, asked: str | None) -> None:
    if not song.passes_dir.is_dir():
        return
    names = sorted(path.name for path in song.passes_dir.iterdir() if PASS_NAME.fullmatch(path.name))
    complete = song.passes()
    if asked is None:
        number = pass_number(complete[-1]) if complete else 0
    elif is_number(asked) or (PASS_NAME.fullmatch(asked) and len(asked) <= LONGEST_ASKED):
        number = int(asked.removeprefix("pass-"))
    else:
        return
    same = [name for name in names if pass_number(name) == number]
    if len(same) > 1 and asked not in same:
        raise SongError(
            f"{song.folder.name}: two passes have this number: {', '.join(same)}; rename one, with the name in it"
        )
    if same and not set(same) & set(complete):
        raise SongError(
            f"{song.folder.name}: {same[0]} is only half there (no {MANIFEST_NAME}); "
            f"bring it back from a backup; complete are: {', '.join(complete) or 'none'}"
        )


def recorded(*manifests: Manifest) -> tuple[Recorded, ...]:
    """Return the recipes that manifests hold, to be written down again."""
    return tuple(Recorded(manifest.recipes) for manifest in manifests)


def recorded_layers(manifest: Manifest) -> list[list[Source]]:
    """Return the recipes a manifest holds, in layers to search: one that builds on its own name comes before that parent."""
    layers: list[list[Source]] = [[], []]
    names = [each.name for each in manifest.recipes]
    for source in manifest.recipes:
        own = names.count(source.name) > 1 and any(
            line.partition("#")[0].partition(":")[2].strip().strip("\"'") == source.name
            for line in source.text.splitlines()
            if line.startswith("based_on:")
        )
        layers[0 if own else 1].append(source)
    return layers


def notes_so_far(song: SongFolder) -> int:
    """Count the passes that came of a note; a manifest that cannot be read counts as none."""
    return sum(made_because(song.passes_dir / name) == "note" for name in song.passes())


def history(song: SongFolder) -> list[PassSummary]:
    """Return every pass in short, oldest first.

    Raises
    ------
    SongError
        If there is none.
    """
    song.find_pass(None)
    return [_summary(song, name) for name in song.passes()]


def _summary(song: SongFolder, name: str) -> PassSummary:
    try:
        manifest = read_pass(song, name)
    except (ManifestError, SongError) as error:
        return PassSummary(name=name, problem=str(error))
    because, written = manifest.because, manifest.written.values()
    return PassSummary(
        name=name,
        kind=because.kind,
        text=because.text,
        by=because.by,
        came_from=because.came_from,
        made_at=manifest.made_at.time,
        changed=tuple(entry.stem for entry in written if entry.taken_from is None),
        taken_over=sum(entry.taken_from is not None for entry in written),
    )


def recipes_moved(last: Manifest, sources: Iterable[Source]) -> list[str]:
    """Say which recipes are not what the last pass used, one line each.

    Parameters
    ----------
    last : Manifest
    sources : iterable of Source
        What is in use now, parents included.

    Returns
    -------
    list of str
        ``piano: version 1 -> 2``.
    """
    before: dict[str, dict[str, int]] = {}
    for each in last.recipes:
        before.setdefault(each.name, {})[each.sha256] = each.version
    lines = []
    for source in {source.sha256: source for source in sources}.values():
        known = before.get(source.name)
        if known is None or source.sha256 in known:
            continue
        versions = sorted(set(known.values()))
        if source.version in versions:
            lines.append(f"{source.name}: changed, and still called version {source.version}")
        else:
            lines.append(f"{source.name}: version {', '.join(map(str, versions))} -> {source.version}")
    return sorted(lines)


def forgotten(last: Manifest | None, in_reach: Collection[str], folders: Collection[str]) -> str:
    """Say which recipes of the last pass came from folders that are out of reach now, and what to do; empty if none.

    Parameters
    ----------
    last : Manifest or None
    in_reach : collection of str
        Hashes of the recipes that were found.
    folders : collection of str
        The folders that are searched, as manifests call them.
    """
    gone: dict[str, list[str]] = {}
    for each in last.recipes if last is not None else ():
        folder = each.came_from
        if folder is not None and folder not in ("house", "song", *folders) and each.sha256 not in in_reach:
            gone.setdefault(folder, []).append(f"{each.name} version {each.version}")
    if last is None or not gone:
        return ""
    lines = "\n".join(f"  {folder}: {', '.join(names)}" for folder, names in gone.items())
    return (
        f"{last.name} used recipes from a folder that is not searched now:\n{lines}\n"
        "Give it again with --recipes, write recipes: [FOLDER] in session.yaml, prep --as-before, or go on without them on "
        "purpose: prep --other-recipes"
    )
