"""Options that several commands share, said once."""

from __future__ import annotations

from pathlib import Path

import click

song_argument = click.argument("song", type=click.Path(path_type=Path))
json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")
page_option = click.option("--no-page", is_flag=True, help="Write no report.html into the new pass.")
open_option = click.option("--open", "opened", is_flag=True, help="Open the page in the browser.")
recipes_option = click.option(
    "--recipes",
    "recipe_dirs",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="DIR",
    help="A folder of recipes, searched after the song's own and before the house's. May be given again.",
)
jobs_option = click.option(
    "--jobs", type=click.IntRange(1, 256), metavar="N", help="Stems worked on at once; one for each core by default."
)
