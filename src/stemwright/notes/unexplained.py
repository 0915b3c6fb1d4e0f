"""Unexplained: the words of a clause that no reading of it accounts for, and the help a person gets with one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.notes.frames import PieceError
from stemwright.recipes.problems import shown

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.asking import Told
    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.subjects import Subjects
    from stemwright.recipes.words import Vocabulary

ASKING = ("direction", "turn", "take", "want", "strong", "lack", "enough", "guard")
FURTHEST = 3  # words between a preposition and the noun that nobody knows


def circumstance(items: Sequence[Item]) -> list[Item]:
    """Return a clause without what only tells why, when or like what, if something is asked before it."""
    for at, item in enumerate(items):
        tail = (
            (
                item.has("reason")
                or item.has("like")
                or (item.text in ("when", "where", "so", "as", "while") and item.has("reason", "talk", "like", "and"))
            )
            and not item.has("before", "room", "image")
            and item.text != "than"
        )
        if tail and at and _says_enough(items[:at]) and not _answers(items[at:]):
            return list(items[:at])
    return list(items)


def _says_enough(items: Sequence[Item]) -> bool:
    return any(
        item.quality is not None
        or (item.has("turn") and not item.has("is"))
        or (item.figure is not None and item.figure.unit != "q")
        for item in items
    )


def _answers(items: Sequence[Item]) -> bool:
    return any(
        item.figure is not None
        or item.has("elsewhere", "section", "before", "undo", "pass", "less than last", "cover", "under")
        for item in items
    ) or (
        any(item.names for item in items)
        and items[0].has("reason")
        and items[0].text in ("than", "compared to", "as soon as")
    )


def unexplained(clause: Clause, subjects: Subjects, *, asked: bool) -> list[Item]:
    """Return the words that nobody knows and that may change what is meant."""
    left = []
    items = clause.items
    for at, item in enumerate(items):
        if not item.unknown:
            continue
        if item.text.endswith("ly") or len(item.text) == 1 or item.text.isdigit():
            continue
        nearby = items[max(0, at - FURTHEST) : at]
        placed = any(each.has("place") for each in nearby)
        if asked and placed and subjects.explicit and _named_before_or_after(items, at):
            continue
        beside = [*items[at + 1 : at + 2], *items[max(0, at - 1) : at]]
        if asked and len(subjects.stems) <= 2 and any(each in subjects.items for each in beside):
            continue
        left.append(item)
    return left


def asks_for_something(clause: Clause, told: Told) -> bool:
    """Whether a clause without a known word of sound asks for something after all."""
    asking = any(item.has(*ASKING) or item.kind in ("figure", "sign") for item in told.items)
    if told.subjects.explicit or clause.heads:
        return True  # a word nobody knows, said of a stem: never passed over
    return asking and any(item.has("direction", "take", "strong") for item in told.items)


def say_what(clause: Clause, told: Told) -> None:
    """Refuse a clause that asks for something, and nobody can tell for what.

    Raises
    ------
    PieceError
    """
    items, text = told.items, told.text
    if any(item.quality is not None for item in items) or not (told.subjects.explicit or clause.heads):
        return
    vague = next((item for item in items if item.has("ask")), None)
    if vague is not None:
        heard = "say what is heard (harsh, boomy, dull, thin, too loud ...)"
        raise PieceError(f"{vague.text}: something is to change, and not what; {heard}", "what")
    if any(item.has("filter") and item.value("filter") in ("high_pass", "low_pass") for item in items):
        raise PieceError(f"at which frequency? write it, as in {text} at 100 Hz")
    take = next(
        (item for item in items if item.has("take", "strong") and not item.has("is", "want", "amount", "move")), None
    )
    if take is not None:
        raise PieceError(f"{take.text} what of it? say what is heard: {text}, less harsh; {text}, quieter")
    asked = any(item.has("direction", "turn") and not item.has("is", "amount", "place") for item in items)
    if asked and not any(item.has("neg", "guard", "praise") for item in items):
        raise PieceError(f"more or less of what? say it, as in {text}, less harsh; {text}, 1 dB quieter")


def _named_before_or_after(items: Sequence[Item], at: int) -> bool:
    return any(item.names for item in items[:at]) or any(item.names for item in items[at + 1 :])


def help_with(word: str, vocabulary: Vocabulary) -> str:
    """Return what a person can do about a word that nobody knows."""
    near = near_words(word, vocabulary)
    meant = f"could be: {', '.join(near)}; " if near else ""
    return f"{shown(word)}: no word that is known; {meant}all of them: stemwright words list, one: stemwright words explain WORD"


def near_words(word: str, vocabulary: Vocabulary) -> list[str]:
    """Return words that an unknown one could be meant for: close in spelling, and never itself."""
    from difflib import get_close_matches  # noqa: PLC0415 - only for a refusal

    forms = sorted({" ".join(form) for form in vocabulary.forms})
    return [form for form in get_close_matches(word[:40].lower(), forms, n=3, cutoff=0.8) if form != word.lower()]
