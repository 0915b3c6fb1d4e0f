"""The look command: what arrived, and which recipe takes each stem."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stemwright.cli.console import MARKS, show, show_findings, show_json, table, workers
from stemwright.cli.many import AskedSongs, asked_songs, run_many
from stemwright.cli.options import recipes_option

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stemwright.passes.look import Look
    from stemwright.stems.findings import Finding


@click.command()
@recipes_option
@click.option("--write-session", is_flag=True, help="Write SONG/session.yaml with all that is known, to be edited.")
@asked_songs()
def look(asked: AskedSongs, recipe_dirs: Sequence[Path], *, write_session: bool) -> int:
    """See what arrived in SONG, what is wrong with it, and which recipe takes each stem; renders nothing.

    Every stem is read once and listened to: clipping (turned down since, too), clicks, dropouts, silence, offset, hum, rumble,
    sides, a kit's polarity and delay, starts, lengths, duplicates.
    Ends with one line: ready, or what to settle first. Exit code 1 if something needs a person. With more than one SONG
    a table says what waits in each; --json is then a line a song, as it ends.
    """
    song, as_json = asked.one, asked.as_json
    if song is None:
        from stemwright.catalogue.work import LookAt  # noqa: PLC0415 - numpy and yaml only when they are needed

        if write_session:
            raise click.UsageError("--write-session is for one song")
        return run_many(asked, lambda executor: LookAt(executor=executor, recipe_dirs=recipe_dirs))
    from stemwright.passes.look import look as look_at  # noqa: PLC0415 - numpy and yaml only when they are needed

    with workers(asked.jobs, asked.on, [song]) as executor:
        seen = look_at(song, executor, recipe_dirs=recipe_dirs)
    written = None
    if write_session:
        from stemwright.passes.sheet_draft import write_draft  # noqa: PLC0415
        from stemwright.recipes.folders import origin  # noqa: PLC0415

        written = write_draft(seen, [origin(folder, seen.song.folder) for folder in recipe_dirs])
    if as_json:
        show_json(seen.as_json() | ({"session": str(written)} if written else {}))
    else:
        show_look(seen)
        if written:
            show(f"written: {written}; edit it, then: stemwright prep SONG")
    return int(not seen.ready)


def show_look(seen: Look) -> None:
    """Print a look: a row a stem, then the findings, then one line that sums up."""
    count = len(seen.song.stems)
    show(f"{seen.sheet.song or seen.song.folder.name}: {count} stem{'' if count == 1 else 's'}")
    rows = []
    for stem, facts in seen.facts.items():
        assignment, info = seen.assignments[stem], facts.info
        fate = (
            "skipped" if assignment.skip else "left" if assignment.leave or not assignment.recipe else assignment.recipe.name
        )
        form = (
            f"{info.rate_hz / 1000:g} kHz {info.subtype.removeprefix('PCM_')} {info.channels} ch" if info else "unreadable"
        )
        length = f"{info.seconds:.1f} s" if info else ""
        rows.append([stem, fate, assignment.matched_by, form, length])
    table(["stem", "recipe", "matched by", "form", "length"], rows, right=[4])
    show_intake(seen.findings)
    stops = sum(finding.severity == "stop" for finding in seen.findings)
    warns = sum(finding.severity == "warn" for finding in seen.findings)
    if stops or warns:
        show(f"To settle first: {stops} that stop a stem, {warns} to decide. prep works on all other stems meanwhile.")
    else:
        show("Ready: stemwright prep SONG")


def show_intake(findings: Sequence[Finding], *, brief: bool = False) -> None:
    """Print findings: what needs a person in full, what is worth knowing on a line each, or only counted where ``brief``."""
    show_findings([finding for finding in findings if finding.severity != "info"])
    known = [finding for finding in findings if finding.severity == "info"]
    if brief:
        if known:
            show(f"{len(known)} more worth knowing: stemwright look SONG")
        return
    for finding in known:
        show(f"{MARKS['info']}  {finding.stem or 'the song'}: {finding.measured} [{finding.id}]")
        if finding.stem is None:  # of the song: for its sheet
            show(f"      do:  {finding.do}")
