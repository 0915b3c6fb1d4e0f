"""Facts on demand: a stem as received is read and hashed only when a pass must render it, and must be what it was."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.stems.survey import StemFacts, survey_stem

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from concurrent.futures import Executor

    from stemwright.passes.song import SongFolder
    from stemwright.plan.items import PlanItem


class FactsOnDemand(Mapping[str, StemFacts]):
    """The stems of a plan as they are now, each surveyed when first asked for and held against the plan.

    Parameters
    ----------
    song : SongFolder
        Where they are.
    items : iterable of PlanItem
        The plan; its inputs' hashes are what the files must have.
    """

    def __init__(self, song: SongFolder, items: Iterable[PlanItem]) -> None:
        self._song = song
        self._there = frozenset(song.stems)
        self._expected = {item.stem: item.input for item in items if item.input is not None}
        self._known: dict[str, StemFacts] = {}

    def __getitem__(self, stem: str) -> StemFacts:
        if stem not in self._known:
            self.check([stem])
        return self._known[stem]

    def __contains__(self, stem: object) -> bool:
        return stem in self._expected

    def __iter__(self) -> Iterator[str]:
        return iter(self._expected)

    def __len__(self) -> int:
        return len(self._expected)

    def check(self, stems: Iterable[str], executor: Executor | None = None) -> None:
        """Survey stems and refuse if any is not what the plan was made for.

        Parameters
        ----------
        stems : iterable of str
            Stems of the plan.
        executor : Executor, optional
            Hashes them side by side.

        Raises
        ------
        SongError
            Naming every stem that is missing or changed, and how.
        """
        wanted = [stem for stem in stems if stem in self._expected]
        here = [stem for stem in wanted if stem in self._there]
        run = executor.map if executor is not None else map
        for fact in run(self._survey, here):
            self._known[fact.stem] = fact
        problems = [(stem, problem) for stem in wanted if (problem := self._problem(stem)) is not None]
        if problems:
            for stem, _ in problems:
                self._known.pop(stem, None)
            listed = "\n".join(f"  {stem}: {problem}" for stem, problem in problems)
            raise SongError(
                f"{self._song.folder.name}: {len(problems)} of the stems as received are not what the pass was made from:\n"
                f"{listed}\nBring the files back as they were; a new one is prepped with: stemwright prep SONG"
            )

    def _survey(self, stem: str) -> StemFacts:
        return survey_stem(stem, self._song.source(stem))

    def _problem(self, stem: str) -> str | None:
        fact = self._known.get(stem)
        if fact is None:
            return "missing"
        if fact.sha256 is None:
            return "; ".join(finding.measured for finding in fact.findings)
        expected = self._expected[stem].sha256
        if fact.sha256 != expected:
            return f"changed: sha256 is {fact.sha256[:12]}…, the manifest has {expected[:12]}…"
        return None
