"""Subjects: the stems a clause is about, apart from those it only holds them against."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from stemwright.notes.frames import PieceError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets

AGAINST = (
    "than",
    "as",
    "over",
    "under",
    "behind",
    "against",
    "next to",
    "through",
    "compared to",
    "compared with",
    "versus",
    "vs",
    "beneath",
    "beyond",
    "above",
    "below",
)
TO_ME = ("hear", "turn", "bring", "with", "pull", "push", "make", "put")
VOICES = ("vocal", "vox", "voice", "singing", "vocals")
OF_VOICES = (
    "nose",
    "nasal",
    "nasally",
    "chest",
    "breath",
    "breathy",
    "lisp",
    "lispy",
    "plosive",
    "plosives",
    "p pops",
    "popping",
    "whispering",
    "intimate",
)
SOMEBODY = ("he", "she", "him", "her", "his", "hers")
ASKS = ("direction", "amount", "lack", "take", "turn", "want", "enough")


@dataclass(frozen=True, kw_only=True)
class Context:
    """What the clauses before said: the stems they were about, all that were named, and the moves they spoke of."""

    moves: tuple[Item, ...] = ()
    before: tuple[str, ...] = ()
    before_called: str = ""
    named: tuple[str, ...] = ()


@dataclass(kw_only=True)
class Subjects:
    """``stems`` a clause is about, ``against`` those it holds them against, ``sounds`` names that are sounds here, ``taken`` a sound that is a name."""

    stems: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    named: bool = True
    called: str = ""
    explicit: bool = False
    absent: str = ""
    items: list[Item] = field(default_factory=list)
    sounds: list[Item] = field(default_factory=list)
    taken: Item | None = None


def subjects_of(clause: Clause, targets: Targets, context: Context) -> Subjects:
    """Find whom a clause is about.

    Raises
    ------
    PieceError
        If it leaves out every stem it names, or two names stand side by side that are not one.
    """
    found = Subjects()
    names = _apart_from_sounds(clause, found)
    direct, held = _held_against(clause, names)
    found.against = _stems(held)
    present = _own_part([item for item in direct if item.names], clause.items)
    missing = [item for item in direct if not item.names]
    found.items = present
    _together(present, clause.items)
    if present:
        found.stems = _stems(_as_one(present, clause.items))
        found.named = all(item.target is None or item.target.named for item in present)
        found.explicit = True
    found.absent = missing[0].text if missing and not present else ""
    _pronouns(clause, targets, context, found)
    out = set(_stems(clause.left_out))
    if any(item.text in VOICES and item.target is not None and item.target.kind == "role" for item in clause.left_out):
        out |= {stem for stem in found.stems if targets.role_of(stem)[1] == "vocals"}  # but the vocal: all who sing
    left = tuple(stem for stem in found.stems if stem not in out)
    if found.stems and not left:
        raise PieceError("no stem is left after the exceptions")
    found.stems = left
    return found


def _stems(items: Sequence[Item]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(stem for item in items if item.target is not None for stem in item.target.stems))


def _apart_from_sounds(clause: Clause, found: Subjects) -> list[Item]:
    """Return the names that are meant as names: one that is a sound too is the sound where it is asked of another."""
    names = clause.names
    for item in list(names):
        if item in clause.heads or not (item.quality or item.has("filter", "move", "ask")):
            continue
        others = [each for each in names if each is not item and (each.names or not item.names)]
        at = clause.items.index(item)
        lead, after = clause.items[:at], clause.items[at + 1 :]
        beside = any(0 <= item.start - each.end <= 3 for each in others if each in lead) and bool(item.quality)
        sound = not item.names or (
            bool(others)
            and (
                clause.after_colon
                or beside
                or _asked_of(lead)
                or (bool(after) and after[0].has("place") and any(each in after for each in others))
            )
        )
        if sound:
            found.sounds.append(item)
            names.remove(item)
    return names


def _asked_of(lead: Sequence[Item]) -> bool:
    """Whether what leads up to a name asks for it as for a sound: more bass, too much ring, the bump of bass."""
    for item in reversed(lead):
        if item.has(*ASKS) or item.text == "of":
            return True
        if not item.idle or item.has("is", "and"):
            return False
    return False


def _held_against(clause: Clause, names: Sequence[Item]) -> tuple[list[Item], list[Item]]:
    direct: list[Item] = []
    held: list[Item] = []
    for item in names:
        if item in clause.heads:
            direct.append(item)
            continue
        lead = clause.items[: clause.items.index(item)]
        while lead and (
            lead[-1].target is not None
            or (lead[-1].idle and not lead[-1].has("place", "reason", "like") and lead[-1].text not in AGAINST)
        ):
            lead = lead[:-1]
        alike = any(each.has("like") and not each.has("praise") for each in clause.items[: clause.items.index(item)])
        before = lead[-1] if lead else None
        against = before is not None and (
            before.text in AGAINST
            or before.text.endswith((" under", " behind", " over"))
            or before.has("like")
            or (before.has("under", "cover", "reason") and before.text != "since")
        )
        (held if against or (alike and direct) else direct).append(item)
    return direct, held


def _own_part(present: Sequence[Item], items: Sequence[Item]) -> list[Item]:
    """Return the names without those that are a part of the one before: the break's hats."""
    kept: list[Item] = []
    for item in present:
        at = next((number for number, each in enumerate(items) if each is item), 0)
        part = at >= 2 and items[at - 1].text == "s" and items[at - 2] in kept
        if (
            kept
            and item in items
            and any(each.text in ("making", "makes", "make", "made") for each in items[:at])
            and kept[-1] in items
            and items.index(kept[-1]) < at
        ):
            between = items[items.index(kept[-1]) + 1 : at]
            if any(each.text.startswith(("mak", "made")) for each in between):
                continue  # "the double is making the lead sound cloudy": the double is meant
        whole = next((each for each in kept if each in items and _on_the(items[items.index(each) + 1 : at])), None)
        if whole is not None and item in items:
            kept.remove(whole)  # "the strings on the mandolin": the second is meant
        owner = (
            at + 2 < len(items)
            and items[at + 1].text == "s"
            and not (
                items[at + 2].has("is", "direction", "amount", "elsewhere") or items[at + 2].quality or items[at + 2].unknown
            )
        )
        if not part and not (owner and kept):
            kept.append(item)
    return kept


def _together(present: Sequence[Item], items: Sequence[Item]) -> None:
    """Refuse two names with a word of sound between them that are no list.

    Raises
    ------
    PieceError
    """
    own = [item for item in present if item in items]
    for first, second in itertools.pairwise(own):
        between = items[items.index(first) + 1 : items.index(second)]
        said = next(
            (item for item in between if item.quality is not None or item.unknown or item.figure or item.has("turn")), None
        )
        if said is not None:
            raise PieceError(
                f"{first.text} or {second.text}? two names with {said.text} between them; write one, a colon, and what"
            )


def _on_the(between: Sequence[Item]) -> bool:
    return bool(between) and between[0].text in ("on", "of") and all(each.idle for each in between)


def _as_one(present: Sequence[Item], items: Sequence[Item]) -> list[Item]:
    """Return names; of two side by side that share stems, only what they share is meant."""
    if len(present) != 2 or any(item not in items for item in present):
        return list(present)
    first, second = present
    if not 0 <= second.start - first.end <= 1 or first.target is None or second.target is None:
        return list(present)
    both = set(first.target.stems) & set(second.target.stems)
    if not both:
        raise PieceError(f"{first.text} {second.text}: no stem is both; name one, a colon, and what")
    return [first if set(first.target.stems) == both else second]


def _pronouns(clause: Clause, targets: Targets, context: Context, found: Subjects) -> None:
    """Give a clause without a name the stems that its pronouns mean, or those of the clause before."""
    if found.stems or found.absent:
        return
    items = [*(item for item in clause.heads if item.has("every", "other")), *clause.items]
    everything = targets.everything
    if any(item.has("other") for item in items):
        found.stems = tuple(stem for stem in everything.stems if stem not in context.named)
        found.named, found.explicit = False, True
        return
    if any(_is_me(item, items) for item in items):
        voice = targets.called(("vocal",))
        if voice is not None and len({targets.role_of(stem) for stem in voice.stems}) == 1 and len(voice.stems) > 1:
            raise PieceError(f"whose voice? name one of: {', '.join(voice.stems)}")
        if voice is not None and voice.stems:
            found.stems, found.called, found.explicit = voice.stems, "vocal", True
            return
    every = [
        item
        for at, item in enumerate(items)
        if item.has("every") and not (items[at + 1 : at + 2] and items[at + 1].text in ("below", "above", "under", "over"))
    ]
    if every and not (context.before and all(item.text in ("all", "overall", "general", "in general") for item in every)):
        found.stems, found.named, found.explicit = everything.stems, False, True
        return
    if not context.before and any(
        item.text in SOMEBODY or item.quality == "sibilant" or item.text in OF_VOICES for item in items
    ):
        voice = targets.called(("vocal",))
        if voice is not None and len(voice.stems) == 1:
            found.stems, found.called = voice.stems, "vocal"
            return
    for item in () if context.before else items:
        stems = targets.with_word(item.text) if item.quality is not None else ()
        if stems and any(each.quality is not None for each in items if each is not item):
            found.stems, found.explicit, found.taken = stems, True, item
            return
    if context.before:
        found.stems, found.called = context.before, context.before_called


def _is_me(item: Item, items: Sequence[Item]) -> bool:
    if item.has("me") and item.text != "me":
        return True
    at = items.index(item)
    lead = [each for each in items[:at] if not each.idle or each.has("place")]
    if item.text == "me":
        before = items[at - 1].text if at else ""
        return before in TO_ME or (
            bool(lead) and (lead[-1].has("direction", "turn", "amount") or lead[-1].quality == "buried")
        )
    return item.text in ("im", "i") and any((each.quality is not None and each.target is None) or each.has("under") for each in items[at : at + 5]) and not any(
        each.has("want", "strong", "praise", "take", "direction", "like") for each in items[at : at + 3]
    )  # fmt: skip
