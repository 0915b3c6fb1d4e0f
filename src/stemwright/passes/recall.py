"""Recall: a pass rendered again from its manifest alone, and held against the hashes it had."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Literal

from stemwright.errors import AudioError
from stemwright.passes.difference import last_bit_dbfs, measure
from stemwright.passes.history import read_pass, recorded
from stemwright.passes.keep import kept_stems, refuse_change
from stemwright.passes.make import Request
from stemwright.passes.manifest import Because
from stemwright.passes.received import FactsOnDemand
from stemwright.stems.asked import find
from stemwright.stems.survey import file_sha256

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Executor

    from stemwright.passes.make import Made, Maker
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem

Outcome = Literal["identical", "equivalent", "different"]


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """What a recalled stem is to the one it was.

    ``largest_dbfs`` is the largest difference, None where there is none or it cannot be measured; ``detail`` says which.
    """

    stem: str
    outcome: Outcome
    largest_dbfs: float | None = None
    detail: str = ""


@dataclass(frozen=True, kw_only=True)
class Recalled:
    """What came of a recall."""

    asked: str
    made: Made
    verdicts: tuple[Verdict, ...]

    @property
    def good(self) -> bool:
        """Whether no stem differs from what it was."""
        return all(verdict.outcome != "different" for verdict in self.verdicts)

    def as_json(self) -> Plain:
        """Return the verdicts as plain JSON values."""
        return {
            "recalled": self.asked,
            "pass": self.made.name,
            "rendered": list(self.made.rendered),
            "taken_over": list(self.made.taken_over),
            "verdicts": [asdict(verdict) for verdict in self.verdicts],
            "good": self.good,
        }


def recall(song: SongFolder, asked: str, stems: Sequence[str], maker: Maker, executor: Executor) -> Recalled:
    """Make an earlier pass the newest one again.

    Parameters
    ----------
    song : SongFolder
    asked : str
        The pass: ``pass-02``, ``02`` or ``2``.
    stems : sequence of str
        Only these come back, with or without their endings; all others are as the newest pass has them. Empty: all.
    maker : Maker
        Renders and writes.
    executor : Executor
        Hashes and compares.

    Returns
    -------
    Recalled
        ``made.name`` is None where the newest pass is like that already.

    Raises
    ------
    SongError
        If there is no such pass or stem, a stem as received is not what it was, or a kept stem would change.
    ManifestError
        If the manifest cannot be trusted.
    """
    old = read_pass(song, asked)
    last = read_pass(song, None)
    roles = {stem: entry.item.role for stem, entry in old.entries.items()}
    wanted = list(dict.fromkeys(stem for name in stems for stem in find(name, roles, old.name)))
    items = _plan(old, last, wanted)
    kept = kept_stems(song, last)
    refuse_change(song, kept.changed_by(items), f"recalling {old.name}")
    items = kept.apply(items)
    facts = FactsOnDemand(song, items)
    facts.check(_to_render(items, last), executor)
    made = maker.make(
        Request(
            song=song,
            items=tuple(items),
            facts=facts,
            recipes=recorded(old) if not wanted else recorded(old, last),
            because=Because(kind="recall", text=f"only {', '.join(wanted)}" if wanted else None, came_from=old.name),
            last=last,
            kept=kept.hashes,
            also_from=kept.passes,
        )
    )
    new = made.manifest.entries
    compared = wanted or list(old.written)
    jobs = [executor.submit(judge, song, old, made.manifest, stem) for stem in compared if stem in new]
    return Recalled(asked=old.name, made=made, verdicts=tuple(job.result() for job in jobs))


def _plan(old: Manifest, last: Manifest, wanted: Sequence[str]) -> list[PlanItem]:
    items = [_as_it_was(item) for item in old.items()]
    if not wanted:
        return items
    back = {item.stem: item for item in items if item.stem in wanted}
    plan = [back.pop(item.stem, _as_it_was(item)) for item in last.items()]
    return plan + list(back.values())


def _as_it_was(item: PlanItem) -> PlanItem:
    """Return an item that renders to what that pass had: nothing, for a stem that failed in it."""
    return replace(item, deliver_as=None) if item.status == "failed" else item


def _to_render(items: Sequence[PlanItem], last: Manifest) -> list[str]:
    have = {stem: entry.item.sound for stem, entry in last.written.items()}
    return [item.stem for item in items if item.deliver_as is not None and have.get(item.stem) != item.sound]


def judge(song: SongFolder, old: Manifest, new: Manifest, stem: str) -> Verdict:
    """Hold one stem of a pass against the same stem of an earlier one, by hashes first."""
    was, now = (manifest.entries[stem].output for manifest in (old, new))
    if was is None or now is None:
        same = was is now
        detail = f"{old.entries[stem].item.status} in {old.name}: {old.entries[stem].item.why}"
        return Verdict(stem=stem, outcome="identical" if same else "different", detail=detail)
    kinds = [(each.samples_sha256, each.subtype) for each in (was, now)]
    if was.sha256 == now.sha256 or (kinds[0] == kinds[1] and was.samples_sha256 is not None):
        return Verdict(stem=stem, outcome="identical")
    path = song.passes_dir / old.name / "stems" / was.path
    try:
        intact = file_sha256(path) == was.sha256
        apart = measure(path, song.passes_dir / new.name / "stems" / now.path) if intact else None
    except (OSError, AudioError):
        apart = None
    if apart is None:
        detail = f"its samples are not those of {old.name}, whose file is gone, so it is not known by how much"
        return Verdict(stem=stem, outcome="different", detail=detail)
    if apart.largest_dbfs is None:
        return Verdict(stem=stem, outcome="identical", detail="the same samples in another file")
    outcome: Outcome = "equivalent" if apart.largest_dbfs <= last_bit_dbfs(now.subtype) else "different"
    return Verdict(stem=stem, outcome=outcome, largest_dbfs=apart.largest_dbfs, detail=_made_by(old, new))


def _made_by(old: Manifest, new: Manifest) -> str:
    """Say which versions differ, since they are the usual cause."""
    before, after = old.made_by, new.made_by
    apart = [f"{key} {before.get(key, '-')} -> {after[key]}" for key in sorted(after) if before.get(key) != after[key]]
    return ", ".join(apart)
