"""The note command: an approver's words, answered with a new pass."""

from __future__ import annotations

import os
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from stemwright.cli.console import progress, show, show_json, workers
from stemwright.cli.many import AskedSongs, asked_songs, run_many
from stemwright.cli.options import open_option, page_option, recipes_option
from stemwright.cli.report import page_after, show_page, sum_after

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.handover.sum_story import SumStory
    from stemwright.passes.make import Made
    from stemwright.passes.note import NotePlan


class _NoteCommand(click.Command):
    """Takes a text that begins with a dash, as a list does, for a text."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put such a text behind ``--``, where click looks for no options."""
        takes_value = {
            name for each in self.params if isinstance(each, click.Option) and not each.is_flag for name in each.opts
        }
        if "--" not in args:
            texts = [
                arg
                for before, arg in zip(["", *args], args, strict=False)
                if re.match(r"-(?!-)(?=.*\s|\d|.*:)", arg, re.DOTALL) and before not in takes_value
            ]
            args = [*(arg for arg in args if arg not in texts), *(["--", *texts] if texts else [])]
        return super().parse_args(ctx, args)


@click.command(cls=_NoteCommand)
@click.option(
    "--from",
    "source",
    type=click.File(encoding="utf-8"),
    metavar="FILE",
    help="Read the note from a file; - is standard input.",
)
@click.option(
    "--by",
    metavar="WHO",
    help='Whose note it is: their own words count first, and "my guitar" is theirs. The session sheet\'s approver by default.',
)
@click.option("--plan", "plan_only", is_flag=True, help="Print what was understood and what would change, and stop.")
@recipes_option
@page_option
@open_option
@asked_songs(click.argument("songs", metavar="SONG... [TEXT]", nargs=-1))
def note(  # noqa: PLR0913 - one parameter for each option
    asked: AskedSongs,
    source: TextIO | None,
    by: str | None,
    recipe_dirs: Sequence[Path],
    *,
    plan_only: bool,
    no_page: bool,
    opened: bool,
) -> int:
    """Answer a note on the newest pass of SONG: a new pass in which nothing else has moved.

    TEXT says for whom, then what: "piano: a little more bite, but subtle; hats less harsh". The stems it is about are
    rendered, all others are taken over byte for byte. What is not understood stops the whole note unless it
    leaves no doubt as a whole: nothing is written then, and what it may mean is offered.

    \b
    For whom   a stem, with or without its ending ("quoted" if its name is odd), a role,
               drums, music or vocals, all or everything, "everything but the piano";
               before a colon, or anywhere: "less harsh on the hats"
    What       a word with more, less, too, not so or not enough, or a form that says
               more by itself (brighter, louder); a fault by its name ("hats are harsh");
               Hz and dB as they stand: "kick -3 at 250", "high-pass the guitars at 120";
               "ride the vocal": its phrases towards each other
    Back       undo that; hats like before; half of that on the piano; take the notch off
               the snare; back to pass 2 for the drums; don't touch the 808
    How much   a touch (half), a little (0.7), nothing (1), a lot (2), and never less than
               1 dB where the stem sounds; "bite +2 dB" sets the word's largest move
    Where      in the hook, in bars 21-28, from 0:45 to 1:10, at 1:02 (a second to either
               side): made there only; sections, tempo and bar one stand in session.yaml
    Between    a new line or bullet, a semicolon, a full stop, a comma, "and", "but"

    The words: stemwright words list. Notes add up, and a later "less bite" turns the same move down. They stay with the
    song: a later prep puts them on top of its recipes' moves. Exit code 1 if a stem's notes exceed 9 dB in one band.
    With more than one SONG, each is given the same note; one that it does not fit is named, and the rest goes on.
    """  # noqa: D301 - the \b is click's mark for "do not rewrap"
    from stemwright.passes.make import Maker  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.passes.note import answer, plan_note  # noqa: PLC0415
    from stemwright.passes.song import open_song  # noqa: PLC0415

    asked, text = _songs_and_text(asked, from_file=source is not None)
    song, as_json = asked.one, asked.as_json
    said = _one_text(text, source)
    if song is None:
        from stemwright.catalogue.work import Note  # noqa: PLC0415

        return run_many(
            asked,
            lambda executor: Note(
                executor=executor, text=said, by=by, recipe_dirs=recipe_dirs, plan_only=plan_only, page=not no_page
            ),
        )
    folder = open_song(song)
    with workers(asked.jobs, asked.on, [song]) as executor:
        plan = plan_note(folder, said, by, recipe_dirs, executor)
        if plan_only:
            show_json(plan.as_json()) if as_json else show_plan(plan)
            return int(bool(plan.flagged))
        with progress(len(plan.items), "stems done") as count:
            made = answer(plan, Maker(executor, count))
        in_sum = sum_after(folder, made, executor, plan.last)
        page = None if no_page else page_after(folder, made, executor, in_sum=in_sum)
    if as_json:
        done = {"pass": made.name, "rendered": list(made.rendered), "taken_over": list(made.taken_over)}
        show_json({**plan.as_json(), **done, "sum": in_sum and in_sum.as_json()})
    else:
        show_plan(plan)
        show_made(plan, made, in_sum)
    show_page(page, opened=opened, as_json=as_json)
    return int(bool(plan.flagged or made.failed))


def _songs_and_text(asked: AskedSongs, *, from_file: bool) -> tuple[AskedSongs, tuple[str, ...]]:
    """Tell songs from texts: the first is a song, and so is any further one but the last that is a folder or a path."""
    words = [str(word) for word in asked.songs]
    last = len(words) if from_file else max(len(words) - 1, 0 if asked.many else 1)
    first = 0 if asked.many else 1
    songs = [number < first or Path(word).is_dir() or os.sep in word for number, word in enumerate(words[:last])]
    texts = [word for word, is_song in zip(words, [*songs, *[False] * len(words)], strict=False) if not is_song]
    return replace(asked, songs=tuple(Path(word) for word, is_song in zip(words, songs, strict=False) if is_song)), tuple(
        texts
    )


def _one_text(text: tuple[str, ...], source: TextIO | None) -> str:
    if len(text) > 1:
        unknown = next((each for each in text if each.startswith("--")), None)
        what = f"no such option: {unknown}" if unknown else f"a note is one text, not {len(text)}; put it in quotes"
        raise click.UsageError(what)
    if bool(text) == (source is not None):
        raise click.UsageError("write the note as TEXT, or give a file with --from FILE (one of the two)")
    if source is None:
        return text[0]
    try:
        return source.read()
    except UnicodeDecodeError as error:
        raise click.UsageError(f"--from {source.name}: not text in UTF-8 ({error.reason})") from error


def show_plan(plan: NotePlan) -> None:
    """Print what was understood, and what it changes, stem by stem."""
    for line in plan.took_in:
        show(f"took in: {line}")
    for stem in dict.fromkeys([*(each.stem for each in plan.answered), *plan.changed]):
        show(f"{stem}:")
        for each in plan.answered:
            if each.stem == stem:
                show(f"    {each.words}")
        for line in plan.moves(stem) or ["nothing changes"]:
            show(f"    -> {line}")
        for line in plan.heard(stem):
            show(f"    = {line}")
    for line in plan.remarks:
        show(line)
    new = sorted(set(plan.song.stems) - {item.stem for item in plan.items})
    if new:
        show(f"not in {plan.last.name}, so not touched: {', '.join(new)}; stemwright prep takes them in")


def show_made(plan: NotePlan, made: Made, in_sum: SumStory | None) -> None:
    """Print what was rendered, what was taken over, what became of the sum, and where the pass is."""
    if made.name is None:
        show(f"Nothing differs from {made.manifest.name}, so there is no new pass.")
        return
    entries = made.manifest.entries
    for stem in made.rendered:
        for line in entries[stem].messages:
            show(f"{stem}: {line}")
    for entry in made.failed:
        show(f"{entry.stem}: failed, {entry.item.why}")
    whole = len(made.rendered) + len(made.taken_over)
    taken = f"{len(made.taken_over)} of {whole} taken over from {plan.last.name} byte for byte"
    from stemwright.passes.story import story_of  # noqa: PLC0415 - nothing heavy before --help has answered

    show(story_of(made.manifest, plan.last).sentence)
    for line in in_sum.lines if in_sum else ():
        show(line)
    show(f"{made.name}: {len(made.rendered)} rendered, {taken}")
    show(f"in {plan.song.passes_dir / made.name}")
