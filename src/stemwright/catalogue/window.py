"""Window: an executor in front of another, which lets in only so many tasks at a time and can be stopped as a whole.

Whoever submits beyond that waits. So ten thousand stems need no more memory than a hundred, here and on the workers, and a
cluster's scheduler never holds more than a few tasks for each worker.
"""

from __future__ import annotations

from concurrent.futures import CancelledError, Executor, Future
from threading import Condition
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")
TASKS_A_WORKER = 4  # one at work, the others there before it asks
SMALLEST = 8


class WindowClosedError(Exception):
    """The whole run was stopped; no further task is taken."""


class Window(Executor):
    """An executor that holds back.

    Parameters
    ----------
    inner : Executor
        Does the work; it is not shut down.
    workers : int
        How many tasks it works on at a time.
    told : callable
        Turns an exception of the executor's own, such as a lost worker's, into one a person can act on.
    """

    def __init__(
        self, inner: Executor, workers: int, told: Callable[[BaseException], BaseException] = lambda error: error
    ) -> None:
        self.workers = workers
        self._inner = inner
        self._told = told
        self._free = max(SMALLEST, TASKS_A_WORKER * workers)
        self._room = Condition()
        self._stopped = False
        self._open: dict[Future[Any], Future[Any]] = {}  # each with the inner executor's, which is let go of when it ends
        self.most = 0

    def submit(self, fn: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:  # noqa: ANN401 - as the base class has it
        """Wait for a place, then hand the task on."""
        with self._room:
            self._room.wait_for(lambda: self._stopped or self._free > 0)
            if self._stopped:
                raise WindowClosedError
            self._free -= 1
        try:
            inner = self._inner.submit(fn, *args, **kwargs)
        except BaseException:
            self._give_back()
            raise
        outer: Future[T] = Future()
        with self._room:
            self._open[outer] = inner
            self.most = max(self.most, len(self._open))
        outer.add_done_callback(self._cancel_inner)
        inner.add_done_callback(lambda done: self._end(done, outer))
        return outer

    def stop(self) -> None:
        """Cancel whatever is under way and take nothing more.

        Who waits for a task hears of it at once, even of one that is at work and ends a moment later.
        """
        with self._room:
            self._stopped = True
            self._room.notify_all()
            left, self._open = self._open, {}
        for outer, inner in left.items():
            inner.cancel()
            outer.cancel()
            outer.set_running_or_notify_cancel()

    def _cancel_inner(self, outer: Future[Any]) -> None:
        """Cancel what stands behind a task that was cancelled; it counts as cancelled once that has ended."""
        with self._room:
            inner = self._open.get(outer)
        if outer.cancelled() and inner is not None:
            inner.cancel()

    def _end(self, inner: Future[T], outer: Future[T]) -> None:
        with self._room:
            ours = self._open.pop(outer, None) is not None  # otherwise `stop` has told already
        self._give_back()
        if not ours:
            return
        if not outer.set_running_or_notify_cancel():
            return
        error = CancelledError() if inner.cancelled() else inner.exception()
        if error is None:
            outer.set_result(inner.result())
        else:
            outer.set_exception(self._told(error))

    def _give_back(self) -> None:
        with self._room:
            self._free += 1
            self._room.notify()
