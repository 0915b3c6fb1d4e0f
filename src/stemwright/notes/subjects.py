"""Subjects: the stems a clause is about, apart from those it only holds them against."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stemwright.notes.clauses import ARTICLES, LISTING
from stemwright.notes.doubts import no_doubt_of_all, one_sided, owned, together
from stemwright.notes.frames import PieceError
from stemwright.notes.held_names import DETERMINERS
from stemwright.notes.items import stems_of
from stemwright.notes.pronouns import meant_by

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.items import Item
    from stemwright.notes.pronouns import Context
    from stemwright.notes.targets import Targets

AGAINST = (
    "than", "as", "over", "under", "behind", "against", "next to", "through", "compared to", "compared with",
    "versus", "vs", "beneath", "beyond", "above", "below",
)  # fmt: skip
POINTING = ("the", "my", "your", "our")
LONG_LIST = 2  # clauses about one stem before a role's name is a sound in the next: less mud, more air, more bass
FAR_FROM_REASON = 1  # words between "if" and a name that is no longer only a reason: if I'm being picky the vocal is buried
REACH = 3  # words between a preposition and its name: in the low strings
ASIDE = (
    "with", "on", "vs", "beside", "alongside", "against", "compared", "around", "round", "for", "in", "to", "from",
    "inside", "near", "by",
)  # fmt: skip
ASIDE_AFTER = ("after", "when", "once", "whenever", "while")
ON_TOP = ("on top", "in front", "ahead", "front")
VOICES = ("vocal", "vox", "voice", "singing", "vocals")
PUT = ("out of", "to", "on", "in", "from")
ASKS = ("direction", "amount", "lack", "take", "turn", "want", "enough")


@dataclass(kw_only=True)
class Subjects:
    """``stems`` a clause is about, ``against`` those it holds them against, ``beside`` those that only tell when, or why.

    ``sounds`` are names that are sounds here, ``taken`` is a sound that is a name.
    """

    stems: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
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
    names = _apart_from_sounds(clause, found, context.listed if clause.joined_by in LISTING else 0)
    direct, held = _held_against(clause, names)
    if held and not direct and all(item in clause.items and _soloed(clause.items, item) for item in held):
        direct, held = held, []  # "when you solo that kick it sounds like cardboard"
    found.against = stems_of(held)
    present = _own_part([item for item in direct if item.names], clause.items)
    missing = [item for item in direct if not item.names]
    if missing and any(item.has("mutual", "cover", "under", "room") and not item.names for item in clause.items):
        raise PieceError(f"no {missing[0].text} in this song; its stems: {', '.join(targets.stems)}")
    listed = next((item for item in missing if item in clause.heads or _of_it(item, clause.items)), None)
    if listed is not None and present:
        raise PieceError(f"no {listed.text} in this song; its stems: {', '.join(targets.stems)}")
    found.items = present
    no_doubt_of_all(present, clause)
    one_sided(present, clause)
    present = owned(present, clause.items, targets)
    together(present, clause.items)
    if present:
        found.stems = stems_of(_as_one(present, clause.items))
        found.named = all(item.target is None or item.target.named for item in present)
        found.explicit = True
    found.absent = missing[0].text if missing and not present else ""
    if not found.stems and not found.absent:
        meant = meant_by(clause, targets, context)
        found.stems, found.named, found.called = meant.stems, meant.named, meant.called
        found.explicit, found.taken = meant.explicit, meant.taken
    out = set(stems_of(clause.left_out))
    if any(item.text in VOICES and item.target is not None and item.target.kind == "role" for item in clause.left_out):
        out |= {stem for stem in found.stems if targets.role_of(stem)[1] == "vocals"}  # but the vocal: all who sing
    left = tuple(stem for stem in found.stems if stem not in out)
    if found.stems and not left:
        raise PieceError("no stem is left after the exceptions")
    found.stems = left
    return found


def _apart_from_sounds(clause: Clause, found: Subjects, listed: int) -> list[Item]:
    """Return the names that are meant as names: one that is a sound too is the sound where it is asked of another.

    So it is in a list that goes on about one stem: piano less mud, more air, tighter low end.
    """
    names = clause.names
    groups_first = sorted(names, key=lambda each: each.target is None or each.target.kind != "group")
    for item in groups_first:  # "give the bass more low end"
        if item in clause.heads or not (item.quality or item.has("filter", "move", "ask")):
            continue
        others = [each for each in names if each is not item and (each.names or not item.names)]
        at = clause.items.index(item)
        lead, after = clause.items[:at], clause.items[at + 1 :]
        turned = bool(after) and after[0].has("turn") and not after[0].names
        behind = after[turned:]
        placed = bool(behind) and (behind[0].has("place") or behind[0].text.startswith("of "))
        there = placed and any(each in behind for each in others)
        if item.names and lead and lead[-1].text in POINTING and _turned_in_level(after) and not (turned and there):
            continue  # "I'd like the bass a bit louder"; but not: the low end up on the guitar
        if not item.names and _of_it(item, clause.items):
            continue  # "the low end of the kick" of a song without one
        if item.names and item.target is not None and item.target.kind != "group" and _has_a_sound_put_there(lead):
            continue  # "take some mud out of the bass and the keys"
        if item.names and any(_within(item, each, clause.items) for each in others if each in after):
            continue  # "the bass on my beat"
        beside = any(0 <= item.start - each.end <= 3 for each in others if each in lead) and bool(item.quality)
        sound = not item.names or (bool(others) and (clause.after_colon or beside or _asked_of(lead) or there))
        goes_on = listed >= (1 if item.target is not None and item.target.kind == "group" else LONG_LIST)
        if sound or (goes_on and not others and item.quality and (_asked_of(lead) or any(each.quality for each in lead))):
            found.sounds.append(item)
            names.remove(item)
    return names


def _soloed(items: Sequence[Item], item: Item) -> bool:
    """Whether a name stands behind "when you solo"."""
    return any("solo" in each.text.split(" ") or "soloing" in each.text.split(" ") for each in items[: items.index(item)])


def _turned_in_level(after: Sequence[Item]) -> bool:
    """Whether a level is what stands right behind a name."""
    said = next((item for item in after if not item.has("amount") and not item.idle), None)
    return said is not None and (said.quality in ("loud", "quiet") or said.text in ("up", "down"))


def _of_it(item: Item, items: Sequence[Item]) -> bool:
    """Whether a name stands behind "of the"."""
    at = next((at for at, each in enumerate(items) if each is item), 0)
    *some, of, the = ["", "", *" ".join(each.text for each in items[max(at - 3, 0) : at]).split(" ")][-3:]
    return of == "of" and the in POINTING and some != ["some"]


def _within(item: Item, other: Item, items: Sequence[Item]) -> bool:
    """Whether a name behind another only tells where that is: on, in or of something that it is a part of."""
    between = items[items.index(item) + 1 : items.index(other)]
    placed = bool(between) and between[0].has("place") and all(each.idle for each in between)
    return placed and set(stems_of([item])) < set(stems_of([other]))


def _asked_of(lead: Sequence[Item]) -> bool:
    """Whether what leads up to a name asks for it as for a sound: more bass, too much ring, the bump of bass."""
    for item in reversed(lead):
        if item.has(*ASKS) or item.text == "of":
            return True
        if not item.idle or item.has("is", "and"):
            return False
    return False


def _has_a_sound_put_there(lead: Sequence[Item]) -> bool:
    """Whether a word of sound and where it is put lead up to a name: some mud out of the."""
    said = [item for item in lead if item.text not in ARTICLES]
    placed = bool(said) and said[-1].text in PUT
    return placed and any(item.quality is not None and not item.names for item in said[:-1])


def _held_against(clause: Clause, names: Sequence[Item]) -> tuple[list[Item], list[Item]]:
    direct: list[Item] = []
    held: list[Item] = []
    for item in names:
        if item in clause.heads:
            direct.append(item)
            continue
        lead = clause.items[: clause.items.index(item)]
        stripped = 0
        while lead and (
            lead[-1].target is not None
            or (lead[-1].idle and not lead[-1].has("place", "reason", "like") and lead[-1].text not in AGAINST)
        ):
            stripped += lead[-1].target is None and lead[-1].text.split(" ")[0] not in DETERMINERS
            lead = lead[:-1]
        alike = any(each.has("like") and not each.has("praise") for each in clause.items[: clause.items.index(item)])
        before = lead[-1] if lead else None
        against = (
            before is not None
            and (
                before.text in AGAINST
                or before.text.endswith((" under", " behind", " over", " through", " past"))
                or before.has("like")
                or before.has("under", "cover")
                or (before.has("reason") and before.text != "since" and stripped < FAR_FROM_REASON)
                or before.text in ASIDE_AFTER
            )
        ) or _aside(item, direct, clause, before)
        (held if against or (alike and direct) else direct).append(item)
    return direct, held


def _aside(item: Item, direct: Sequence[Item], clause: Clause, before: Item | None) -> bool:
    """Whether a name behind something said of another only tells with whom or where: the left hand is muddy with the bass."""
    if before is None or not direct:
        return False
    start = clause.items.index(direct[-1]) + 1 if direct[-1] in clause.items else 0
    between = clause.items[start : clause.items.index(item)]
    said = any(each.quality is not None or each.unknown or each.has("turn") for each in between)
    of_it = before.text == "of" and any(each.text.endswith(ON_TOP) for each in between)
    placed = [each for each in between[-REACH:] if each.has("place") and each.text.split(" ")[0] in ASIDE]
    loose = bool(placed) and all(each.idle or each.has("band") for each in between[between.index(placed[-1]) :])
    return said and (of_it or loose)


def _own_part(present: Sequence[Item], items: Sequence[Item]) -> list[Item]:
    """Return the names without those that are a part of the one before: the break's hats."""
    kept: list[Item] = []
    for item in present:
        at = next((number for number, each in enumerate(items) if each is item), 0)
        owned_by = items[at - 2] if at >= 2 and items[at - 1].text == "s" else None
        part = owned_by in kept and not set(stems_of([item])) & set(stems_of([owned_by] if owned_by is not None else []))
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
        if item in items and any(each in items and _within(each, item, items) for each in kept):
            continue  # "the bass on my beat": where the first is
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


def _on_the(between: Sequence[Item]) -> bool:
    return bool(between) and between[0].text in ("on", "of") and all(each.idle for each in between)


def _as_one(present: Sequence[Item], items: Sequence[Item]) -> list[Item]:
    """Return names; of two side by side that share stems, only what they share is meant."""
    present = _owners(present, items)
    if len(present) != 2 or any(item not in items for item in present):
        return list(present)
    first, second = present
    if not 0 <= second.start - first.end <= 1 or first.target is None or second.target is None:
        return list(present)
    both = set(first.target.stems) & set(second.target.stems)
    if not both:
        raise PieceError(f"{first.text} {second.text}: no stem is both; name one, a colon, and what")
    return [first if set(first.target.stems) == both else second]


def _owners(present: Sequence[Item], items: Sequence[Item]) -> list[Item]:
    """Return names with "Ann's guitar" as the guitars that have Ann in their names, where there are any."""
    meant: list[Item] = []
    for item in present:
        owner = meant[-1] if meant else None
        if owner is not None and owner in items and item in items and owner.target is not None and item.target is not None:
            between = [each.text for each in items[items.index(owner) + 1 : items.index(item)]]
            shared = tuple(stem for stem in item.target.stems if stem in owner.target.stems)
            if between == ["s"] and shared:
                meant[-1] = replace(item, target=replace(item.target, stems=shared))
                continue
        meant.append(item)
    return meant
