"""Work: what is done to one song of many, over the executor they share, and what came of it in counts."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from stemwright.catalogue.outcome import Outcome
from stemwright.errors import StemwrightError
from stemwright.handover.sum_story import tell_sum
from stemwright.passes import note as notes
from stemwright.passes import prep as prepping
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.song import open_song
from stemwright.passes.verify import verify as check
from stemwright.plan.wording import frequency, level
from stemwright.report import PageOptions, overviews_of, write_page
from stemwright.report.arrived import findings_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from concurrent.futures import Executor
    from pathlib import Path

    from stemwright.catalogue.listing import Listed
    from stemwright.handover.sum_story import SumChange, SumStory
    from stemwright.passes.look import Look
    from stemwright.passes.make import Made
    from stemwright.passes.manifest import Manifest
    from stemwright.passes.song import SongFolder
    from stemwright.stems.findings import Finding

    OnStem = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class Prep:
    """Make the next pass of a song. The fields are the command's options."""

    executor: Executor
    recipe_dirs: Sequence[Path] = ()
    only: Sequence[str] = ()
    as_before: bool = False
    plan_only: bool = False
    hold: bool = False
    other_recipes: bool = False
    page: bool = True

    def __call__(self, song: Listed, on_stem: OnStem) -> Outcome:
        """Do it."""
        seen = look(song.folder, self.executor, recipe_dirs=self.recipe_dirs, hashed=True, as_before=self.as_before)
        items = prepping.plan(seen, self.executor, hold=self.hold)
        if self.plan_only:
            return self._planned(song, seen, prepping.choose(seen, items, self.only))
        made = prepping.prep(seen, items, Maker(self.executor, on_stem), only=self.only, other_recipes=self.other_recipes)
        in_sum = _in_sum(seen.song, made, self.executor, seen.last)
        said = _page(seen.song, made, self.executor, seen, in_sum) if self.page else ""
        return _with_sum(_made(song, made, said, seen), in_sum, in_sum.received if in_sum else None)

    def _planned(self, song: Listed, seen: Look, items: Sequence[Any]) -> Outcome:
        last = seen.last
        before = {item.stem: item.sound for item in last.items()} if last is not None else {}
        new = [item.stem for item in items if item.deliver_as is not None and before.get(item.stem) != item.sound]
        return Outcome(
            song=song.name,
            state="planned",
            stems=len(items),
            pass_name=last.name if last else None,
            rendered=len(new),
            to_settle=_to_settle(seen.findings),
            details={"to_render": new, **_findings(seen.findings)},
        )


@dataclass(frozen=True, kw_only=True)
class LookAt:
    """Look at a song."""

    executor: Executor
    recipe_dirs: Sequence[Path] = ()

    def __call__(self, song: Listed, on_stem: OnStem) -> Outcome:  # noqa: ARG002 - a look counts songs
        """Do it."""
        seen = look(song.folder, self.executor, recipe_dirs=self.recipe_dirs)
        stops = sum(each.severity == "stop" for each in seen.findings)
        settle = _to_settle(seen.findings)
        said = f"{stops} that stop a stem" if stops else "" if settle else "ready"
        return Outcome(
            song=song.name,
            state="done",
            stems=len(seen.song.stems),
            to_settle=settle,
            said=said,
            details={"ready": not settle, **_findings(seen.findings)},
        )


@dataclass(frozen=True, kw_only=True)
class Note:
    """Answer one note on each song."""

    executor: Executor
    text: str
    by: str | None = None
    recipe_dirs: Sequence[Path] = ()
    plan_only: bool = False
    page: bool = True

    def __call__(self, song: Listed, on_stem: OnStem) -> Outcome:
        """Do it."""
        opened = open_song(song.folder)
        plan = notes.plan_note(opened, self.text, self.by, self.recipe_dirs, self.executor)
        if self.plan_only:
            return Outcome(
                song=song.name,
                state="planned",
                stems=len(plan.items),
                pass_name=plan.last.name,
                rendered=len(plan.changed),
                to_settle=len(plan.flagged),
                details=plan.as_json(),
            )
        made = notes.answer(plan, Maker(self.executor, on_stem))
        in_sum = _in_sum(opened, made, self.executor, plan.last)
        said = _page(opened, made, self.executor, None, in_sum) if self.page else ""
        done = _made(song, made, said, None, flagged=plan.flagged)
        return _with_sum(done, in_sum, (in_sum.since or in_sum.received) if in_sum else None)


@dataclass(frozen=True, kw_only=True)
class Verify:
    """Hold the newest pass of a song against its manifest."""

    executor: Executor

    def __call__(self, song: Listed, on_stem: OnStem) -> Outcome:  # noqa: ARG002 - counts songs
        """Do it."""
        opened = open_song(song.folder)
        result = check(opened, opened.find_pass(None), self.executor)
        files = (*result.outputs, *result.received)
        wrong = [each for each in files if each.verdict not in ("identical", "unwritten")]
        said = ["the plan was edited"] if not result.plan_intact else []
        said += [f"{each.verdict}: {each.file}" for each in wrong[:3]]
        said += [f"and {len(wrong) - 3} more"] if len(wrong) > 3 else []
        return Outcome(
            song=song.name,
            state="done",
            pass_name=result.name,
            stems=song.stems,
            to_settle=len(wrong) + (not result.plan_intact),
            said="; ".join(said) or f"{sum(each.verdict == 'identical' for each in files)} files identical",
            details=result.as_json(),
        )


@dataclass(frozen=True, kw_only=True)
class Report:
    """Write the page of a song's newest pass."""

    executor: Executor
    audio: str | None = "mp3"

    def __call__(self, song: Listed, on_stem: OnStem) -> Outcome:  # noqa: ARG002 - counts songs
        """Do it."""
        opened = open_song(song.folder)
        name = opened.find_pass(None)
        findings = findings_of(opened, read_manifest(opened.passes_dir / name), self.executor)
        written = write_page(opened, name, self.executor, PageOptions(audio=self.audio, check=True), findings)
        problems = [{"stem": stem, "problem": problem} for stem, problem in written.problems]
        return Outcome(
            song=song.name,
            state="done",
            pass_name=name,
            stems=song.stems,
            failed=len(problems),
            to_settle=_to_settle(findings),
            said=f"{written.size_bytes / 1e6:.1f} MB",
            details={"page": str(written.path), "problems": problems, **_findings(findings)},
        )


def _made(song: Listed, made: Made, said: str, seen: Look | None, *, flagged: Sequence[str] = ()) -> Outcome:
    failed = [{"stem": entry.stem, "why": entry.item.why} for entry in made.failed]
    findings = _findings(seen.findings) if seen is not None else {"flagged": list(flagged)}
    return Outcome(
        song=song.name,
        state="done" if made.name else "nothing new",
        pass_name=made.manifest.name,
        stems=len(made.manifest.stems),
        rendered=len(made.rendered),
        taken_over=len(made.taken_over),
        failed=len(failed),
        to_settle=_to_settle(seen.findings, besides=failed) if seen is not None else len(flagged),
        said=said,
        details={"failed_stems": failed, **findings},
    )


def _in_sum(song: SongFolder, made: Made, executor: Executor, last: Manifest | None) -> SumStory | None:
    """Tell what a pass did to the sum; what goes wrong harms nothing, the pass is complete."""
    if made.name is not None:
        with suppress(StemwrightError, OSError, MemoryError):
            return tell_sum(song, made.manifest, executor, last)
    return None


def _with_sum(outcome: Outcome, in_sum: SumStory | None, change: SumChange | None) -> Outcome:
    """Add what became of the sum: one change of it to the table, all of it to the details."""
    if in_sum is None or change is None:
        return outcome
    kit = in_sum.measured.kit
    return replace(
        outcome,
        sum_lufs=f"{level(change.before.lufs)} -> {level(change.after.lufs)}",
        sum_peak=f"{level(change.before.true_peak_dbtp)} -> {level(change.after.true_peak_dbtp)}",
        kit=None if kit is None or kit.freq_hz is None else f"{kit.change_db:+.1f} dB at {frequency(round(kit.freq_hz))}",
        details={**outcome.details, "sum": in_sum.as_json()},
    )


def _page(song: SongFolder, made: Made, executor: Executor, seen: Look | None, in_sum: SumStory | None) -> str:
    """Write the page of a pass; what goes wrong harms nothing, the pass is complete."""
    if made.name is None:
        return ""
    try:
        overviews = overviews_of(made, seen.facts if seen is not None else {})
        findings = seen.findings if seen is not None else None
        write_page(song, made.name, executor, findings=findings, manifest=made.manifest, in_sum=in_sum, overviews=overviews)
    except (StemwrightError, OSError, MemoryError) as error:
        return f"no page: {error or 'too little memory'}"
    return ""


def _to_settle(findings: Iterable[Finding], besides: Iterable[dict[str, Any]] = ()) -> int:
    counted = {each["stem"] for each in besides}
    return sum(each.severity != "info" and each.stem not in counted for each in findings)


def _findings(findings: Iterable[Finding]) -> dict[str, Any]:
    return {"findings": [each.as_json() for each in findings]}
