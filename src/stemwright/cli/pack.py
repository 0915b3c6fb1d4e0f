"""The pack command: a pass to hand over."""

from __future__ import annotations

from pathlib import Path

import click

from stemwright.cli.console import show, show_json
from stemwright.cli.options import json_option, song_argument


@click.command()
@song_argument
@click.argument("pass_name", metavar="PASS")
@click.option("--zip", "zipped", is_flag=True, help="One zip file instead of a folder.")
@click.option(
    "--to", "folder", type=click.Path(path_type=Path), metavar="DIR", help="Write there instead of SONG/passes/packs."
)
@json_option
def pack(song: Path, pass_name: str, folder: Path | None, *, zipped: bool, as_json: bool) -> int:
    """Pack PASS of SONG to hand it over: audio, manifest, recall sheet as text, and checksums for "sha256sum -c".

    Where a stem is ridden, the ride's points stand on the recall sheet, and in rides.csv by time.

    Every file is held against the manifest on the way. The pack appears whole or not at all, and never over another one.
    """
    from stemwright.handover.pack import pack as pack_pass  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.passes.song import open_song  # noqa: PLC0415

    opened = open_song(song)
    packed = pack_pass(opened, opened.find_pass(pass_name), folder, zipped=zipped)
    if as_json:
        show_json(packed.as_json())
    else:
        show(f"{len(packed.files)} files and their checksums in {packed.path}")
    return 0
