"""The verify command: a pass held against its manifest."""

from __future__ import annotations

import click

from stemwright.cli.console import show, show_json, table, workers
from stemwright.cli.many import AskedSongs, asked_songs, run_many


@click.command()
@asked_songs()
def verify(asked: AskedSongs) -> int:
    """Check every file of a pass of SONG (the newest by default) against its manifest: verify SONG [PASS].

    The stems as received are checked too: a pass can only be recalled from the same ones. Exit code 1 if anything
    differs. With more than one SONG, the newest pass of each is checked; --json is then a line a song.
    """
    asked, pass_name = asked.without_pass()
    song, as_json = asked.one, asked.as_json
    if song is None:
        from stemwright.catalogue.work import Verify  # noqa: PLC0415 - nothing heavy before --help has answered

        return run_many(asked, lambda executor: Verify(executor=executor))
    from stemwright.passes.song import open_song  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.passes.verify import verify as check  # noqa: PLC0415

    opened = open_song(song)
    name = opened.find_pass(pass_name)
    with workers(asked.jobs, asked.on, [song]) as executor:
        result = check(opened, name, executor)
    if as_json:
        show_json(result.as_json())
        return int(not result.good)
    rows = [[f"passes/{name}/stems/{one.file}", one.verdict, one.detail] for one in result.outputs]
    rows += [[one.file, one.verdict, one.detail] for one in result.received]
    table(["file", "verdict", ""], rows)
    if not result.plan_intact:
        show("The plan in the manifest is not the one this pass was made from: it was edited.")
    same = sum(one.verdict == "identical" for one in (*result.outputs, *result.received))
    show(
        f"{name}: {same} files identical"
        + ("; all as the manifest says." if result.good else "; see above for what is not.")
    )
    return int(not result.good)
