"""A team's house: what a change of recipes is and does, which songs it has left behind, and a house as one file."""

from __future__ import annotations

import tempfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stemwright.cli.console import show, show_json, workers
from stemwright.cli.many import AskedSongs, asked_songs, run_many
from stemwright.cli.options import json_option, recipes_option

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stemwright.recipes.house_file import House

folder_argument = click.Path(path_type=Path)


@click.command("diff")
@click.argument("first", type=folder_argument, metavar="A")
@click.argument("second", type=folder_argument, metavar="B")
@click.option("--song", type=folder_argument, metavar="SONG", help="What the change does to this song; nothing is rendered.")
@json_option
def diff(first: Path, second: Path, song: Path | None, *, as_json: bool) -> int:
    """Say what is different from the recipes in A to those in B: folders, or files made by recipes pack.

    With --song: which of its stems would sound different, which moves, how many dB, and what that does to loudness and peak.
    Exit code 1 if anything is different.
    """
    from stemwright.catalogue.house import compare_houses, effect_on  # noqa: PLC0415 - nothing heavy before --help

    with _as_folder(first) as one, _as_folder(second) as other:
        if song is None:
            change = compare_houses(one, other)
            if as_json:
                show_json(change.as_json())
            else:
                for name, lines in change.recipes.items():
                    show(f"{name}: {lines[0]}")
                    for line in lines[1:]:
                        show(f"    {line}")
                differ = "1 recipe differs" if len(change.recipes) == 1 else f"{len(change.recipes)} recipes differ"
                show(differ if change.recipes else "No recipe differs.")
            return int(bool(change.recipes))
        with workers(None) as executor:
            effects = effect_on(song, one, other, executor)
    if as_json:
        show_json([effect.as_json() for effect in effects])
    else:
        for effect in effects:
            show(f"{effect.stem}:")
            for line in effect.in_words():
                show(f"    {line}")
        stems = f"{len(effects)} stem{'' if len(effects) == 1 else 's'}"
        show(f"{stems} would sound different" if effects else "No stem would sound different.")
    return int(bool(effects))


@contextmanager
def _as_folder(path: Path) -> Iterator[Path]:
    """Give a folder of recipes: the one asked for, or what is in a house file."""
    if path.is_dir() or not path.exists():
        yield path
        return
    from stemwright.recipes.house_file import add_house  # noqa: PLC0415 - only where it is one

    with tempfile.TemporaryDirectory(prefix="stemwright-") as place:
        yield add_house(path, Path(place) / path.stem).path


@click.command("drift")
@recipes_option
@asked_songs()
def drift(asked: AskedSongs, recipe_dirs: Sequence[Path]) -> int:
    """Say which songs were made with older recipes than those in reach, and what would change; nothing is written.

    Stems are only listened to where a recipe has moved. Exit code 1 if a stem would sound different.
    """
    from stemwright.catalogue.house import Drift  # noqa: PLC0415 - nothing heavy before --help has answered

    found: dict[str, dict[str, list[str]]] = {}
    code = run_many(asked, lambda executor: Drift(executor=executor, recipe_dirs=recipe_dirs, found=found))
    for song in sorted(found) if not asked.as_json else ():
        show(f"{song}:")
        for stem, lines in found[song].items():
            show(f"    {stem}: {'; '.join(lines)}")
    return code


@click.command("pack")
@click.argument("folder", type=folder_argument, metavar="DIR")
@click.option("--to", type=folder_argument, metavar="FILE", help="The file; DIR.house.zip here by default.")
@json_option
def pack_recipes(folder: Path, to: Path | None, *, as_json: bool) -> int:
    """Put the recipes in DIR and its words into one file with checksums, to hand to another house.

    They are checked first. Tell the other house the sha256 that is printed: recipes add --sha256 holds the file against it.
    """
    from stemwright.recipes.house_file import pack_house  # noqa: PLC0415 - yaml only when it is needed

    _show_house(pack_house(folder, to or Path(f"{folder.resolve().name}.house.zip")), as_json=as_json)
    return 0


@click.command("add")
@click.argument("file", type=folder_argument, metavar="FILE")
@click.option("--to", type=folder_argument, metavar="DIR", help="The new folder; FILE's name here by default.")
@click.option("--sha256", metavar="HEX", help="What the file's sha256 must be.")
@json_option
def add_recipes(file: Path, to: Path | None, sha256: str | None, *, as_json: bool) -> int:
    """Take recipes and words in from a FILE that another house packed: a new folder, whole or not at all.

    Every file in it is held against its checksum, and every recipe is checked. Nothing but recipes and words is taken out.
    """
    from stemwright.recipes.house_file import add_house  # noqa: PLC0415 - yaml only when it is needed

    house = add_house(file, to or Path(file.name.removesuffix(".zip").removesuffix(".house") or "house"), sha256)
    _show_house(house, as_json=as_json)
    if not as_json:
        show(f"for a song, in its session.yaml: recipes: [{house.path}], as seen from there; or --recipes {house.path}")
    return 0


def _show_house(house: House, *, as_json: bool) -> None:
    if as_json:
        show_json({"path": str(house.path), "sha256": house.sha256, "recipes": house.recipes, "words": house.words})
    else:
        show(f"{house.path}: {house.recipes} recipes, {house.words} files of words")
        show(f"sha256 {house.sha256}")
