"""The keep command: stems that are signed off, which no later pass may change."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stemwright.cli.console import show, show_json
from stemwright.cli.options import json_option, song_argument

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path


@click.command()
@song_argument
@click.argument("stems", nargs=-1, metavar="[STEM]...")
@click.option("--release", is_flag=True, help="Let later passes change these stems again.")
@click.option("--by", metavar="WHO", help="Who signs them off.")
@json_option
def keep(song: Path, stems: Sequence[str], by: str | None, *, release: bool, as_json: bool) -> int:
    """Sign stems off as the newest pass of SONG has them; without a STEM, list what is kept.

    A STEM is a stem's name (with or without its ending), a role, a family (drums, music, vocals), what several roles
    are called (keys, synths) or all; a left and a right file go together. Every later pass takes a kept stem over byte
    for byte, whatever recipes say. A note or a recall that would change one stops, and says so.
    """
    from stemwright.notes.language import checked_name  # noqa: PLC0415
    from stemwright.notes.targets import targets_of  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.passes import keep as keeping  # noqa: PLC0415
    from stemwright.passes.history import read_pass  # noqa: PLC0415
    from stemwright.passes.song import open_song  # noqa: PLC0415

    opened = open_song(song)
    last = read_pass(opened, None)
    targets = targets_of(last.items())
    chosen = sorted({stem for name in stems for stem in targets.find(name)})
    if stems and release:
        chosen = [stem for stem in chosen if stem in keeping.load_kept(opened)] or chosen
        for each in keeping.release(opened, chosen):
            show(f"{each.stem}: released; it was {each.why}") if not as_json else None
    elif release:
        raise click.UsageError("--release needs at least one STEM")
    elif stems:
        new = keeping.keep(opened, last, chosen, checked_name(by))
        show(
            f"{len(new)} signed off as {last.name} has them, {len(chosen) - len(new)} were kept already"
        ) if not as_json else None
    kept = keeping.load_kept(opened)
    if as_json:
        show_json([each.as_json() for each in kept.values()])
        return 0
    for each in kept.values():
        show(f"kept: {each.stem}, {each.why}")
    if not kept:
        show("Nothing is kept.")
    return 0
