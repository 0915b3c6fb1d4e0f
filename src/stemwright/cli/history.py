"""The history command: every pass of a song, and because of what."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stemwright.cli.console import show, show_json, table
from stemwright.cli.options import json_option, song_argument

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.passes.history import PassSummary

MOST_NAMES = 6


@click.command()
@song_argument
@json_option
def history(song: Path, *, as_json: bool) -> int:
    """List every pass of SONG: because of what it was made, by whom, and which stems it changed.

    Exit code 1 if the manifest of one cannot be used.
    """
    from stemwright.passes.history import history as passes_of  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.passes.keep import load_kept  # noqa: PLC0415
    from stemwright.passes.song import open_song  # noqa: PLC0415

    opened = open_song(song)
    passes = passes_of(opened)
    kept = load_kept(opened)
    broken = any(each.problem for each in passes)
    if as_json:
        show_json({"passes": [each.as_json() for each in passes], "kept": sorted(kept)})
        return int(broken)
    table(["pass", "when (UTC)", "because", "changed", "taken over"], [_row(each) for each in passes], right=[4])
    for each in kept.values():
        show(f"kept: {each.stem}, {each.why}")
    return int(broken)


def _row(one: PassSummary) -> list[str]:
    if one.problem is not None:
        return [one.name, "", one.problem, "", ""]
    names = ", ".join(one.changed[:MOST_NAMES])
    more = f" and {len(one.changed) - MOST_NAMES} more" if len(one.changed) > MOST_NAMES else ""
    return [one.name, one.made_at[:16].replace("T", " "), because(one), f"{names}{more}" or "-", str(one.taken_over)]


def because(one: PassSummary) -> str:
    """Say in a line why a pass was made."""
    who = f" by {one.by}" if one.by else ""
    if one.kind == "note":
        return f"note{who} on {one.came_from}: {one.text}"
    if one.kind == "recall":
        return f"recall of {one.came_from}{f', {one.text}' if one.text else ''}"
    return f"prep{f' after {one.came_from}' if one.came_from else ''}"
