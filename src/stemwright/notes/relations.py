"""Relations: one stem that is not heard because of another, and the two ways out of it, neither of them taken."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.exact import WORD_STEP_DB
from stemwright.notes.frames import Relation
from stemwright.notes.items import stems_of
from stemwright.notes.pronouns import WORDS
from stemwright.recipes.words import WordError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.subjects import Subjects
    from stemwright.notes.targets import Targets
    from stemwright.recipes.words import Vocabulary

LOW_ROLES: Final = ("kick", "808", "bass", "sub bass")


def relation_in(
    clause: Clause, subjects: Subjects, before: tuple[str, ...], text: str, sight: tuple[Targets, Vocabulary]
) -> Relation | None:
    """Return who is to be heard over whom, where a clause says so of two.

    Parameters
    ----------
    clause : Clause
    subjects : Subjects
        Whom it is about, and whom it holds them against.
    before : tuple of str
        The stems of the clause before: "it is all over them".
    text : str
        The clause.
    sight : (Targets, Vocabulary)
        Of the pass, for the offers.
    """
    items = clause.items
    mark = next((at for at, item in enumerate(items) if _is_mark(item)), None)
    if mark is None:
        front, over = _purpose(items, before, sight[0])
        return (
            Relation(front=front, over=over, text=text, offers=_offers(front, over, sight, both=False))
            if front and over
            else None
        )
    lead = stems_of([*clause.heads, *items[:mark]])
    after = stems_of(items[mark:])
    if items[mark].text == "between":
        named = [item for item in items[mark:] if item.names]
        front, over = stems_of(named[:1]), stems_of(named[1:])
        return (
            Relation(front=front, over=over, text=text, offers=_offers(front, over, sight, both=True))
            if front and over
            else None
        )
    about = (
        lead
        or (subjects.stems if subjects.called == "vocal" else ())
        or (() if not _has_pronoun(items[:mark]) and lead == () and mark > 1 else before)
    )
    told = ("image",) if items[mark].text == "buried" else ("room", "mutual", "under", "cover", "image")  # it does not bury
    tag = next(tag for tag in told if items[mark].has(tag))
    front, over = _sides(tag, items, mark, about, after or (before if _has_pronoun(items[mark + 1 :]) and lead else ()))
    wished = any(item.has("want") or item.text in ("put", "bring", "get", "move", "push") for item in items[:mark])
    on_top = any({"top", "front"} & set(item.text.split(" ")) for item in items[mark : mark + 2])
    if tag == "cover" and wished and lead and after and on_top:
        front, over = lead, after  # "can my voice sit on top of the guitars"
    if "hear" in items[mark].text.split(" ") and after and not lead and not subjects.against:
        front, over = after, about  # "the guitar is too loud, nobody could hear the choir"
    if tag == "room" and not front and any(item.text in ("her", "him", "me") for item in items[mark:]):
        voice = sight[0].called(("vocal",))
        front = voice.stems if voice is not None else ()
    if tag == "cover" and not after and any(item.text == "me" for item in items[max(mark - 1, 0) :]):
        voice = sight[0].called(("vocal",))
        front = voice.stems if voice is not None else ()  # "the choir is drowning me out"
    if tag == "mutual" and not after and len(_parts(clause, mark)) > 1 and not subjects.against:
        parts = _parts(clause, mark)
        front, over = parts[0], tuple(stem for part in parts[1:] for stem in part)
    if items[mark].quality == "buried" and not over:
        over = subjects.beside or subjects.against  # "I can't hear the piano when the strings come in"
    over = tuple(stem for stem in over if stem not in front)
    if not front or not over:
        return None
    return Relation(front=front, over=over, text=text, offers=_offers(front, over, sight, both=tag == "mutual"))


def decided(relation: Relation, clause: Clause, sight: tuple[Targets, Vocabulary]) -> Relation | None:
    """Return a relation of two that are in each other's way once a clause says who comes first; None where it does not."""
    named = stems_of(clause.names)
    both = {*relation.front, *relation.over}
    if (
        not named
        or not set(named) < both
        or any(
            item.figure is not None or item.quality
            for item in clause.items
            if not item.names and not item.has("first place", "second place")
        )
    ):
        return None
    others = tuple(stem for stem in (*relation.front, *relation.over) if stem not in named)
    if any(item.has("first place") and not item.names for item in clause.items):
        front, over = named, others
    elif any(item.has("second place") and not item.names for item in clause.items):
        front, over = others, named
    else:
        return None
    return replace(relation, front=front, over=over, offers=_offers(front, over, sight, both=False))


def _purpose(items: Sequence[Item], before: tuple[str, ...], targets: Targets) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return who is to be heard, and who is worked on for it: carve the piano so that the vocal speaks."""
    at = next(
        (at for at, item in enumerate(items) if item.text in ("so", "so that", "so we", "to let", "to help") and at), None
    )
    if at is None:
        return (), ()
    told = items[:at]
    if any(item.quality or item.figure is not None or item.has("turn", "direction") for item in told if not item.names):
        return (), ()
    if not any(item.has("take", "filter") for item in told):
        return (), ()
    over = stems_of([item for item in told if item.names]) or before
    voice = targets.called(("vocal",)) if any(WORDS & set(item.text.split(" ")) for item in items[at:]) else None
    named = stems_of(items[at:]) or (voice.stems if voice is not None else ())
    front = tuple(stem for stem in named if stem not in over)
    return front, over


def _is_mark(item: Item) -> bool:
    return not item.names and (
        item.text == "between" or item.has("room", "mutual", "under", "cover") or item.quality == "buried"
    )


def _sides(
    tag: str, items: Sequence[Item], mark: int, about: tuple[str, ...], after: tuple[str, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    if tag == "room":
        return _room(items, mark, about)
    if tag in ("under", "image"):
        if items[mark].quality == "buried" and not about:
            named = [item for item in items[mark:] if item.names]
            return stems_of(named[:1]), stems_of(named[1:])
        return about, after
    pronoun = () if after or not _has_pronoun(items[mark + 1 :]) else about
    return after or pronoun, about


def _room(items: Sequence[Item], mark: int, about: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return for whom room is to be made, and in whom: make room for the vocal in the keys."""
    front: list[Item] = []
    over: list[Item] = []
    for at, item in enumerate(items):
        if item.names and at > mark:
            lead = [each for each in items[:at] if each.has("place", "room", "and")]
            (over if lead and lead[-1].text in ("in", "out of", "of", "from", "on") else front).append(item)
    return stems_of(front), stems_of(over) or about


def _parts(clause: Clause, mark: int) -> list[tuple[str, ...]]:
    return [
        item.target.stems
        for item in (*clause.heads, *clause.items[: mark + 1])
        if item.target is not None and item.target.stems
    ]


def _has_pronoun(items: Sequence[Item]) -> bool:
    return any(item.has("it") for item in items) or not any(not item.idle for item in items)


def _offers(
    front: tuple[str, ...], over: tuple[str, ...], sight: tuple[Targets, Vocabulary], *, both: bool
) -> tuple[str, ...]:
    """Return two notes: less of what covers, where the other one speaks, or more of the other one there."""
    word, freq_hz = _place(front, sight)
    less = f"{_called(over)}: cut {WORD_STEP_DB:g} dB at {freq_hz:g} Hz"
    if both:
        _, other_hz = _place(over, sight)
        return less, f"{_called(front)}: cut {WORD_STEP_DB:g} dB at {other_hz:g} Hz"
    return less, f"{_called(front)}: more {word}"


def _place(stems: tuple[str, ...], sight: tuple[Targets, Vocabulary]) -> tuple[str, float]:
    targets, vocabulary = sight
    role, family = targets.role_of(stems[0])
    plain = (role or "").replace("-", " ")
    word = "punch" if plain in LOW_ROLES else "presence"
    try:
        moves = vocabulary.understand(word, plain or None, family).meaning.moves
    except WordError:
        moves = ()
    return word, next((move.settings["freq_hz"] for move in moves if "freq_hz" in move.settings), 3000.0)


def _called(stems: tuple[str, ...]) -> str:
    return " and ".join(f'"{stem}"' for stem in stems)
