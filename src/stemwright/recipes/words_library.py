"""The words in reach: every words file of the folders, in their search order, as one vocabulary for one person."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from stemwright.recipes.folders import ENDINGS, RecipeFolderError, display, house_dir, read_file, search_dirs
from stemwright.recipes.problems import MOST_PER_FILE, Problems, hint, shown
from stemwright.recipes.words import FALLBACK_SOURCE, Vocabulary
from stemwright.recipes.words_reading import read_words
from stemwright.stems.limits import MOST_FILES
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.recipes.grammar import Phrase
    from stemwright.recipes.words import Word

FOLDER = "words"


def words_dirs(song_dir: Path | None, extra: Sequence[Path]) -> tuple[tuple[str, Path], ...]:
    """Return the folders to search for words, first one first, each with what to call it.

    Parameters
    ----------
    song_dir : Path or None
        The song, whose ``words`` folder comes first if there is one.
    extra : sequence of Path
        Folders asked for by ``--recipes``, whose ``words`` folders follow; then those of ``STEMWRIGHT_RECIPES``, then the
        house's.

    Raises
    ------
    RecipeFolderError
        If a folder that was asked for is not there.
    """
    own = [("the song", song_dir / FOLDER)] if song_dir is not None else []
    shared = [
        (FALLBACK_SOURCE if folder.resolve() == house_dir().resolve() else folder.resolve().name, folder / FOLDER)
        for folder in search_dirs(None, extra)
    ]
    return tuple((name, folder) for name, folder in (*own, *shared) if folder.is_dir())


def load_vocabulary(dirs: Sequence[tuple[str, Path]], by: str | None = None) -> Vocabulary:
    """Read every words file of the folders; all are checked, whoever's they are.

    Parameters
    ----------
    dirs : sequence of (str, Path)
        From `words_dirs`.
    by : str, optional
        Whose own words are read before everybody's.

    Returns
    -------
    Vocabulary

    Raises
    ------
    RecipeError
        With every problem of every file.
    """
    problems = Problems()
    layers = [_read_dir(name, folder, problems) for name, folder in dirs]
    everybody = [word for layer in layers for word in layer if word.by is None]
    for layer in layers:
        for who in dict.fromkeys(word.by for word in layer):
            _check_layer([word for word in layer if word.by == who], problems)
    for who in dict.fromkeys(word.by for layer in layers for word in layer):
        own = [word for layer in layers for word in layer if word.by == who] if who is not None else []
        _check_opposites([*own, *everybody], own if who is not None else everybody, problems)
    problems.raise_any()
    mine = [word for layer in layers for word in layer if by is not None and _same(word.by, by)]
    return Vocabulary([*mine, *everybody])


def _same(who: str | None, asked: str) -> bool:
    return who is not None and split_words(who) == split_words(asked)


def _read_dir(name: str, folder: Path, problems: Problems) -> list[Word]:
    try:
        paths = sorted(path for path in folder.iterdir() if path.suffix.lower() in ENDINGS and not path.name.startswith("."))
    except OSError as error:
        raise RecipeFolderError(f"{folder}: cannot be listed ({error.strerror}); check its permissions") from error
    if len(paths) > MOST_FILES:
        raise RecipeFolderError(f"{folder}: {len(paths)} files of words; allowed: {MOST_FILES}")
    words: list[Word] = []
    for path in paths:
        label = display(path)
        problems.begin(label)
        text = read_file(path, label, problems)
        words += [] if text is None else read_words(text, label, name, problems)
    return words


def _check_layer(layer: Sequence[Word], problems: Problems) -> None:
    """Note a word that is defined twice in one folder, and a form that two words claim."""
    names: dict[str, Word] = {}
    forms: dict[Phrase, Word] = {}
    for word in layer:
        first = names.setdefault(word.name, word)
        if first is not word:
            message = f"defined twice, also in {Path(first.file).name}; keep one"
            problems.add(word.file, word, f"words.{shown(word.name)}", message)
            continue
        for form in dict.fromkeys(split_words(text) for text in (word.name, *word.also, *word.more)):
            other = forms.setdefault(form, word)
            if other is not word:
                message = f"{shown(' '.join(form))} is a form of {shown(other.name)} already; keep it in one of them"
                problems.add(word.file, word, f"words.{shown(word.name)}", message)


def _check_opposites(reach: Sequence[Word], own: Sequence[Word], problems: Problems) -> None:
    """Note an opposite that is no word, and words that only turn each other round."""
    names = {word.name for word in reach}
    meant = {word.name for word in reach if word.means}
    defined: dict[str, str | None] = {}
    for word in reach:
        if word.name in meant:
            defined[word.name] = None
        elif word.opposite is not None:
            defined.setdefault(word.name, word.opposite)
    circles = _circles(defined)
    reported: set[str] = set()
    unknown = 0
    for word in own:
        where = f"words.{shown(word.name)}.opposite"
        if word.opposite is not None and word.opposite not in names:
            unknown += 1  # no more are shown, and a hint takes its time
            near = hint(word.opposite, sorted(names)) if unknown <= MOST_PER_FILE else "correct it"
            problems.add(word.file, word, where, f"no such word ({shown(word.opposite)}); {near}")
            continue
        circle = circles.get(word.name)
        if circle and circle[0] not in reported:
            reported.update(circle)
            chain = " -> ".join(shown(name) for name in (*circle, circle[0]))
            problems.add(word.file, word, where, f"a circle ({chain}); one of them needs means")


def _circles(defined: dict[str, str | None]) -> dict[str, list[str]]:
    """Return the circle that each word ends in by following opposites; every word is walked over once."""
    ends: dict[str, list[str]] = {}
    for name in defined:
        path: dict[str, int] = {}
        current: str | None = name
        while current is not None and current not in path and current not in ends:
            path[current] = len(path)
            current = defined.get(current)
        circle: list[str] = []
        if current in ends:
            circle = ends[current]
        elif current is not None:
            circle = list(path)[path[current] :]
        ends.update(dict.fromkeys(path, circle))
    return ends
