"""Learn: what a person's words turned out to mean, read off an approved pass, for that person's next note.

Conventions
-----------
A word said as "more", and turned down to half by later notes until the pass was approved, means half as much to this person.
What was asked for in dB says nothing about the word, and a word that was taken back, or turned round, teaches nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from stemwright.errors import SongError
from stemwright.recipes.folders import display, read_file
from stemwright.recipes.moves import Move
from stemwright.recipes.problems import Problems
from stemwright.recipes.words import Meaning, Vocabulary, Word, WordError
from stemwright.recipes.words_library import FOLDER
from stemwright.recipes.words_reading import MOST_DB, read_words
from stemwright.recipes.words_writing import HEADER, write_words
from stemwright.stems.names import split_words
from stemwright.stems.whole import write_whole

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stemwright.passes.manifest import Manifest
    from stemwright.plan.items import PlannedMove


@dataclass(frozen=True, kw_only=True)
class Lesson:
    """What one word came to for one role.

    ``factor`` is the amount approved over the amount first asked for; ``skipped`` says why nothing was learned.
    """

    word: str
    role: str
    family: str | None
    stems: tuple[str, ...]
    factor: float | None = None
    meaning: Meaning | None = None
    said: tuple[str, ...] = ()
    skipped: str = ""


def lessons(manifest: Manifest, by: str) -> list[Lesson]:
    """Read off a pass what a person's words came to.

    Parameters
    ----------
    manifest : Manifest
        The approved pass.
    by : str
        Who said the words first.

    Returns
    -------
    list of Lesson
        One a word and role, those that teach nothing included.
    """
    families: dict[str, str | None] = {}
    groups: dict[tuple[str, str], list[tuple[str, list[PlannedMove]]]] = {}
    for item in manifest.items():
        words = dict.fromkeys(move.note.word for move in item.moves if move.note is not None and _first_by(move, by))
        families[item.role or ""] = item.family
        for word in words:
            moves = [move for move in item.moves if move.note is not None and move.note.word == word and _first_by(move, by)]
            groups.setdefault((word, item.role or ""), []).append((item.stem, moves))
    return [replace(_lesson(word, role, found), family=families[role]) for (word, role), found in groups.items()]


def _first_by(move: PlannedMove, by: str) -> bool:
    return (
        move.note is not None and move.note.said[0].by is not None and split_words(move.note.said[0].by) == split_words(by)
    )


def _lesson(word: str, role: str, found: Sequence[tuple[str, list[PlannedMove]]]) -> Lesson:
    marks = [(stem, moves[0].note) for stem, moves in found if moves[0].note is not None]
    said = tuple(dict.fromkeys(each.text for _, mark in marks for each in mark.said))
    plain = Lesson(word=word, role=role, family=None, stems=tuple(stem for stem, _ in marks), said=said)
    if not role:
        return replace(plain, skipped="the stem has no role, so it is not known what the word would be said of")
    if any(each.exact for _, mark in marks for each in mark.said[:1]):
        return replace(plain, skipped="it was asked for in dB, which says nothing about the word")
    factors = [mark.amount / mark.said[0].amount for _, mark in marks]
    if min(factors) <= 0:
        return replace(plain, skipped="later notes turned it round, so it was another word that was meant")
    factor = sum(factors) / len(factors)
    moves = found[0][1]
    if moves[0].found is not None:
        # For rings the mark counts in shares of the excess, so the factor is the share for a plain "more".
        return replace(plain, factor=factor, meaning=Meaning(to=(role,), rings_percent=_percent(factor)))
    if len({tuple(sorted(_base(move).items())) for _, each in found for move in each}) > len(moves):
        return replace(plain, skipped="it means different moves on these stems; approve them one by one")
    scaled = tuple(_scaled(move, factor) for move in moves)
    return replace(plain, factor=factor, meaning=Meaning(to=(role,), moves=scaled))


def _percent(share: float) -> float:
    return round(min(100.0, max(1.0, abs(share) * 100.0)), 1)


def _base(move: PlannedMove) -> dict[str, float]:
    assert move.note is not None  # noqa: S101 - only notes' moves are looked at
    return {**move.settings, "gain_db": move.note.base_db}


def _scaled(move: PlannedMove, factor: float) -> Move:
    gain_db = round(min(MOST_DB, max(-MOST_DB, _base(move)["gain_db"] * factor)), 2) or 0.01
    return Move(move.kind, move.kind, "", off=False, settings={**move.settings, "gain_db": gain_db})


def learn(found: Sequence[Lesson], by: str, folder: Path, vocabulary: Vocabulary, source: str) -> tuple[Path, list[Lesson]]:
    """Write what was learned into a person's words.

    Parameters
    ----------
    found : sequence of Lesson
    by : str
        Whose words.
    folder : Path
        A folder of recipes, or a song: the file goes into its ``words`` folder.
    vocabulary : Vocabulary
        The words in reach for this person.
    source : str
        From which song and pass, for the reason written beside each word.

    Returns
    -------
    path, learned : Path, list of Lesson
        Lessons that say what the person's words say already are left out; with none, no file is written.

    Raises
    ------
    SongError
        If the file cannot be written, or has comments that would be lost.
    RecipeError
        If the file that is there has problems.
    """
    path = folder / FOLDER / f"{_file_name(by)}.yaml"
    words = {word.name: word for word in _existing(path)}
    # What another folder says for this person is not known where this folder is all there is.
    everybody = [word for known in vocabulary.words.values() for word in known if word.by is None]
    here = Vocabulary([*words.values(), *everybody])
    learned = [each for each in found if each.meaning is not None and not _known(each, here)]
    for each in learned:
        words[each.word] = _merged(words.get(each.word), each, vocabulary, source)
    if learned:
        _write(path, write_words(by, words.values()))
    return path, learned


def _known(lesson: Lesson, vocabulary: Vocabulary) -> bool:
    """Whether the words in reach for this person say the same already."""
    try:
        known = vocabulary.understand(lesson.word, lesson.role, lesson.family)
    except WordError:
        return False
    if lesson.meaning is None or known.sign < 0:
        return False
    plain = [[(move.kind, move.settings) for move in meaning.moves] for meaning in (known.meaning, lesson.meaning)]
    return plain[0] == plain[1] and known.meaning.rings_percent == lesson.meaning.rings_percent


def _merged(word: Word | None, lesson: Lesson, vocabulary: Vocabulary, source: str) -> Word:
    assert lesson.meaning is not None  # noqa: S101 - the caller looked
    known = vocabulary.words.get(lesson.word, [])
    opposite = next((each.opposite for each in known if each.opposite), None)
    why = f"learned from {source}, where x{lesson.factor:.3g} was approved after: {'; '.join(lesson.said)}"[:1500]
    base = word or Word(name=lesson.word, why=why, opposite=opposite)
    others = tuple(
        replace(each, to=tuple(to for to in each.to if to != lesson.role))
        for each in base.means
        if each.to != (lesson.role,)
    )
    return replace(base, why=why, means=(*others, lesson.meaning))


def _existing(path: Path) -> list[Word]:
    if not path.exists():
        return []
    problems = Problems()
    text = read_file(path, display(path), problems)
    words = read_words(text, display(path), "", problems) if text is not None else []
    problems.raise_any()
    comments = [line for line in (text or "").splitlines() if line.lstrip().startswith("#") and line.strip() != HEADER]
    if comments:
        raise SongError(
            f"{display(path)}: has comments, which would be lost; take them out, or write to another folder with --to"
        )
    return words


def _write(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, [text.encode("utf-8")])
    except OSError as error:
        raise SongError(f"{display(path)}: cannot be written ({error.strerror}); nothing was changed") from error


def _file_name(by: str) -> str:
    name = "-".join(split_words(by))
    if not re.search(r"\w", name):
        raise SongError(f"--by {by!r}: no letter or digit in it; write a name")
    return name[:100]
