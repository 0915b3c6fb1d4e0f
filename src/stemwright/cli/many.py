"""Many songs in one command: which they are, one progress for all, a table at the end, one exit code."""

from __future__ import annotations

import json
import os
import sys
from contextlib import closing
from dataclasses import dataclass, fields, replace
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stemwright.cli.console import cores, log_of, say, show, table, workers
from stemwright.cli.options import jobs_option, json_option
from stemwright.cli.overall import overall

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from concurrent.futures import Executor

    from stemwright.catalogue.listing import Listing
    from stemwright.catalogue.outcome import Outcome, Total
    from stemwright.catalogue.running import Work

    Decorator = Callable[[Callable[..., int]], Callable[..., int]]

NEEDS_A_PERSON, REFUSED, OUR_BUG = 1, 2, 3
COLUMNS = {
    "pass_name": "pass",
    "stems": "stems",
    "rendered": "rendered",
    "taken_over": "taken over",
    "failed": "failed",
    "to_settle": "to settle",
    "sum_lufs": "sum LUFS",
    "sum_peak": "sum dBTP",
    "kit": "kit's phase",
}


songs_argument = click.argument("songs", nargs=-1, type=click.Path(path_type=Path), metavar="SONG...")
under_option = click.option(
    "--under",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="DIR",
    help="Every folder directly in DIR is a song. May be given again.",
)
list_option = click.option(
    "--songs-from",
    "lists",
    multiple=True,
    metavar="FILE",
    help="Songs from a list, a folder a line, as seen from FILE's folder; - is standard input.",
)
on_option = click.option(
    "--on",
    metavar="WHERE",
    help="Work on a Dask cluster that sees the same folders: tcp://HOST:PORT, or local:N for N processes here.",
)


@dataclass(frozen=True, kw_only=True)
class AskedSongs:
    """The songs a command is about, and where and how it works on them: the options that such commands share."""

    songs: tuple[Path, ...]
    under: tuple[Path, ...] = ()
    lists: tuple[str, ...] = ()
    jobs: int | None = None
    on: str | None = None
    as_json: bool = False

    @property
    def one(self) -> Path | None:
        """The song where the command is about one, as it was given; None where it is about many.

        Raises
        ------
        click.UsageError
            If none was given.
        """
        if self.many:
            return None
        if not self.songs:
            raise click.UsageError("Missing argument 'SONG'.", ctx=click.get_current_context())
        return self.songs[0] if len(self.songs) == 1 else None

    @property
    def many(self) -> bool:
        """Whether songs are asked for by a folder of them or a list."""
        return bool(self.under or self.lists)

    def without_pass(self) -> tuple[AskedSongs, str | None]:
        """Tell ``SONG PASS`` from two songs: the second is a song if it is a folder or a path, and not called as passes are."""
        if self.many or len(self.songs) != 2:
            return self, None
        second = str(self.songs[1])
        is_pass = second.isdecimal() or second.startswith("pass-")
        if not is_pass and (self.songs[1].is_dir() or os.sep in second):
            return self, None
        return replace(self, songs=self.songs[:1]), second

    def listing(self) -> Listing:
        """Return the songs that a command is about."""
        from stemwright.catalogue.listing import list_songs, read_list  # noqa: PLC0415 - nothing heavy before --help

        texts = [
            ("-", sys.stdin.read(), Path()) if name == "-" else (name, read_list(Path(name)), Path(name).parent)
            for name in self.lists
        ]
        return list_songs(self.songs, self.under, texts)


def asked_songs(argument: Decorator = songs_argument) -> Decorator:
    """Give a command the argument and the options by which songs are asked for, as one `Asked`."""

    def decorate(command: Callable[..., int]) -> Callable[..., int]:
        @wraps(command)
        def gathered(**options: Any) -> int:  # noqa: ANN401 - as click gives them
            asked = AskedSongs(**{field.name: options.pop(field.name) for field in fields(AskedSongs)})
            return command(asked, **options)

        decorated: Callable[..., int] = gathered
        for option in (json_option, on_option, jobs_option, list_option, under_option, argument):
            decorated = option(decorated)
        return decorated

    return decorate


def run_many(asked: AskedSongs, work: Callable[[Executor], Work]) -> int:
    """Work on every song and show what came of it.

    Parameters
    ----------
    asked : Asked
    work : callable
        Given the executor that all songs share.

    Returns
    -------
    int
        0: all done; 1: somebody has to look at a song, or one could not be done; 2: none could; 3: a bug of ours.
    """
    from stemwright.catalogue.outcome import Total  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.catalogue.running import run  # noqa: PLC0415
    from stemwright.catalogue.window import Window  # noqa: PLC0415

    if not (asked.songs or asked.many):
        raise click.UsageError("Missing argument 'SONG'.", ctx=click.get_current_context())
    listing = asked.listing()
    for each in listing.passed_over:
        if asked.as_json:
            _line({"song": each.name, "state": "passed over", "problem": each.reason})
        else:
            say(f"not worked on: {each.name}: {each.reason}")
    ended: list[Outcome] = []
    total = Total()
    if listing.songs:
        folders = [song.folder for song in listing.songs]
        with workers(asked.jobs, asked.on, folders) as executor, overall(listing.songs) as progress:
            window = executor if isinstance(executor, Window) else Window(executor, asked.jobs or cores())
            with closing(run(listing.songs, work(window), window, progress.stem)) as outcomes:
                for outcome in outcomes:
                    progress.song(outcome)
                    told = _bug_told(outcome)
                    total.add(told)
                    if asked.as_json:
                        _line(told.as_json())
                    ended.append(replace(told, details={}))
    order = {song.name: number for number, song in enumerate(listing.songs)}
    ended.sort(key=lambda outcome: order[outcome.song])
    if not asked.as_json:
        show_outcomes(ended, total, passed_over=len(listing.passed_over))
    return exit_code(total, passed_over=len(listing.passed_over))


def exit_code(total: Total, *, passed_over: int) -> int:
    """Return the one exit code of many songs."""
    if total.songs["bug"]:
        return OUR_BUG
    if total.songs["refused"] == sum(total.songs.values()):  # also where no song was left to work on
        return REFUSED
    return NEEDS_A_PERSON if total.waiting or passed_over else 0


def _bug_told(outcome: Outcome) -> Outcome:
    if outcome.state != "bug":
        return outcome
    log = log_of(outcome.details["error"])
    return replace(outcome, problem=f"a bug of ours, sorry; nothing half-written is left. Please send us {log}", details={})


def _line(data: dict[str, Any]) -> None:
    click.echo(json.dumps(data, sort_keys=True, allow_nan=False))
    sys.stdout.flush()


def show_outcomes(ended: Sequence[Outcome], total: Total, *, passed_over: int) -> None:
    """Print a row a song, what could not be done, and the sums."""
    from stemwright.catalogue.outcome import COUNTS  # noqa: PLC0415 - nothing heavy before --help has answered

    keys = [key for key in COLUMNS if any(getattr(outcome, key) is not None for outcome in ended)]
    rows = [[outcome.song, *(_cell(getattr(outcome, key)) for key in keys), _remark(outcome)] for outcome in ended]
    if rows:
        right = [number for number, key in enumerate(keys, start=1) if key != "pass_name"]
        table(["song", *(COLUMNS[key] for key in keys), ""], rows, right=right)
    for outcome in ended:
        if outcome.problem is not None:
            show(f"{outcome.song}: {outcome.problem}")
    states = ", ".join(f"{count} {state}" for state, count in total.songs.items() if count)
    sums = [f"{total.counts[key]} {COLUMNS[key]}" for key in keys if key in COUNTS]
    songs = sum(total.songs.values())
    words = [f"{songs} song{'' if songs == 1 else 's'}: {states or 'none could be worked on'}", ", ".join(sums)]
    show("; ".join(word for word in words if word) + (f"; {passed_over} passed over" if passed_over else ""))


def _cell(value: str | int | None) -> str:
    return "-" if value is None else str(value)


def _remark(outcome: Outcome) -> str:
    if outcome.problem is not None:
        return "refused, see below" if outcome.state == "refused" else "a bug, see below"
    return outcome.said or ("nothing differs" if outcome.state == "nothing new" else "")
