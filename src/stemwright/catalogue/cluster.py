"""Cluster: Dask's workers as an executor, after a look at whether they are like this machine and see the same songs.

Dask schedules, moves tasks, retries them where a worker is lost and lets go of them; nothing of that is ours. A task is a
stem's plan item or file, in numbers and paths: audio goes from the storage that all share to the worker and back, never over
the wire, and workers need no recipes.
"""

from __future__ import annotations

import logging
import re
import signal
import threading
from concurrent.futures import CancelledError, Executor, Future
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from stemwright.catalogue.on_worker import WorkerError, do, like_here, seen_there, versions
from stemwright.catalogue.window import Window

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from pathlib import Path

    from distributed import Client

T = TypeVar("T")
LOCAL = re.compile(r"local:([1-9][0-9]{0,2})")
CONNECT_S = 15
SAMPLE = 20  # songs that every worker is asked about: a folder that is mounted elsewhere is wrong for all of them


@dataclass(frozen=True)
class Cluster:
    """Workers to work with. ``left_out`` says which were not taken, and why."""

    window: Window
    left_out: tuple[str, ...]


@contextmanager
def connected(on: str, songs: Sequence[Path] = ()) -> Iterator[Cluster]:
    """Give a cluster's workers.

    Parameters
    ----------
    on : str
        A scheduler's address, ``tcp://host:8786``, or ``local:8`` for so many processes on this machine.
    songs : sequence of Path
        What will be worked on; workers that do not see the same files there are left out.

    Raises
    ------
    WorkerError
        If Dask is not installed, the address is none, nobody answers, or no worker fits.
    """
    try:
        from distributed import Client, LocalCluster  # noqa: PLC0415 - only for those who ask for it
    except ImportError as error:
        raise WorkerError("--on needs Dask, which is not installed; get it with: pip install 'stemwright[dask]'") from error
    local = LOCAL.fullmatch(on)
    if local is None and "://" not in on:
        raise WorkerError(
            f"--on {on}: no place to work; write local:N for N processes here, or tcp://HOST:PORT of a scheduler"
        )
    with _quiet():
        if local is not None:
            with _no_interrupts():
                cluster = LocalCluster(
                    n_workers=int(local[1]),
                    threads_per_worker=1,
                    dashboard_address=":0",  # any free port
                    silence_logs=logging.CRITICAL,
                    preload="stemwright.catalogue.on_worker",
                )
            client = Client(cluster)
        else:
            cluster = None
            try:
                client = Client(on, timeout=CONNECT_S)
            except (OSError, ValueError) as error:
                raise WorkerError(
                    f"--on {on}: no scheduler answers there ({_brief(error)}); start one with: dask scheduler"
                ) from error
        try:
            good, left_out, threads = _looked_at(client, songs)
            yield Cluster(Window(_Workers(client, good), threads, _told), tuple(left_out))
        finally:
            for each in (client, cluster):
                if each is not None:
                    with suppress(Exception):  # a cluster that is gone already is closed enough
                        each.close(timeout=5)


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep Dask's log off the terminal; what matters in it reaches us as exceptions."""
    logger = logging.getLogger("distributed")
    before = logger.level
    logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        logger.setLevel(before)


@contextmanager
def _no_interrupts() -> Iterator[None]:
    """Pass over interrupts for the moment in which processes start: they would answer each with a traceback."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _looked_at(client: Client, songs: Sequence[Path]) -> tuple[list[str], list[str], int]:
    """Return the workers that fit, what is wrong with the others, and how many tasks the good ones do at a time."""
    step = max(1, len(songs) // SAMPLE)
    sample = [folder.resolve() for folder in songs[::step]]
    client.wait_for_workers(1, timeout=CONNECT_S)
    here = seen_there(sample)
    good: list[str] = []
    left_out: list[str] = []
    answers = client.run(like_here, versions(), sample, on_error="return")
    for address, answer in answers.items():
        wrong = _wrong(answer, sample, here)
        if wrong:
            left_out.append(f"worker {address} is left out: {wrong}")
        else:
            good.append(address)
    if not good:
        raise WorkerError("no worker can be used:\n" + "\n".join(f"  {line}" for line in left_out))
    threads = sum(client.scheduler_info(n_workers=-1)["workers"].get(address, {}).get("nthreads", 1) for address in good)
    return good, left_out, threads


def _wrong(answer: Any, sample: Sequence[Path], here: Sequence[tuple[str, int] | str]) -> str:  # noqa: ANN401 - or what went wrong
    if isinstance(answer, BaseException):
        missing = isinstance(answer, ImportError)
        return "stemwright is not installed there" if missing else f"it cannot work for us ({_brief(answer)})"
    different, there = answer
    if different:
        return f"it has {different}; install the same versions there"
    for folder, mine, its in zip(sample, here, there, strict=True):
        if mine != its:
            what = its if isinstance(its, str) else "other files than here"
            return f"it does not see {folder} as it is here ({what}); songs must lie where all machines see the same folder"
    return ""


class _Workers(Executor):
    """Dask's executor, with each task looked at where it lands."""

    def __init__(self, client: Client, workers: Sequence[str]) -> None:
        everyone = set(client.scheduler_info(n_workers=-1)["workers"])
        # Without a need to choose, tasks may go to workers that come later, as a lost one's successor does.
        only = {} if everyone == set(workers) else {"workers": list(workers)}
        self._inner = client.get_executor(pure=False, **only)
        self._here = versions()

    def submit(self, fn: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:  # noqa: ANN401 - as the base class has it
        done: Future[T] = self._inner.submit(do, self._here, fn, args, kwargs)
        return done


def _told(error: BaseException) -> BaseException:
    """Turn what only Dask raises into what a person can act on."""
    if isinstance(error, CancelledError) or type(error).__module__.startswith("distributed"):
        return WorkerError(
            f"a worker was lost while it was at this, again and again, or the cluster is gone ({_brief(error)})"
        )
    return error


def _brief(error: BaseException) -> str:
    text = str(error).strip().split("\n")[0] or type(error).__name__
    return text if len(text) <= 160 else text[:157] + "..."
