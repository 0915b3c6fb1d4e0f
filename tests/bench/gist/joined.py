"""Join short notes on one song into longer ones, as people send what came to their mind: lists, lines, one sentence after another.

What is meant follows from the parts: each is about other stems than the others, and what is somebody else's work stays so. Written
notes hold too few lists for a network to learn from them where one thing ends and the next begins.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

from written import Note, Song

if TYPE_CHECKING:
    from collections.abc import Iterable

SHORT = 90  # characters
OPENING = (
    "", "", "", "ok so:", "hi! a few things:", "notes:", "Thanks for this. My list:", "couple of things", "listened twice now.",
)  # fmt: skip
LINES = ("\n- ", "\n* ", "\n\u2022 ", "\n", "\n\n")
IN_A_ROW = (". ", ". ", ". Also ", ". And ", "; ", ", ", " and ", ", also ", " / ", "... ")
APART = ("approval", "unclear", "back")  # kinds that say nothing of their own beside others


def joined(every: Iterable[Song], count: int, seed: int) -> list[Song]:
    """Return ``count`` notes made of others, on the songs of those."""
    dice = random.Random(seed)
    found: list[Song] = []
    usable = [(song, [note for note in song.notes if _is_usable(note)]) for song in every]
    usable = [(song, notes) for song, notes in usable if len(notes) > 3]
    for _ in range(count // 10):
        song, notes = dice.choice(usable)
        found.append(Song(song.stems, tuple(_joined(notes, dice) for _ in range(10))))
    return found


def _is_usable(note: Note) -> bool:
    return note.kind not in APART and len(note.readings) == 1 and len(note.text) <= SHORT and "\n" not in note.text


def _joined(notes: list[Note], dice: random.Random) -> Note:
    parts: list[Note] = []
    for note in dice.sample(notes, min(len(notes), dice.choice((2, 2, 3, 3, 4, 5)))):
        if not _stems(note) & {stem for part in parts for stem in _stems(part)}:
            parts.append(note)
    asks = any(part.kind == "asks" for part in parts)
    return Note(
        _text([part.text for part in parts], dice),
        "asks" if asks else "elsewhere",
        (tuple(want for part in parts for want in part.readings[0]),),
    )


def _stems(note: Note) -> set[str]:
    return {stem for stems, _ in note.readings[0] for stem in stems}


def _text(parts: list[str], dice: random.Random) -> str:
    how = dice.random()
    if how < 0.2:
        mark = dice.choice(("{}. ", "{}) ", "{}: "))
        return dice.choice(OPENING) + "".join(f"\n{mark.format(number)}{part}" for number, part in enumerate(parts, 1))
    if how < 0.5:
        mark = dice.choice(LINES)
        return (dice.choice(OPENING) + "".join(mark + part for part in parts)).strip("\n")
    text = parts[0]
    for part in parts[1:]:
        text = text.rstrip(".!") + dice.choice(IN_A_ROW) + (part if dice.random() < 0.5 else part[:1].lower() + part[1:])
    return text
