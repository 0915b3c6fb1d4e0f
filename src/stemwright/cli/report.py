"""The report command: the page of a pass, to look at and listen to."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stemwright.cli.console import say, show, show_json, workers
from stemwright.cli.many import AskedSongs, asked_songs, run_many
from stemwright.cli.options import open_option

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from concurrent.futures import Executor

    from stemwright.handover.sum_story import SumStory
    from stemwright.passes.make import Made
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.report import Written
    from stemwright.stems.findings import Finding
    from stemwright.stems.survey import StemFacts

MEGABYTE = 1e6


@click.command()
@click.option("--since", metavar="PASS", help="The pass to compare with; the one PASS came from by default.")
@click.option(
    "--lossless", "audio", flag_value="flac24", help="Excerpts as 24-bit FLAC instead of MP3: about six times as large."
)
@click.option("--no-audio", "audio", flag_value="none", help="Only to look at.")
@click.option("--png", type=click.Path(path_type=Path), metavar="DIR", help="Write the plots as PNG files into DIR, too.")
@open_option
@asked_songs()
def report(asked: AskedSongs, since: str | None, audio: str | None, png: Path | None, *, opened: bool) -> int:
    """Write the page of a pass of SONG (the newest by default), to look at and listen to: report SONG [PASS].

    It goes into the pass's folder as report.html, opens in any browser without a network, prints as the recall sheet, and
    holds for every stem its spectrum, its moves, its wave and an excerpt: as received, in the pass it is compared with,
    in this pass, all at one loudness. Excerpts are MP3 unless told otherwise.

    Every file is held against the manifest first. Exit code 1 if a stem could not be shown. With more than one SONG, each
    gets the page of its newest pass; --json is then a line a song. A page of pages: stemwright index.
    """
    from stemwright.passes.manifest_file import read_manifest  # noqa: PLC0415
    from stemwright.passes.song import open_song  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.report import PageOptions, write_page  # noqa: PLC0415
    from stemwright.report.arrived import findings_of  # noqa: PLC0415

    asked, pass_name = asked.without_pass()
    song, as_json = asked.one, asked.as_json
    form = None if audio == "none" else audio or "mp3"
    if song is None:
        from stemwright.catalogue.work import Report  # noqa: PLC0415

        if since is not None or png is not None or opened:
            raise click.UsageError("--since, --png and --open are for one song")
        return run_many(asked, lambda executor: Report(executor=executor, audio=form))
    folder = open_song(song)
    name = folder.find_pass(pass_name)
    options = PageOptions(audio=form, since=since, check=True, png=png)
    with workers(asked.jobs, asked.on, [song]) as executor:
        findings = findings_of(folder, read_manifest(folder.passes_dir / name), executor)
        written = write_page(folder, name, executor, options, findings)
    if as_json:
        show_json(written.as_json())
    else:
        for stem, problem in written.problems:
            show(f"not shown: {stem}: {problem}")
        show(in_words(written))
        if written.pictures:
            show(f"{written.pictures} plots in {png}")
    if opened:
        open_page(written)
    return int(bool(written.problems))


def in_words(written: Written) -> str:
    """Return where a page is and how large."""
    rest = written.size_bytes - written.audio_bytes
    audio = f"{megabytes(written.audio_bytes)} of it audio" if written.audio_bytes else "no audio"
    return f"page: {written.path} ({megabytes(written.size_bytes)}, {audio}, {megabytes(rest)} the rest)"


def megabytes(size: int) -> str:
    """Return a size in MB to a tenth."""
    return f"{size / MEGABYTE:.1f} MB"


def sum_after(song: SongFolder, made: Made, executor: Executor, since: Manifest | None) -> SumStory | None:
    """Tell what a pass that was just made did to the sum, also since an earlier pass; what goes wrong is said on stderr."""
    from stemwright.errors import StemwrightError  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.handover.sum_story import tell_sum  # noqa: PLC0415

    if made.name is None:
        return None
    try:
        return tell_sum(song, made.manifest, executor, since)
    except (StemwrightError, OSError, MemoryError) as error:
        say(f"the pass is whole, its sum was not told: {str(error) or 'too little memory'}; see: stemwright sum SONG")
        return None


def page_after(  # noqa: PLR0913, PLR0917 - what a run may know already
    song: SongFolder,
    made: Made,
    executor: Executor,
    findings: Sequence[Finding] | None = None,
    in_sum: SumStory | None = None,
    facts: Mapping[str, StemFacts] | None = None,
) -> Written | None:
    """Write the page of a pass that was just made; what goes wrong is said on stderr and harms nothing: the pass is complete.

    Parameters
    ----------
    song : SongFolder
    made : Made
        What came of the run; without a new pass there is no page.
    executor : Executor
    findings : sequence of Finding, optional
        Of the intake, where somebody listened.
    in_sum : SumStory, optional
        What the pass did to the sum, where it was told before.
    facts : mapping of str to StemFacts, optional
        Of the stems as received, where somebody listened.

    Returns
    -------
    Written or None
        The page, where there is one.
    """
    from stemwright.errors import StemwrightError  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.report import overviews_of, write_page  # noqa: PLC0415

    if made.name is None:
        return None
    try:
        overviews = overviews_of(made, facts or {})
        return write_page(
            song, made.name, executor, findings=findings, manifest=made.manifest, in_sum=in_sum, overviews=overviews
        )
    except (StemwrightError, OSError, MemoryError) as error:
        reason = str(error) or "too little memory"
        say(f"the pass is whole, the page is not: {reason}; try again with: stemwright report SONG")
        return None


def show_page(written: Written | None, *, opened: bool, as_json: bool) -> None:
    """Say where a page is, as the last line (on stderr beside JSON), and open it in the browser where that is asked for."""
    if written is None:
        return
    (say if as_json else show)(in_words(written))
    if opened:
        open_page(written)


def open_page(written: Written) -> None:
    """Open a page in the browser, or say that none could be opened."""
    if click.launch(written.path.resolve().as_uri()):
        say("no browser could be opened here; open the page by hand")
