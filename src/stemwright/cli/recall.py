"""The recall command: an earlier pass as the newest one again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stemwright.cli.console import progress, show, show_json, table, workers
from stemwright.cli.options import jobs_option, json_option, open_option, page_option, song_argument
from stemwright.cli.report import page_after, show_page

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stemwright.passes.recall import Recalled
    from stemwright.passes.song import SongFolder


@click.command()
@song_argument
@click.argument("pass_name", metavar="PASS")
@click.option("--stem", "stems", multiple=True, metavar="STEM", help="Bring only this stem back. May be given again.")
@page_option
@open_option
@jobs_option
@json_option
def recall(  # noqa: PLR0913 - one parameter for each option
    song: Path, pass_name: str, stems: Sequence[str], jobs: int | None, *, no_page: bool, opened: bool, as_json: bool
) -> int:
    """Make an earlier PASS of SONG (pass-02, or 2) the newest one again, exactly.

    It is rendered from its manifest alone: recipes and words of today play no part, and the audio of that pass need not
    be there any more. The stems as received must be what they were. With --stem only those stems come back; all others
    stay as the newest pass has them.

    Each stem gets a verdict: identical (the same samples, by their hashes), equivalent (no sample differs by more than
    the last bit; the largest difference is stated) or different. Exit code 1 if any is different.
    """
    from stemwright.passes.make import Maker  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.passes.recall import recall as recall_pass  # noqa: PLC0415
    from stemwright.passes.song import open_song  # noqa: PLC0415

    folder = open_song(song)
    with workers(jobs) as executor:
        with progress(len(folder.stems), "stems done") as count:
            result = recall_pass(folder, pass_name, stems, Maker(executor, count), executor)
        page = None if no_page else page_after(folder, result.made, executor)
    show_json(result.as_json()) if as_json else show_recalled(folder, result)
    show_page(page, opened=opened, as_json=as_json)
    return int(not result.good)


def show_recalled(song: SongFolder, result: Recalled) -> None:
    """Print the verdicts, and where the pass is."""
    odd = [verdict for verdict in result.verdicts if verdict.outcome != "identical" or verdict.detail]
    if odd:
        rows = [
            [each.stem, each.outcome, "" if each.largest_dbfs is None else f"{each.largest_dbfs:.1f} dBFS", each.detail]
            for each in odd
        ]
        table(["stem", "verdict", "largest difference", ""], rows, right=[2])
    same = sum(verdict.outcome == "identical" for verdict in result.verdicts)
    show(f"{same} of {len(result.verdicts)} stems identical to {result.asked}, by their hashes.")
    if result.made.name is None:
        show(f"{result.made.manifest.name} is like that already, so there is no new pass.")
        return
    show(
        f"{result.made.name}: {len(result.made.rendered)} rendered from {result.asked}'s manifest, "
        f"{len(result.made.taken_over)} taken over byte for byte"
    )
    show(f"in {song.passes_dir / result.made.name}")
