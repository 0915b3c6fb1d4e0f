"""The recipes command: list, check and show recipes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stemwright.cli.console import show, show_json, table
from stemwright.cli.house import add_recipes, diff, drift, pack_recipes
from stemwright.cli.options import json_option, recipes_option

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.recipes.library import Library
    from stemwright.recipes.recipe import Recipe

song_option = click.option(
    "--song", type=click.Path(path_type=Path), metavar="SONG", help="Search this song's own recipes first."
)


@click.group()
def recipes() -> None:
    """List, check, show, compare and hand over recipes.

    They are searched in this order: the song's own (SONG/recipes), each --recipes DIR, those that its session sheet
    names, the folders in STEMWRIGHT_RECIPES, the house recipes that come with stemwright. The first of a name wins.
    """


for command in (diff, drift, pack_recipes, add_recipes):
    recipes.add_command(command)


@recipes.command("list")
@recipes_option
@song_option
@json_option
def list_recipes(recipe_dirs: Sequence[Path], song: Path | None, *, as_json: bool) -> int:
    """List every recipe in reach and the names it takes."""
    library = _library(song, recipe_dirs)
    found = [library.recipes[name] for name in sorted(library.recipes)]
    if as_json:
        show_json([as_data(recipe) for recipe in found])
    else:
        rows = [
            [recipe.name, str(recipe.version), recipe.about, _phrases((*recipe.names, *recipe.general_names))]
            for recipe in found
        ]
        table(["recipe", "v", "about", "takes"], rows)
    return 0


@recipes.command("check")
@click.argument("paths", nargs=-1, type=click.Path(path_type=Path), metavar="[DIR|FILE]...")
@song_option
def check_recipes(paths: Sequence[Path], song: Path | None) -> int:
    """Check every recipe in reach, those in each DIR, and each FILE; every problem is listed at once.

    With --song, its session sheet is checked too. Exit code 2 if anything is wrong. Names that two of your recipes take are
    said: stems called so stay without a recipe until one of the two gives way.
    """
    files = [path for path in paths if path.exists() and not path.is_dir()]
    library = _library(song, [path for path in paths if path not in files], files)
    if song is not None:
        from stemwright.passes.song import open_song  # noqa: PLC0415 - nothing heavy before --help has answered
        from stemwright.recipes.session import load_session  # noqa: PLC0415
        from stemwright.recipes.stem_choices import choices_of  # noqa: PLC0415

        opened = open_song(song)
        choices_of(load_session(opened.folder), opened.stems, library)
    for name, takers in library.contested():
        who = " and ".join(f"{recipe.name} ({recipe.path})" for recipe in takers)
        show(f'warn  "{name}" is taken by {who}; take it out of all but one, or a stem called so gets none')
    show(f"{len(library.recipes)} recipes, nothing wrong.")
    return 0


@recipes.command("show")
@click.argument("name", required=False)
@click.option("--schema", "schema_only", is_flag=True, help="Print the JSON Schema of recipes, for an editor.")
@recipes_option
@song_option
@click.option("--as-before", is_flag=True, help="As the newest pass of --song recorded it, wherever that house is now.")
@json_option
def show_recipe(  # noqa: PLR0913 - one parameter for each option
    name: str | None, recipe_dirs: Sequence[Path], song: Path | None, *, schema_only: bool, as_before: bool, as_json: bool
) -> int:
    """Show one recipe as it works out: its moves in order, what it is based on, and where it is.

    With --schema instead of a NAME: the schema that editors complete and check recipes by.
    """
    from stemwright.plan.wording import describe  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.recipes.schema import read_schema  # noqa: PLC0415

    if (name is None) != schema_only:
        raise click.UsageError("give the NAME of a recipe, or --schema (one of the two)")
    if name is None:
        show_json(read_schema("recipe"))
        return 0
    recipe = (_recorded(song) if as_before else _library(song, recipe_dirs)).get(name)
    if as_json:
        show_json(as_data(recipe))
        return 0
    show(f"{recipe.name}, version {recipe.version}: {recipe.about}")
    show(f"  file:  {recipe.path}")
    show(f"  takes: {_phrases(recipe.names)}")
    if recipe.general_names:
        show(f"  else:  {_phrases(recipe.general_names)}")
    if recipe.not_names:
        show(f"  not:   {_phrases(recipe.not_names)}")
    if recipe.based_on:
        show(f"  based on: {recipe.based_on}")
    for move in recipe.moves:
        where = f" only {', '.join(move.only)}" if move.only else ""
        show(f"  {'off ' if move.off else ''}{describe(move.kind, move.settings)}{where}  [{move.name}]")
        show(f"      {move.why}")
    if not recipe.moves:
        show("  no moves: left as received")
    return 0


def as_data(recipe: Recipe) -> dict[str, Any]:
    """Return a recipe as plain JSON values."""
    moves = [
        {"kind": move.kind, "name": move.name, "why": move.why, "off": move.off, "only": list(move.only), **move.settings}
        for move in recipe.moves
    ]
    return {
        "recipe": recipe.name,
        "version": recipe.version,
        "about": recipe.about,
        "role": recipe.role,
        "family": recipe.family,
        "names": [" ".join(phrase) for phrase in recipe.names],
        "general": [" ".join(phrase) for phrase in recipe.general_names],
        "not": [" ".join(phrase) for phrase in recipe.not_names],
        "based_on": recipe.based_on,
        "path": recipe.path,
        "sha256": recipe.sha256,
        "moves": moves,
    }


def _library(song: Path | None, recipe_dirs: Sequence[Path], files: Sequence[Path] = ()) -> Library:
    from stemwright.recipes.folders import search_dirs  # noqa: PLC0415 - yaml only when it is needed
    from stemwright.recipes.library import load_library  # noqa: PLC0415 - yaml only when it is needed
    from stemwright.recipes.session import with_sheet_dirs  # noqa: PLC0415

    if song is not None:
        from stemwright.passes.song import open_song  # noqa: PLC0415 - only where there is one

        song = open_song(song).folder
    return load_library(search_dirs(song, with_sheet_dirs(song, recipe_dirs), files))


def _recorded(song: Path | None) -> Library:
    from stemwright.passes.history import read_pass, recorded_layers  # noqa: PLC0415 - only where it is asked
    from stemwright.passes.song import open_song  # noqa: PLC0415
    from stemwright.recipes.library import load_library  # noqa: PLC0415

    if song is None:
        raise click.UsageError("--as-before shows what a song's newest pass recorded; give the song with --song SONG")
    return load_library((), recorded_layers(read_pass(open_song(song), None)))


def _phrases(names: Sequence[Sequence[str]]) -> str:
    return ", ".join(" ".join(phrase) for phrase in names)
