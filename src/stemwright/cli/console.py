"""What every command shows with: tables that fit, progress that behaves without a terminal, names made harmless."""

from __future__ import annotations

import json
import os
import re
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

from stemwright.stems.names import safe

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.stems.findings import Finding

PIPE_WIDTH = 160
NAME_WIDTH = 24
COLOURS = {"stop": "red", "warn": "yellow"}
TIE = "\ue000"  # stands for a space that no line may end at: a number and its unit stay together
TIED = re.compile(r"(?<=\d) (?=(?:k?Hz|dB|ms|s|LUFS|%)(?![\w]))|(?<=\bq) (?=\d)")
MARKS = {"stop": "STOP", "warn": "warn", "info": "info"}


def safe_lines(text: str) -> str:
    """Return a message with its line breaks kept and every line made safe."""
    return "\n".join(safe(line) for line in text.split("\n"))


def say(text: str) -> None:
    """Say something about progress, on stderr."""
    click.echo(safe_lines(text), file=sys.stderr)  # given no file, click takes one that is UTF-8 whatever the terminal knows


def show_json(data: object) -> None:
    """Print data as JSON on stdout."""
    click.echo(json.dumps(data, indent=2, sort_keys=True, allow_nan=False))


def show(text: str = "") -> None:
    """Print a line of results on stdout."""
    click.echo(safe_lines(text), file=sys.stdout)


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> None:
    """Print a table on stdout: as wide as the terminal, long cells folded, nothing cut away.

    Parameters
    ----------
    headings : sequence of str
        One a column.
    rows : sequence of sequence of str
        Cells as plain text; nothing in them is taken for markup.
    right : sequence of int
        Columns whose cells are numbers.
    """
    # Imported here: rich costs as much as all the rest of --help.
    from rich import box  # noqa: PLC0415
    from rich.console import Console  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    console = Console(width=None if sys.stdout.isatty() or "COLUMNS" in os.environ else PIPE_WIDTH, highlight=False)
    grid = Table(box=box.SIMPLE_HEAD, pad_edge=False, header_style="bold")
    cells = [[heading, *(row[column] for row in rows)] for column, heading in enumerate(headings)]
    widths = [max(map(len, column)) for column in cells]
    narrow = sum(widths) + 2 * len(widths) > console.width
    for column, heading in enumerate(headings):
        # Where there is no room, names and numbers stay in one piece, of their width: what only has a least width is cut at the edge.
        fixed = min(widths[0], NAME_WIDTH) if column == 0 and narrow else None
        number = column in right
        grid.add_column(heading, justify="right" if number else "left", overflow="fold", width=fixed, no_wrap=number)
    for row in rows:
        grid.add_row(*(Text(TIED.sub(TIE, safe_lines(cell))) for cell in row))
    with console.capture() as printed:
        console.print(grid)
    # Not click.echo: on a terminal that knows only ASCII it writes UTF-8 past our own escaping.
    sys.stdout.write(printed.get().replace(TIE, " "))


def show_findings(findings: Sequence[Finding]) -> None:
    """Print findings, the gravest first, each with what was measured, why it matters and what to do."""
    order = ("stop", "warn", "info")
    for finding in sorted(findings, key=lambda one: order.index(one.severity)):
        mark = click.style(MARKS[finding.severity], fg=COLOURS.get(finding.severity), bold=finding.severity == "stop")
        said = safe_lines(f"{finding.stem or 'the song'}: {finding.measured} [{finding.id}]")
        click.echo(f"{MARKS[finding.severity] if 'NO_COLOR' in os.environ else mark}  {said}", file=sys.stdout)
        show(f"      why: {finding.why}")
        show(f"      do:  {finding.do}")


@contextmanager
def workers(jobs: int | None, on: str | None = None, songs: Sequence[Path] = ()) -> Iterator[Executor]:
    """Give a pool of threads, one for each core we may use unless `jobs` says otherwise; or the workers of a cluster.

    Parameters
    ----------
    jobs : int, optional
        How many threads.
    on : str, optional
        The cluster.
    songs : sequence of Path
        What will be worked on; workers of a cluster must see it.

    Threads, not processes: filters, decoding and hashing all let go of the interpreter's lock, and a pool of
    processes would have to load everything again.
    """
    if on is not None:
        if jobs is not None:
            raise click.UsageError("--jobs is for this machine alone; with --on, say local:N, or start as many workers")
        from stemwright.catalogue.cluster import connected  # noqa: PLC0415 - only for those who ask for it

        with connected(on, songs) as cluster:
            for line in cluster.left_out:
                say(line)
            yield cluster.window
        return
    from stemwright.native.heap import keep_freed  # noqa: PLC0415 - numpy comes with its room

    keep_freed()
    pool = ThreadPoolExecutor(max_workers=jobs or cores(), thread_name_prefix="stem")
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def log_of(error: BaseException) -> str:
    """Write what led to a bug of ours into a file, and return where it is."""
    import tempfile  # noqa: PLC0415 - only when all else has failed
    import traceback  # noqa: PLC0415

    with tempfile.NamedTemporaryFile("w", prefix="stemwright-", suffix=".log", delete=False) as log:
        traceback.print_exception(error, file=log)
    return log.name


def cores() -> int:
    """Return how many cores we may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def progress(total: int, what: str) -> Iterator[Callable[[str], None]]:
    """Show how far a run is, on stderr: a bar in a terminal, one line at the end elsewhere."""
    if not sys.stderr.isatty():
        done = 0

        def count(_: str) -> None:
            nonlocal done
            done += 1

        yield count
        if done:
            say(f"{what}: {done} of {total}")
        return
    from rich.console import Console  # noqa: PLC0415
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn  # noqa: PLC0415

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task: Any = bar.add_task(what, total=total)
        yield lambda stem: bar.update(task, advance=1, description=safe(stem)[:30].ljust(30))
