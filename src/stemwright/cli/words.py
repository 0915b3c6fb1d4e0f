"""The words command: what approvers' words mean, and what a person's turned out to mean."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stemwright.cli.console import show, show_json, table
from stemwright.cli.options import json_option, recipes_option, song_argument

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.recipes.words import Meaning, Understood, Vocabulary, Word

song_option = click.option(
    "--song", type=click.Path(path_type=Path), metavar="SONG", help="Search this song's own words first."
)
by_option = click.option("--by", metavar="WHO", help="This person's own words count first.")


@click.group()
def words() -> None:
    """List and explain the words of notes, and learn a person's own.

    Words stand in words/*.yaml and are searched in this order: the song's own (SONG/words), the words folder of each
    --recipes DIR and of the folders in STEMWRIGHT_RECIPES, the house's. A person's words (by: WHO) come before all of
    them, for that person's notes.
    """


@words.command("list")
@recipes_option
@song_option
@by_option
@json_option
def list_words(recipe_dirs: Sequence[Path], song: Path | None, by: str | None, *, as_json: bool) -> int:
    """List every word in reach, its other forms, its opposite and the reason behind it."""
    vocabulary = _vocabulary(song, recipe_dirs, by)
    first = [found[0] for _, found in sorted(vocabulary.words.items())]
    if as_json:
        show_json([_as_data(word) for word in first])
        return 0
    rows = [[word.name, ", ".join((*word.more, *word.also)), word.opposite or "-", word.source, word.why] for word in first]
    table(["word", "other forms", "opposite", "whose", "what is heard"], rows)
    return 0


@words.command()
@click.argument("word")
@click.option("--role", metavar="R", help="What it means for this role, such as piano.")
@recipes_option
@song_option
@by_option
@json_option
def explain(  # noqa: PLR0913 - one parameter for each option
    word: str, role: str | None, recipe_dirs: Sequence[Path], song: Path | None, by: str | None, *, as_json: bool
) -> int:
    """Say what a WORD means in moves, per role and family, and why.

    The moves are those of a plain "more"; amounts scale them, and "less" turns them round.
    """
    from stemwright.recipes.folders import search_dirs  # noqa: PLC0415 - nothing heavy before --help
    from stemwright.recipes.library import load_library  # noqa: PLC0415 - nothing heavy before --help
    from stemwright.recipes.session import with_sheet_dirs  # noqa: PLC0415

    vocabulary = _vocabulary(song, recipe_dirs, by)
    found = vocabulary.get(word)
    if role is not None:
        song = _opened(song)
        library = load_library(search_dirs(song, with_sheet_dirs(song, recipe_dirs)))
        recipe = library.recipes.get(role)
        family = (
            recipe.family
            if recipe is not None
            else next((r.family for r in library.recipes.values() if r.role == role), None)
        )
        if recipe is None and role not in {one.role for one in library.recipes.values()}:
            library.get(role)
        meant = vocabulary.understand(found[0].name, recipe.role if recipe else role, family)
        if as_json:
            show_json({"word": found[0].name, "role": role, "is": meant.name, "sign": meant.sign, "whose": meant.source,
                       "why": meant.why, **_meaning_data(meant.meaning)})  # fmt: skip
            return 0
        _show_understood(found[0].name, role, meant)
        return 0
    if as_json:
        show_json([_as_data(each) for each in found])
        return 0
    for each in found:
        show(f"{each.name} ({each.source}, {each.file}): {each.why}")
        forms = ", ".join((*each.more, *each.also))
        show(f"  also: {forms}") if forms else None
        show(f"  opposite: {each.opposite}") if each.opposite else None
        for meaning in each.means:
            show(f"  {', '.join(meaning.to) or 'every other stem'}: {_in_short(meaning)}")
        if not each.means:
            show(f"  turns {each.opposite} round")
    return 0


@words.command()
@song_argument
@click.argument("pass_name", metavar="PASS")
@click.option("--by", required=True, metavar="WHO", help="Whose words to learn.")
@click.option(
    "--to", "to", type=click.Path(path_type=Path), metavar="DIR", help="A folder of recipes to write into; SONG by default."
)
@recipes_option
@json_option
def learn(song: Path, pass_name: str, by: str, to: Path | None, recipe_dirs: Sequence[Path], *, as_json: bool) -> int:  # noqa: PLR0913
    """Write what WHO's words turned out to mean, once PASS of SONG was approved.

    A word that WHO asked for, and that later notes turned up or down until PASS, means that much to WHO from now on.
    The file is DIR/words/WHO.yaml; with a folder of the team's own recipes as DIR it serves every song.
    """
    from stemwright.notes.language import checked_name  # noqa: PLC0415
    from stemwright.passes import learn as learning  # noqa: PLC0415 - nothing heavy before --help has answered
    from stemwright.passes.history import read_pass  # noqa: PLC0415
    from stemwright.passes.song import open_song  # noqa: PLC0415

    by = checked_name(by) or ""
    opened = open_song(song)
    manifest = read_pass(opened, pass_name)
    vocabulary = _vocabulary(opened.folder, recipe_dirs, by)
    found = learning.lessons(manifest, by)
    folder = to or opened.folder
    path, learned = learning.learn(found, by, folder, vocabulary, f"{opened.folder.name} {manifest.name}")
    if as_json:
        rows = [{"word": each.word, "role": each.role, "stems": list(each.stems), "factor": each.factor, "skipped": each.skipped,
                 "learned": each in learned} for each in found]  # fmt: skip
        show_json({"by": by, "file": str(path) if learned else None, "lessons": rows})
        return 0
    for each in found:
        what = f"{each.word} on {each.role or ', '.join(each.stems)}"
        if each.meaning is None:
            show(f"{what}: nothing learned, {each.skipped}")
        elif each in learned:
            show(f"{what}: x{each.factor:.3g} of what was asked for; from now on {_in_short(each.meaning)}")
        else:
            show(f"{what}: as the words for {by} have it already")
    if not found:
        show(f"{manifest.name} has no word of {by}'s in it.")
    show(f"written to {path}" if learned else "Nothing was written.")
    return 0


def _opened(song: Path | None) -> Path | None:
    from stemwright.passes.song import open_song  # noqa: PLC0415 - only where there is a song

    return None if song is None else open_song(song).folder


def _vocabulary(song: Path | None, recipe_dirs: Sequence[Path], by: str | None) -> Vocabulary:
    from stemwright.recipes.session import with_sheet_dirs  # noqa: PLC0415 - yaml only when it is needed
    from stemwright.recipes.words_library import load_vocabulary, words_dirs  # noqa: PLC0415

    song = _opened(song)
    return load_vocabulary(words_dirs(song, with_sheet_dirs(song, recipe_dirs)), by)


def _in_short(meaning: Meaning) -> str:
    from stemwright.plan.wording import describe  # noqa: PLC0415

    if meaning.rings_percent is not None:
        return f"{meaning.rings_percent:g} % of each ring's excess"
    return " · ".join(describe(move.kind, move.settings) for move in meaning.moves)


def _show_understood(name: str, role: str, meant: Understood) -> None:
    turned = "" if meant.sign > 0 else f"{meant.name} turned round, "
    show(f"{name} on {role} ({meant.source}): {turned}{_in_short(meant.meaning)}")
    show(f"  {meant.why}")


def _meaning_data(meaning: Meaning) -> dict[str, Any]:
    moves = [{"kind": move.kind, **move.settings} for move in meaning.moves]
    return {"to": list(meaning.to), "moves": moves, "rings_percent": meaning.rings_percent}


def _as_data(word: Word) -> dict[str, Any]:
    return {
        "word": word.name,
        "why": word.why,
        "opposite": word.opposite,
        "also": list(word.also),
        "more": list(word.more),
        "by": word.by,
        "source": word.source,
        "file": word.file,
        "means": [_meaning_data(meaning) for meaning in word.means],
    }
