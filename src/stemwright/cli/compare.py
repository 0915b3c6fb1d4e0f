"""The compare command: what changed between two passes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stemwright.cli.console import show, show_json, workers
from stemwright.cli.options import jobs_option, json_option, song_argument

if TYPE_CHECKING:
    from pathlib import Path

    from stemwright.passes.compare import Compared, StemChange

WORDS = {"lufs": "LUFS", "true_peak_dbtp": "true peak", "rms_dbfs": "RMS"}


@click.command()
@song_argument
@click.argument("first", metavar="A")
@click.argument("second", metavar="B")
@jobs_option
@json_option
def compare(song: Path, first: str, second: str, jobs: int | None, *, as_json: bool) -> int:
    """Show what changed in SONG from pass A to pass B (pass-02, or 2), stem by stem.

    For each stem that differs: its moves, because of which note or recipe, the change of loudness and true peak, and what
    is left when one file is taken from the other. Files are read, not only their hashes in the manifests: exit code 1 if
    one is missing or is not what its manifest says.
    """
    from stemwright.passes.compare import compare as compare_passes  # noqa: PLC0415 - nothing heavy before --help
    from stemwright.passes.song import open_song  # noqa: PLC0415

    opened = open_song(song)
    with workers(jobs) as executor:
        result = compare_passes(opened, first, second, executor)
    show_json(result.as_json()) if as_json else show_compared(result)
    return int(not result.good)


def show_compared(result: Compared) -> None:
    """Print each stem that differs, then how many are the same bytes."""
    for each in result.stems:
        if each.fate == "same bytes" and not each.trouble:
            continue
        show(f"{each.stem}: {each.fate}{f' ({left})' if (left := _left(each)) else ''}")
        for line in each.moves:
            show(f"    {line}")
        for line in each.why:
            show(f"    because: {line}")
        moved = [f"{WORDS[key]} {value:+.1f} dB" for key, value in (each.levels_db or {}).items() if abs(value) >= 0.05]
        show(f"    {', '.join(moved)}") if moved else None
        show(f"    warn: {each.trouble}") if each.trouble else None
    show(f"{result.first} -> {result.second}: {result.same_bytes} of {len(result.stems)} stems are the same bytes.")


def _left(each: StemChange) -> str:
    apart = each.difference
    if apart is None or apart.null or apart.largest_dbfs is None or apart.rms_dbfs is None:
        return ""
    return f"the difference is {apart.rms_dbfs:.1f} dBFS RMS, at most {apart.largest_dbfs:.1f} dBFS"
