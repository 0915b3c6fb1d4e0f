"""The front door of the library: a song, and everything that can be done with it, in the words of the commands.

The commands do nothing that cannot be done from here. What comes back is data, with units in its names; nothing is printed.
"""

from __future__ import annotations

from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from concurrent.futures import Executor

    from stemwright.handover.pack import Packed
    from stemwright.handover.sum import Summed
    from stemwright.passes.balance import Judged
    from stemwright.passes.compare import Compared
    from stemwright.passes.history import PassSummary
    from stemwright.passes.keep import Kept
    from stemwright.passes.look import Look
    from stemwright.passes.make import Made
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.note import NotePlan
    from stemwright.passes.recall import Recalled
    from stemwright.passes.song import SongFolder
    from stemwright.passes.verify import Verified
    from stemwright.plan.items import PlanItem
    from stemwright.plan.rings_in_file import RingsInFile
    from stemwright.report.page import Written


class Song:
    """A song: a folder with audio in it, or in its ``stems`` folder. Nothing in it is written to but ``passes/``.

    Parameters
    ----------
    path : str or Path
        The folder.
    recipes : sequence of str or Path
        Folders searched after the song's own recipes and before the house's.
    executor : concurrent.futures.Executor, optional
        Runs the stems' share of the work; it is not shut down. Without one, each call has threads of its own.

    Raises
    ------
    SongError
        If the folder is not there or holds no audio. Every method raises a `StemwrightError` whose text says what is
        wrong, where, and what to do.

    Examples
    --------
    >>> from stemwright import Song
    >>> song = Song("examples/demo-beat")                       # doctest: +SKIP
    >>> song.prep().name                                        # doctest: +SKIP
    'pass-01'
    >>> song.note("hats less harsh", by="Ann").rendered         # doctest: +SKIP
    ('HiHat 01_PRINT.wav',)
    """

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

    def prep(self, *, only: Sequence[str] = (), as_before: bool = False) -> Made:
        """Make the next pass; where nothing differs from the last one, none is made and ``name`` is None.

        Parameters
        ----------
        only : sequence of str
            Stems to prep anew; all others stay as the last pass has them. Empty means all.
        as_before : bool
            Whether to use the recipes that the last pass recorded.
        """
        from stemwright.passes import prep  # noqa: PLC0415
        from stemwright.passes.look import look  # noqa: PLC0415
        from stemwright.passes.make import Maker  # noqa: PLC0415

        with self._workers() as executor:
            seen = look(self._path, executor, recipe_dirs=self._recipes, hashed=True, as_before=as_before)
            return prep.prep(seen, prep.plan(seen, executor), Maker(executor), only=only)

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

    def note(self, text: str, *, by: str | None = None) -> Made:
        """Answer a note with a new pass in which only the stems it is about are rendered; see `plan_note`."""
        from stemwright.passes.make import Maker  # noqa: PLC0415
        from stemwright.passes.note import answer, plan_note  # noqa: PLC0415

        with self._workers() as executor:
            plan = plan_note(self._opened(), text, by, self._recipes, executor)
            return answer(plan, Maker(executor))

    def recall(self, asked: str | int, *stems: str) -> Recalled:
        """Make an earlier pass the newest one again, to the bit; with `stems` only those come back.

        Parameters
        ----------
        asked : str or int
            The pass: ``"pass-02"``, ``"2"`` or ``2``.
        *stems : str
            Stems; none means all.
        """
        from stemwright.passes.make import Maker  # noqa: PLC0415
        from stemwright.passes.recall import recall  # noqa: PLC0415

        with self._workers() as executor:
            return recall(self._opened(), str(asked), stems, Maker(executor), executor)

    def compare(self, first: str | int, second: str | int) -> Compared:
        """Return what changed between two passes, because of what, and what is left of the difference in dBFS."""
        from stemwright.passes.compare import compare  # noqa: PLC0415

        with self._workers() as executor:
            return compare(self._opened(), str(first), str(second), executor)

    def keep(self, *stems: str, by: str | None = None) -> dict[str, Kept]:
        """Sign stems off as the newest pass has them, and return all that are; with none, only return them.

        Parameters
        ----------
        *stems : str
            Stems, roles or families, as in a note.
        by : str, optional
            Who signed off.
        """
        from stemwright.notes.language import checked_name  # noqa: PLC0415
        from stemwright.passes import keep  # noqa: PLC0415
        from stemwright.passes.history import read_pass  # noqa: PLC0415

        opened = self._opened()
        if stems:
            last = read_pass(opened, None)
            keep.keep(opened, last, self._meant(last, stems), checked_name(by))
        return keep.load_kept(opened)

    def release(self, *stems: str) -> dict[str, Kept]:
        """Let later passes change stems that were signed off, and return those that still are."""
        from stemwright.passes import keep  # noqa: PLC0415
        from stemwright.passes.history import read_pass  # noqa: PLC0415

        opened = self._opened()
        if stems:
            keep.release(opened, self._meant(read_pass(opened, None), stems))
        return keep.load_kept(opened)

    @staticmethod
    def _meant(last: Manifest, stems: Sequence[str]) -> list[str]:
        from stemwright.notes.targets import targets_of  # noqa: PLC0415

        targets = targets_of(last.items())
        return sorted({stem for name in stems for stem in targets.find(name)})

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

    def sum(
        self,
        asked: str | int | None = None,
        *,
        folder: str | Path | None = None,
        solo: Sequence[str] = (),
        without: Sequence[str] = (),
    ) -> Summed:
        """Add up all stems, as received and as a pass has them (the newest by default), into 32-bit float files.

        Parameters
        ----------
        asked : str or int, optional
            The pass.
        folder : str or Path, optional
            Where the files go; beside the pass by default.
        solo, without : sequence of str
            Stems to add up alone, and stems to leave out.
        """
        from stemwright.handover.sum import Chosen, sum_song  # noqa: PLC0415

        opened = self._opened()
        name = opened.find_pass(None if asked is None else str(asked)) if asked is not None or opened.passes() else None
        with self._workers() as executor:
            return sum_song(
                opened, name, None if folder is None else Path(folder), executor, Chosen(tuple(solo), tuple(without))
            )

    def pack(self, asked: str | int | None = None, *, folder: str | Path | None = None, zipped: bool = False) -> Packed:
        """Pack a pass (the newest by default) to hand over: audio, manifest, recall sheet, checksums."""
        from stemwright.handover.pack import pack  # noqa: PLC0415

        opened = self._opened()
        name = opened.find_pass(None if asked is None else str(asked))
        return pack(opened, name, None if folder is None else Path(folder), zipped=zipped)

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

    def report(self, asked: str | int | None = None, *, since: str | int | None = None) -> Written:
        """Write the page of a pass (the newest by default) into its folder, every file held against the manifest first."""
        from stemwright.passes.manifest_file import read_manifest  # noqa: PLC0415
        from stemwright.report import PageOptions, write_page  # noqa: PLC0415
        from stemwright.report.arrived import findings_of  # noqa: PLC0415

        opened = self._opened()
        name = opened.find_pass(None if asked is None else str(asked))
        options = PageOptions(since=None if since is None else str(since), check=True)
        with self._workers() as executor:
            findings = findings_of(opened, read_manifest(opened.passes_dir / name), executor)
            return write_page(opened, name, executor, options, findings)
