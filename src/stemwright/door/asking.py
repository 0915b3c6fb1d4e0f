"""What can be asked of a song: what arrived, what would be done, what a pass holds. Nothing is written."""

from __future__ import annotations

from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from concurrent.futures import Executor

    from stemwright.passes.balance import Judged
    from stemwright.passes.compare import Compared
    from stemwright.passes.history import PassSummary
    from stemwright.passes.look import Look
    from stemwright.passes.note import NotePlan
    from stemwright.passes.song import SongFolder
    from stemwright.passes.verify import Verified
    from stemwright.plan.items import PlanItem
    from stemwright.plan.rings_in_file import RingsInFile


class Asking:
    """A song that is asked about; `Song` is what one opens, and what its parameters are stands there."""

    def __init__(self, path: str | Path, *, recipes: Sequence[str | Path] = (), executor: Executor | None = None) -> None:
        self._recipes = tuple(Path(folder) for folder in recipes)
        self._executor = executor
        self._path = Path(path)
        self._opened()  # what is no song is said here, not at the first call

    def _opened(self) -> SongFolder:
        from stemwright.passes.song import open_song  # noqa: PLC0415 - here as everywhere: `import stemwright` stays quick

        return open_song(self._path)

    @property
    def path(self) -> Path:
        """The song's folder."""
        return self._path

    @property
    def passes(self) -> tuple[str, ...]:
        """The names of the complete passes, oldest first."""
        return tuple(self._opened().passes())

    @contextmanager
    def _workers(self) -> Iterator[Executor]:
        if self._executor is not None:
            yield self._executor
            return
        from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415

        pool = ThreadPoolExecutor(thread_name_prefix="stem")
        try:
            yield pool
        finally:
            pool.shutdown(cancel_futures=True)

    def look(self) -> Look:
        """Return what arrived, which recipe takes each stem, and what to settle first; every stem is read once."""
        from stemwright.passes.look import look  # noqa: PLC0415

        with self._workers() as executor:
            return look(self._path, executor, recipe_dirs=self._recipes)

    def plan(self, *, as_before: bool = False) -> list[PlanItem]:
        """Return every stem's moves in explicit numbers; nothing is written.

        Parameters
        ----------
        as_before : bool
            Whether to use the recipes that the last pass recorded.
        """
        from stemwright.passes import prep  # noqa: PLC0415
        from stemwright.passes.look import look  # noqa: PLC0415

        with self._workers() as executor:
            seen = look(self._path, executor, recipe_dirs=self._recipes, hashed=True, as_before=as_before)
            return prep.plan(seen, executor)

    def plan_note(self, text: str, *, by: str | None = None) -> NotePlan:
        """Return what a note is understood as and what it would change; nothing is written.

        Parameters
        ----------
        text : str
            The approver's words: ``piano: a little more bite; hats less harsh``.
        by : str, optional
            Whose words they are; a person's own words come first.
        """
        from stemwright.passes.note import plan_note  # noqa: PLC0415

        with self._workers() as executor:
            return plan_note(self._opened(), text, by, self._recipes, executor)

    def compare(self, first: str | int, second: str | int) -> Compared:
        """Return what changed between two passes, because of what, and what is left of the difference in dBFS."""
        from stemwright.passes.compare import compare  # noqa: PLC0415

        with self._workers() as executor:
            return compare(self._opened(), str(first), str(second), executor)

    def history(self) -> list[PassSummary]:
        """Return every pass, because of what it was made, and what it changed; oldest first."""
        from stemwright.passes.history import history  # noqa: PLC0415

        return history(self._opened())

    def balance(self, *, front: str | None = None) -> Judged:
        """Return where the stem in front is covered, by what, and what would help; nothing is changed.

        Parameters
        ----------
        front : str, optional
            The stem in front; the lead vocal without it.
        """
        from stemwright.passes.balance import balance  # noqa: PLC0415
        from stemwright.passes.look import look  # noqa: PLC0415

        with self._workers() as executor:
            seen = look(self._path, executor, recipe_dirs=self._recipes, hashed=True)
            return balance(seen, [] if seen.last is None else list(seen.last.items()), executor, front)

    def verify(self, asked: str | int | None = None) -> Verified:
        """Hold every file of a pass (the newest by default) and the stems as received against the manifest."""
        from stemwright.passes.verify import verify  # noqa: PLC0415

        opened = self._opened()
        with self._workers() as executor:
            return verify(opened, opened.find_pass(None if asked is None else str(asked)), executor)

    def rings(
        self, stem: str, *, from_hz: float = 20.0, to_hz: float = 20_000.0, at_most: int = 3, least_db: float = 4.0
    ) -> RingsInFile:
        """Return the rings of one stem as received, the most certain first.

        Parameters
        ----------
        stem : str
            A distinctive part of its name, or its number; of a pair the left side is heard.
        from_hz, to_hz : float
            Look no lower and no higher, Hz.
        at_most : int
            List no more than so many, 1 to 8.
        least_db : float
            Smallest excess, dB.
        """
        from stemwright.plan.rings_in_file import rings_in  # noqa: PLC0415
        from stemwright.stems.asked import find  # noqa: PLC0415

        opened = self._opened()
        file = opened.source(find(stem, dict.fromkeys(opened.stems), "this song")[0])
        return rings_in(file, from_hz=from_hz, to_hz=to_hz, at_most=at_most, least_db=least_db)
