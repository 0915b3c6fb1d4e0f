"""Running: one piece of work on many songs, their stems as one stream over one executor; a song that fails stops no other."""

from __future__ import annotations

import time
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import replace
from typing import TYPE_CHECKING

from stemwright.catalogue.outcome import Outcome
from stemwright.errors import StemwrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Sequence
    from concurrent.futures import Future

    from stemwright.catalogue.listing import Listed
    from stemwright.catalogue.window import Window

    Work = Callable[[Listed, Callable[[str], None]], Outcome]


def songs_at_once(workers: int, songs: int) -> int:
    """Return how many songs to have under way: while one is planned or written down, another keeps the workers busy."""
    return max(1, min(songs, 2 + workers // 4)) if workers > 1 else 1


def run(
    songs: Sequence[Listed], work: Work, window: Window, on_stem: Callable[[Listed, str], None] = lambda _song, _stem: None
) -> Generator[Outcome, None, None]:
    """Do a piece of work on every song.

    Parameters
    ----------
    songs : sequence of Listed
    work : callable
        Given a song and what to call when a stem is done; its stems' share goes through `window`.
    window : Window
        Bounds what is under way, so that memory does not grow with the number of songs.
    on_stem : callable
        Called, from any thread, with song and stem whenever a stem is done.

    Yields
    ------
    Outcome
        As songs end. When the caller stops early, or is interrupted, all work is stopped and cleaned up first.
    """
    waiting = iter(songs)
    pool = ThreadPoolExecutor(songs_at_once(window.workers, len(songs)), thread_name_prefix="song")
    under_way: set[Future[Outcome]] = set()
    try:
        for song in waiting:
            under_way.add(pool.submit(_one, song, work, on_stem))
            if len(under_way) < songs_at_once(window.workers, len(songs)):
                continue
            ended, under_way = wait(under_way, return_when=FIRST_COMPLETED)
            yield from (future.result() for future in ended)
        while under_way:
            ended, under_way = wait(under_way, return_when=FIRST_COMPLETED)
            yield from (future.result() for future in ended)
    except BaseException:
        window.stop()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _one(song: Listed, work: Work, on_stem: Callable[[Listed, str], None]) -> Outcome:
    began = time.monotonic()
    try:
        outcome = work(song, lambda stem: on_stem(song, stem))
    except (StemwrightError, OSError, MemoryError) as error:
        outcome = Outcome(song=song.name, state="refused", stems=song.stems, problem=plainly(error))
    except Exception as error:  # noqa: BLE001 - a bug at one song must not take the others down; it is told as one
        outcome = Outcome(song=song.name, state="bug", stems=song.stems, problem=repr(error), details={"error": error})
    return replace(outcome, seconds=time.monotonic() - began)


def plainly(error: StemwrightError | OSError | MemoryError) -> str:
    """Say what went wrong in a sentence."""
    if isinstance(error, MemoryError):
        return "too little memory; work on fewer stems at once: --jobs 1"
    if isinstance(error, StemwrightError):
        return str(error)
    where = f"{error.filename}: " if isinstance(error.filename, str) else ""
    return f"{where}{error.strerror or error}; check the disk and its permissions"
