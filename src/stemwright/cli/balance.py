"""The balance command: where the stem in front is covered, by what, and what would bring it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stemwright.cli.console import show, show_json, workers
from stemwright.cli.options import jobs_option, json_option, recipes_option, song_argument

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stemwright.passes.balance import Judged


@click.command()
@song_argument
@click.option("--front", metavar="STEM", help="The stem in front; the lead vocal without it.")
@recipes_option
@jobs_option
@json_option
def balance(song: Path, front: str | None, recipe_dirs: Sequence[Path], jobs: int | None, *, as_json: bool) -> int:
    """Find the places in SONG where the stem in front is covered, worst first; nothing is changed.

    Judged are the stems as the newest pass has them, as received before the first. A voice by the band importance and audibility of
    the Speech Intelligibility Index (ANSI S3.5-1997) in short frames, anything else by what stands out of the others in each ERB. Each
    place has when, which bands, which stem covers and by how much, and the smallest move that brings the front back. Where a voice's
    phrases are far apart in level, a ride is proposed. Exit code 1 if there are covered places.
    """
    from stemwright.door.song import Song  # noqa: PLC0415 - nothing heavy before --help has answered

    with workers(jobs) as executor:
        judged = Song(song, recipes=recipe_dirs, executor=executor).balance(front=front)
    if as_json:
        show_json(judged.as_json())
    else:
        show_judged(judged)
    return int(bool(judged.balance.covered))


def show_judged(judged: Judged) -> None:
    """Print a balance: a line for each place, and what would help."""
    from stemwright.notes.language import command  # noqa: PLC0415

    found, front = judged.balance, " and ".join(judged.balance.front)
    measure = "speech intelligibility index" if found.voice else "share that stands out"
    if found.median is None:
        show(f"{front}: silent, so nothing covers it")
        return
    if judged.ride is not None:
        show(
            f'{front}: phrases are spread by {judged.spread_db:.1f} dB (standard deviation); to even them: note SONG "{judged.ride}"'
        )
    count = f"{len(found.covered)} covered place{'' if len(found.covered) == 1 else 's'}"
    show(f"{front} in {judged.heard_as}: {measure} {found.median:.2f} (median); {count}")
    for place, line, note in zip(found.covered, judged.lines, judged.notes, strict=True):
        show(line)
        if place.cure is not None:
            comes = "brings it back" if place.cure.enough else "helps, and is not enough"
            show(f"    {command(note)}")
            show(f"      {comes}: {place.index:.2f} -> {place.cure.index:.2f}")
