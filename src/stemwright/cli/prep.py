"""The prep command: the next pass of a song."""

from __future__ import annotations

import sys
from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from stemwright.cli.console import progress, safe_lines, show, show_json, table, workers
from stemwright.cli.look import show_intake
from stemwright.cli.many import AskedSongs, asked_songs, run_many
from stemwright.cli.options import open_option, page_option, recipes_option
from stemwright.cli.report import page_after, show_page, sum_after

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from stemwright.dsp.loudness import Levels
    from stemwright.handover.sum_story import SumStory
    from stemwright.passes.look import Look
    from stemwright.passes.make import Made
    from stemwright.plan.items import PlanItem


@click.command()
@recipes_option
@click.option(
    "--only", multiple=True, metavar="STEM", help="Prep this stem anew, keep all others as they are. May be given again."
)
@click.option("--as-before", is_flag=True, help="Use the recipes recorded in the last pass wherever it has one for a stem.")
@click.option("--plan", "plan_only", is_flag=True, help="Print every move that would be made, and stop.")
@click.option(
    "--hold", is_flag=True, help="A last gain for each stem: as loud as received. To stay: loudness: hold, session.yaml."
)
@click.option("--other-recipes", is_flag=True, help="Folders of recipes that the last pass used are left out on purpose.")
@page_option
@open_option
@asked_songs()
def prep(  # noqa: PLR0913 - one parameter for each option
    asked: AskedSongs,
    recipe_dirs: Sequence[Path],
    only: Sequence[str],
    *,
    as_before: bool,
    plan_only: bool,
    hold: bool,
    other_recipes: bool,
    no_page: bool,
    opened: bool,
) -> int:
    """Make the next pass of SONG: every stem through its recipe, written, measured, and a manifest.

    The pass appears whole as SONG/passes/pass-NN or not at all. If nothing differs from the last pass, none is made;
    otherwise what did not change is taken over byte for byte. The notes of the last pass stay on top of the recipes'
    moves, and stems that are kept stay as they were signed off. Below the table stands what became of the sum of all stems,
    as received and since the last pass.

    With more than one SONG: one progress for all, a table at the end, --json a line a song. A song that fails stops no
    other, and a second run does only what is left.
    """
    song, as_json = asked.one, asked.as_json
    if song is None:
        from stemwright.catalogue.work import Prep  # noqa: PLC0415 - numpy and scipy only when they are needed

        options = {"as_before": as_before, "plan_only": plan_only, "hold": hold, "other_recipes": other_recipes}
        return run_many(
            asked,
            lambda executor: Prep(executor=executor, recipe_dirs=recipe_dirs, only=only, page=not no_page, **options),
        )
    from stemwright.passes import prep as prepping  # noqa: PLC0415 - numpy and scipy only when they are needed
    from stemwright.passes.foretold import foretold  # noqa: PLC0415
    from stemwright.passes.history import forgotten  # noqa: PLC0415
    from stemwright.passes.look import look  # noqa: PLC0415
    from stemwright.passes.make import Maker  # noqa: PLC0415
    from stemwright.passes.since_last import since_last  # noqa: PLC0415

    with workers(asked.jobs, asked.on, [song]) as executor:
        seen = look(song, executor, recipe_dirs=recipe_dirs, hashed=True, as_before=as_before)
        since = since_last(seen)
        items = prepping.plan(seen, executor, hold=hold)
        if plan_only:
            items = prepping.choose(seen, items, only)
            levels = foretold(seen.song, items, executor)
            if as_json:
                show_json([{**item.as_json(), "foretold": levels_as_json(levels.get(item.stem))} for item in items])
            else:
                show_plan(items, levels)
                show_since(since.lines(items))
            return int(not seen.ready)
        if not as_json:
            show_intake(seen.findings, brief=True)
        missing = forgotten(since.last, seen.in_reach, seen.folders)
        if missing and not other_recipes and in_terminal():
            other_recipes = click.confirm(f"{safe_lines(missing)}\nGo on without them?", err=True)
        with progress(len(items), "stems done") as count:
            made = prepping.prep(seen, items, Maker(executor, count), only=only, other_recipes=other_recipes)
        in_sum = sum_after(seen.song, made, executor, since.last)
        page = None if no_page else page_after(seen.song, made, executor, seen.findings, in_sum, seen.facts)
    if as_json:
        show_json(
            {
                **made.as_json(),
                "sum": in_sum and in_sum.as_json(),
                "since_last": since.lines(made.manifest.items()),
                "findings": [finding.as_json() for finding in seen.findings],
            }
        )
    else:
        show_made(seen, made, in_sum)
        show_since(since.lines(made.manifest.items()))
    show_page(page, opened=opened, as_json=as_json)
    return int(bool(made.failed) or not seen.ready)


def in_terminal() -> bool:
    """Whether somebody can be asked."""
    return sys.stdin.isatty()


def show_since(lines: Sequence[str]) -> None:
    """Print what a person should know about this pass and the last one: recipes, notes, stems kept."""
    for line in lines:
        show(line)


def levels_as_json(levels: tuple[Levels, Levels] | None) -> dict[str, dict[str, float | None]] | None:
    """Return foretold levels, before and after, as plain JSON values."""
    return None if levels is None else {side: asdict(level) for side, level in zip(("before", "after"), levels, strict=True)}


def show_plan(items: Sequence[PlanItem], levels: Mapping[str, tuple[Levels, Levels]]) -> None:
    """Print every stem's moves, one a line, each with its reason, and what they will do to its peak and loudness."""
    from stemwright.plan.wording import described, level, peak_change  # noqa: PLC0415

    for item in items:
        show(f"{item.stem}: {item.status}{f' as {item.recipe}' if item.moves else f' ({item.why})'}")
        for move in item.moves:
            show(f"    {described(move)}  [{move.name}] {move.why}")
        if item.stem in levels:
            was, now = levels[item.stem]
            peak = peak_change(was.sample_peak_dbfs, now.sample_peak_dbfs)
            show(
                f"    peak {peak.replace(',', ' dB,') if ',' in peak else f'{peak} dB'}; LUFS {level(was.lufs)} -> {level(now.lufs)}"
            )
        for message in item.messages:
            show(f"    note: {message}")


def made_counts(made: Made) -> str:
    """Return what was done to how many stems; the numbers add up to all of them."""
    stems = made.manifest.stems
    skipped = sum(entry.item.status == "skipped" for entry in stems)
    left = sum(entry.item.status == "left" and entry.output is not None for entry in stems)
    done = f"{len(made.rendered)} written, {len(made.taken_over)} taken over byte for byte"
    of = f"{len(stems)} stem{'' if len(stems) == 1 else 's'}"
    return (
        f"{done}{f', {skipped} skipped' if skipped else ''}, {len(made.failed)} failed: {of}"
        f"{f', {left} of them left as received' if left else ''}"
    )


def show_made(seen: Look, made: Made, in_sum: SumStory | None) -> None:
    """Print what was done, a row a stem, what became of the sum, and where the pass is."""
    from stemwright.dsp.loudness import Levels  # noqa: PLC0415
    from stemwright.plan.wording import in_short, level, peak_change  # noqa: PLC0415

    rows = []
    for entry in made.manifest.stems:
        item, was, now = entry.item, entry.levels.before or Levels(), entry.levels.after or Levels()
        what = in_short(item.moves) or f"{item.status}: {item.why}"
        peak = peak_change(was.sample_peak_dbfs, now.sample_peak_dbfs)
        rows.append([item.stem, item.recipe or "-", what, level(was.lufs), level(now.lufs), peak])
    table(["stem", "recipe", "moves", "LUFS in", "out", "peak dB"], rows, right=[3, 4, 5])
    for entry in made.manifest.stems:
        for message in entry.all_messages:
            show(f"{entry.stem}: {message}")
    if made.name is None:
        show(f"Nothing differs from {made.manifest.name}, so there is no new pass.")
        return
    for line in in_sum.lines if in_sum else ():
        show(line)
    show(f"{made.name}: {made_counts(made)}")
    show(f"in {seen.song.passes_dir / made.name}")
