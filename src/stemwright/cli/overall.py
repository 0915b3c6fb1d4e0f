"""Overall: how far many songs are, in one bar with the time left; where nobody looks on, a line now and then."""

from __future__ import annotations

import sys
import time
from contextlib import contextmanager
from threading import Lock
from typing import TYPE_CHECKING

from stemwright.cli.console import safe_lines, say
from stemwright.stems.names import safe

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from stemwright.catalogue.listing import Listed
    from stemwright.catalogue.outcome import Outcome

LINE_EVERY_S = 10.0


class Overall:
    """How far all songs are, in bytes of their stems: that foretells the time better than counting does."""

    def __init__(self, songs: Sequence[Listed], tell: Callable[[float, str, str], None]) -> None:
        self._sizes = {song.name: max(song.size_bytes, 1) for song in songs}
        self._whole = sum(self._sizes.values())
        self._begun: dict[str, float] = {}
        self._done = 0.0
        self._songs = 0
        self._start = time.monotonic()
        self._lock = Lock()
        self._tell = tell

    def stem(self, song: Listed, stem: str) -> None:
        """Count a stem."""
        with self._lock:
            left = self._sizes[song.name] - self._begun.get(song.name, 0.0)
            part = min(left, self._sizes[song.name] / max(song.stems, 1))
            self._begun[song.name] = self._begun.get(song.name, 0.0) + part
            self._done += part
            self._say(stem)

    def song(self, outcome: Outcome) -> None:
        """Count a song, whatever its stems came to."""
        with self._lock:
            self._done += self._sizes[outcome.song] - self._begun.pop(outcome.song, 0.0)
            self._songs += 1
            self._say(outcome.song)

    def _say(self, what: str) -> None:
        share = self._done / self._whole
        seconds = (time.monotonic() - self._start) * (1.0 - share) / share if share > 0.0 else 0.0
        self._tell(share, what, f"song {self._songs} of {len(self._sizes)}, {time_left(seconds)}")


def time_left(seconds: float) -> str:
    """Return a time as people say it: ``about 3 min left``."""
    if seconds < 1.0:
        return "done" if seconds <= 0.0 else "about 1 s left"
    if seconds < 90.0:
        return f"about {seconds:.0f} s left"
    minutes = round(seconds / 60.0)
    return f"about {minutes} min left" if minutes < 90 else f"about {minutes // 60} h {minutes % 60} min left"


@contextmanager
def overall(songs: Sequence[Listed]) -> Iterator[Overall]:
    """Show how far the songs are while they are worked on."""
    if not sys.stderr.isatty():
        said = time.monotonic()

        def now_and_then(_share: float, _what: str, words: str) -> None:
            nonlocal said
            if time.monotonic() - said >= LINE_EVERY_S:
                said = time.monotonic()
                say(words)

        yield Overall(songs, now_and_then)
        return
    from rich.console import Console  # noqa: PLC0415 - as much as all the rest of --help
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn  # noqa: PLC0415

    columns = (
        TextColumn("{task.description}", markup=False),
        BarColumn(),
        TaskProgressColumn(),
        TextColumn("{task.fields[words]}", markup=False),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("".ljust(30), total=1.0, words="")
        yield Overall(
            songs,
            lambda share, what, words: bar.update(
                task, completed=share, description=safe_lines(safe(what)[:30].ljust(30)), words=words
            ),
        )
