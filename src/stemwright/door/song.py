"""A song, and everything that can be done with it, in the words of the commands."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from stemwright.door.asking import Asking

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.handover.pack import Packed
    from stemwright.handover.sum import Summed
    from stemwright.passes.keep import Kept
    from stemwright.passes.make import Made
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.recall import Recalled
    from stemwright.report.page import Written


class Song(Asking):
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
