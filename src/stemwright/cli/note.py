"""The note command: an approver's words, answered with a new pass."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stemwright.cli.console import progress, show, show_json, workers
from stemwright.cli.options import jobs_option, json_option, page_option, recipes_option, song_argument
from stemwright.cli.report import page_after

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stemwright.passes.make import Made
    from stemwright.passes.note import NotePlan


@click.command()
@song_argument
@click.argument("text", metavar="TEXT")
@click.option(
    "--by", metavar="WHO", help="Whose note it is; their own words count first. The session sheet's approver by default."
)
@click.option("--plan", "plan_only", is_flag=True, help="Print what was understood and what would change, and stop.")
@recipes_option
@page_option
@jobs_option
@json_option
def note(  # noqa: PLR0913 - one parameter for each option
    song: Path,
    text: str,
    by: str | None,
    recipe_dirs: Sequence[Path],
    jobs: int | None,
    *,
    plan_only: bool,
    no_page: bool,
    as_json: bool,
) -> int:
    """Answer a note on the newest pass of SONG: a new pass in which nothing else has moved.

    TEXT says for whom, then what: "piano: a little more bite, but subtle; hats less harsh". The stems it is about are
    rendered, all others are taken over byte for byte. What is not understood stops the whole note: nothing is written.

    \b
    For whom   a stem, with or without its ending ("quoted" if its name is odd), a role,
               drums, music or vocals, all or everything, "everything but the piano";
               before a colon, or anywhere: "less harsh on the hats"
    What       a word with more, less, too, not so or not enough, or a form that says
               more by itself (brighter, louder); several with a comma, "and" or "but"
    How much   a touch (a quarter), a little (half), nothing (1), a lot (2); "but subtle" halves;
               "bite +2 dB" sets the word's largest move; "+2 dB" alone is level
    Between    a semicolon, a full stop or a new line, before the next stem

    The words: stemwright words list. Notes add up, and a later "less bite" turns the same move down. They stay with the
    song: a later prep puts them on top of its recipes' moves. Exit code 1 if a stem's notes exceed 9 dB in one band.
    """  # noqa: D301 - the \b is click's mark for "do not rewrap"
    from stemwright.passes.make import Maker  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.passes.note import answer, plan_note  # noqa: PLC0415
    from stemwright.passes.song import open_song  # noqa: PLC0415

    opened = open_song(song)
    with workers(jobs) as executor:
        plan = plan_note(opened, text, by, recipe_dirs, executor)
        if plan_only:
            show_json(plan.as_json()) if as_json else show_plan(plan)
            return int(bool(plan.flagged))
        with progress(len(plan.items), "stems done") as count:
            made = answer(plan, Maker(executor, count))
        if not no_page:
            page_after(opened, made, executor)
    if as_json:
        done = {"pass": made.name, "rendered": list(made.rendered), "taken_over": list(made.taken_over)}
        show_json({**plan.as_json(), **done})
    else:
        show_plan(plan)
        show_made(plan, made)
    return int(bool(plan.flagged or made.failed))


def show_plan(plan: NotePlan) -> None:
    """Print what was understood, and what it changes, stem by stem."""
    for stem in dict.fromkeys(each.stem for each in plan.answered):
        show(f"{stem}:")
        for each in plan.answered:
            if each.stem == stem:
                show(f"    {each.words}")
        for line in plan.moves(stem) or ["nothing changes"]:
            show(f"    -> {line}")
    for line in plan.passed_over:
        show(f"passed over: {line}")
    for line in plan.flagged:
        show(f"warn  {line}")
    new = sorted(set(plan.song.stems) - {item.stem for item in plan.items})
    if new:
        show(f"not in {plan.last.name}, so not touched: {', '.join(new)}; stemwright prep takes them in")


def show_made(plan: NotePlan, made: Made) -> None:
    """Print what was rendered, what was taken over, and where the pass is."""
    if made.name is None:
        show(f"Nothing differs from {made.manifest.name}, so there is no new pass.")
        return
    entries = made.manifest.entries
    for stem in made.rendered:
        for line in entries[stem]["said"]:
            show(f"{stem}: {line}")
    for entry in made.failed:
        show(f"{entry['stem']}: failed, {entry['why']}")
    whole = len(made.rendered) + len(made.taken_over)
    taken = f"{len(made.taken_over)} of {whole} taken over from {plan.last.name} byte for byte"
    show(f"{made.name}: {len(made.rendered)} rendered, {taken}")
    show(f"in {plan.song.passes_dir / made.name}")
