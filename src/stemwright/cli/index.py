"""The index command: one page of many songs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stemwright.cli.console import say
from stemwright.cli.many import AskedSongs, asked_songs, run_many

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from stemwright.catalogue.index import Gather


@click.command()
@click.option(
    "--to",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("catalogue.html"),
    metavar="FILE",
    help="Where the page goes; catalogue.html here by default.",
)
@click.option("--listen", is_flag=True, help="Listen to every stem again, for what intake finds.")
@asked_songs()
def index(asked: AskedSongs, to: Path, *, listen: bool) -> int:
    """Write one page of all songs: newest pass, loudness, findings, and what waits for a person.

    It is one file that opens offline, sorts by any heading, and links to the page of each song's newest pass, so keep it
    where it sees them. Only manifests are read, unless --listen is given. Exit code 1 if something waits.
    """
    from stemwright.catalogue.index import Gather, write_index  # noqa: PLC0415 - nothing heavy before --help has answered

    gathered: list[Gather] = []

    def work(executor: Executor) -> Gather:
        gathered.append(Gather(executor=executor, to=to, listen=listen))
        return gathered[0]

    code = run_many(asked, work)
    if gathered:
        rows = gathered[0].rows.values()
        size = write_index(rows, to)
        say(f"page: {to} ({len(rows)} songs, {size / 1e3:.0f} kB)")
    return code
