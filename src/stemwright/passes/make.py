"""Making a pass: render what changed, take over what did not, write the manifest, and let it appear whole."""

from __future__ import annotations

import shutil
from concurrent.futures import as_completed, wait
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from stemwright.errors import SongError, WriteError
from stemwright.passes import song as songs
from stemwright.passes.bounds import beyond
from stemwright.passes.delivered import STOP_FILE
from stemwright.passes.file_names import float_path, unique_paths
from stemwright.passes.in_sum import added_up
from stemwright.passes.lock import locked
from stemwright.passes.manifest import compose
from stemwright.passes.manifest_file import problem_of, write_manifest
from stemwright.passes.meanwhile import check_meanwhile, made_meanwhile
from stemwright.passes.render import RenderJob, render
from stemwright.passes.room import check_room
from stemwright.passes.taking import take_over, who_has
from stemwright.passes.tries import forget_tries
from stemwright.passes.trim import TRIM_MARGIN_DB, peak_dbfs, refusal, same_plan, trimmed
from stemwright.stems.leftovers import sweep

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Mapping
    from concurrent.futures import Executor, Future
    from pathlib import Path

    from stemwright.dsp.overview import Overview
    from stemwright.passes.entry import Entry
    from stemwright.passes.manifest import Because, HasSources, Manifest
    from stemwright.passes.render import Rendered
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem
    from stemwright.stems.survey import StemFacts

NAME_TRIES = 20


@dataclass(frozen=True, kw_only=True)
class Request:
    """A pass to be made: its plan, the stems as they are now, and the pass it follows.

    ``kept`` are the stems signed off, each with the sha256 its file must have; ``also_from`` are further passes to take
    files over from, where the last one has lost them.
    """

    song: songs.SongFolder
    items: tuple[PlanItem, ...]
    facts: Mapping[str, StemFacts]
    recipes: tuple[HasSources, ...]
    because: Because
    last: Manifest | None
    overs: str = "float"
    kept: Mapping[str, str] = field(default_factory=dict)
    also_from: tuple[Manifest, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Made:
    """What came of a request. ``name`` is None where nothing differs from the last pass and none was made.

    ``overviews`` are of the stems written by this run, by name.
    """

    name: str | None
    manifest: Manifest
    rendered: tuple[str, ...]
    taken_over: tuple[str, ...]
    overviews: Mapping[str, Overview] = field(default_factory=dict, compare=False)

    @property
    def failed(self) -> tuple[Entry, ...]:
        """The entries of stems that could not be prepped."""
        return tuple(entry for entry in self.manifest.stems if entry.item.status == "failed")

    def as_json(self) -> Plain:
        """Return what was made as plain JSON values, the whole manifest among them."""
        return {
            "pass": self.name,
            "rendered": list(self.rendered),
            "taken_over": list(self.taken_over),
            "failed": [entry.stem for entry in self.failed],
            "manifest": self.manifest.as_json(),
        }


class Maker:
    """Makes passes with an executor.

    Parameters
    ----------
    executor : Executor
        Any ``concurrent.futures`` executor.
    progress : callable
        Called with the stem's name whenever one is done.
    """

    def __init__(self, executor: Executor, progress: Callable[[str], None] = lambda _: None) -> None:
        self._executor = executor
        self._progress = progress

    def make(self, request: Request) -> Made:
        """Make the pass.

        Parameters
        ----------
        request : Request

        Returns
        -------
        Made

        Raises
        ------
        SongError
            If a stem would go over full scale and the sheet says ``overs: stop``, there is no room, or nothing could
            be prepped at all. No pass is left behind.
        """
        sweep(request.song.leftover_places())
        items = unique_paths(request.items)
        if request.last is not None and same_plan(items, request.last):
            return Made(name=None, manifest=request.last, rendered=(), taken_over=())
        problem = beyond(items)  # before hours of rendering; what was measured is looked at before the pass settles
        if problem is not None:
            raise SongError(f"{request.song.folder.name}: {problem}; take some of its moves away, nothing was written")
        check_room(request.song, items)
        try:
            with songs.new_pass(request.song) as building:
                overviews: dict[str, Overview] = {}
                entries, taken = self._entries(request, items, building, overviews)
                forget_tries(building)
                if all(entry.item.status == "failed" for entry in entries):
                    reasons = "\n".join(f"  {entry.stem}: {entry.item.why}" for entry in entries)
                    raise SongError(f"{request.song.folder.name}: no stem could be prepped, so there is no pass:\n{reasons}")
                manifest, ours = self._settle(request, entries, building)
            if not ours:
                return Made(name=None, manifest=manifest, rendered=(), taken_over=())
        except (OSError, WriteError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            raise SongError(
                f"{request.song.folder.name}: the pass could not be written ({reason}); nothing of it was left behind"
            ) from error
        rendered = [entry.stem for entry in entries if entry.output is not None and entry.stem not in taken]
        return Made(
            name=manifest.name,
            manifest=manifest,
            rendered=tuple(rendered),
            taken_over=tuple(sorted(taken)),
            overviews=overviews,
        )

    def _entries(
        self, request: Request, items: list[PlanItem], building: Path, overviews: dict[str, Overview]
    ) -> tuple[list[Entry], set[str]]:
        entries, taken = self._render_all(request, items, building, overviews)
        over = [entry for entry in entries if entry.went_over and entry.stem not in taken]
        if over and request.overs == "stop":
            listed = "\n".join(f"  {entry.stem}: {'; '.join(entry.messages)}" for entry in over)
            raise SongError(f"overs: stop in session.yaml, and these stems would go over full scale:\n{listed}")
        if over and request.overs == "trim":
            if request.kept:
                raise SongError(refusal(request.kept, [entry.stem for entry in over]))
            loudest = max(peak_dbfs(entry) for entry in over)
            shutil.rmtree(building / "stems")
            lowered = [trimmed(item, request.facts[item.stem].info, -loudest - TRIM_MARGIN_DB) for item in items]
            return self._render_all(request, lowered, building, overviews)
        return entries, taken

    def _render_all(
        self, request: Request, items: list[PlanItem], building: Path, overviews: dict[str, Overview]
    ) -> tuple[list[Entry], set[str]]:
        older = [*([request.last] if request.last else []), *request.also_from]
        before = [(request.song.passes_dir / each.name / "stems", each.name, each.entries) for each in older]
        folder = building / "stems"
        folder.mkdir(exist_ok=True)
        entries: dict[str, Entry] = {}
        taken: set[str] = set()
        takes: dict[Future[Entry | None], PlanItem] = {}
        jobs: dict[Future[Rendered], PlanItem] = {}
        try:
            had = {item.stem: who_has(item, before) for item in items}
            for item in items:  # what must be rendered takes longest, so it begins first
                if not had[item.stem]:
                    jobs[self._executor.submit(render, _job(request, item, items, folder))] = item
            for item in items:
                if had[item.stem]:
                    takes[self._executor.submit(take_over, item, had[item.stem], folder)] = item
            for take in as_completed(takes):
                item, entry = takes[take], take.result()
                if entry is None:
                    jobs[self._executor.submit(render, _job(request, item, items, folder))] = item
                    continue
                entries[item.stem] = entry
                taken.add(item.stem)
                self._progress(item.stem)
            for future in as_completed(jobs):
                item, done = jobs[future], future.result()
                entries[item.stem] = done.entry(item)
                if done.overview is not None:
                    overviews[item.stem] = done.overview
                self._progress(item.stem)
        except BaseException:
            _end(building, [*takes, *jobs])
            raise
        return [entries[item.stem] for item in items], taken

    def _settle(self, request: Request, entries: list[Entry], building: Path) -> tuple[Manifest, bool]:
        """Return the manifest and True, or that of another run which was first with the very same pass, and False."""
        in_sum = added_up(request.song, entries, building / "stems", self._executor)
        for _ in range(NAME_TRIES):
            manifest = compose(
                name=songs.next_name(request.song),
                song=request.song.folder.name,
                because=request.because,
                recipes=request.recipes,
                entries=entries,
                in_sum=in_sum,
            )
            written = manifest.as_json()
            problem = problem_of(written)
            if problem is not None:
                raise SongError(
                    f"{request.song.folder.name}: the pass could never be read again, so it was not made: {problem}"
                )
            write_manifest(building, written)
            with locked(request.song):
                found = made_meanwhile(request, entries)
                if found is not None:
                    return found, False
                check_meanwhile(request, entries)
                if songs.settle(request.song, building, manifest.name):
                    return manifest, True
        raise SongError(
            f"{request.song.folder.name}: other runs keep taking the next pass's name; try again when they are done"
        )


def _job(request: Request, item: PlanItem, items: list[PlanItem], folder: Path) -> RenderJob:
    stamp = request.facts[item.stem].stamp if item.stem in request.facts else None
    source = request.song.source(item.stem)
    return RenderJob(item=item, source=source, folder=folder, stamp=stamp, float_path=float_path(item, items))


def _end(building: Path, jobs: Collection[Future[Any]]) -> None:
    """Stop all work on a pass and wait for it: nobody may write into the folder while it is taken away."""
    (building / STOP_FILE).touch()
    for job in jobs:
        job.cancel()
    wait(jobs)
