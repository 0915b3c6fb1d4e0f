"""Levels: which way a clause without a word of sound moves a stem itself: up, down, more of it, less of it, half."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.leads import LIMITS
from stemwright.notes.lexicon import Sense
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item
    from stemwright.notes.subjects import Subjects

LEVEL_WORD: Final = "loud"
HALVED_DB: Final = -6.0  # half as loud, half of it: half the amplitude
ASKING: Final = ("enough", "direction", "guard", "less than last", "turn")
SKIPPED: Final = 0.0
OVER: Final = ("over", "above")
UNDER: Final = ("under", "behind", "below", "beneath")
SOFTER: Final = "softer"
OF_TONE: Final = (
    "tone",
    "in tone",
    "ear",
    "ears",
    "on the ear",
    "on the ears",
    "up top",
    "top",
    "attack",
    "edge",
    "treble",
    "highs",
)


def halved(items: Sequence[Item]) -> bool:
    """Whether a clause asks for half the level."""
    half = any(
        (item.text == "half" or item.has("half")) and not any(each.text == "at" for each in items[max(0, at - 2) : at])
        for at, item in enumerate(items)
    )
    return half and any(item.quality == "loud" or item.text in ("half", "volume", "level") for item in items)


def level_sign(items: Sequence[Item], subjects: Subjects) -> float | None:
    """Return +1 for up, -1 for down, None where a clause does not speak of level."""
    if any(
        item.quality is not None and item.quality not in LEVEL_WORDS and item.target is None and not item.has("amount")
        for item in items
    ):
        return None
    sign = next((item for item in items if item.kind == "sign"), None)
    if sign is not None:
        return 1.0 if "+" in sign.text else -1.0
    held = subjects.explicit and bool(subjects.against)
    if held and any(item.text in OVER for item in items):
        return _over(items)
    under = held and any(item.text in UNDER for item in items)
    asking = [at for at, item in enumerate(items) if not item.names and item.has(*ASKING)]
    wanting = [at for at, item in enumerate(items) if item.text == "hear" and _wants(items, at, subjects)]
    if wanting and (not asking or wanting[0] < asking[0]):
        return 1.0
    if under and (further := _further_under(items)):
        return -further
    said = next((said for at in asking if (said := _said(items, at, subjects)) is not SKIPPED), SKIPPED)
    return said if said is not SKIPPED else -1.0 if under else None


def _further_under(items: Sequence[Item]) -> float:
    """Return +1 where "more" stands behind whom a stem is to be under, -1 for "less", else 0: keys behind the vocal a bit more."""
    at = next(at for at, item in enumerate(items) if item.text in UNDER)
    said = [item for item in items[at + 1 :] if not item.names and (item.has("direction", "turn", "take") or item.quality)]
    asked = any(item.has("direction", "turn", "take", "neg", "is") for item in items[:at] if not item.names)
    alone = len(said) == 1 and said[0].has("direction") and not asked
    return LIMITS[said[0].value("direction")] if alone else 0.0


def _over(items: Sequence[Item]) -> float | None:
    """Return +1 where one stem is to stand over another, -1 where it is said to: the vocal a bit over the pads."""
    at = next(at for at, item in enumerate(items) if item.text in OVER)
    lead = items[:at]
    if any(item.has("neg", "guard") for item in lead) or any(item.has("turn", "direction") for item in lead):
        return None
    wished = any(item.has("want", "strong") for item in lead)
    return 1.0 if wished or not any(item.has("is") and item.text != "s" for item in lead) else -1.0


def _said(items: Sequence[Item], at: int, subjects: Subjects) -> float | None:
    """Return what one asking word says, `SKIPPED` where it says nothing."""
    item = items[at]
    negated = any(each.has("neg") for each in items[: at + 1])
    if item.has("enough"):
        return 1.0 if negated else None
    if item.has("direction"):
        return _directed(items, at, subjects, negated=negated)
    if item.has("guard"):
        return None
    if item.has("less than last"):
        return -1.0
    if item.has("is"):
        return SKIPPED
    return None if negated else LIMITS[item.value("turn")]


def _wants(items: Sequence[Item], at: int, subjects: Subjects) -> bool:
    """Whether somebody wants to hear a stem: we must hear the clap."""
    negated = any(item.has("neg") for item in items[:at])
    return not negated and subjects.explicit and any(item.has("want") for item in items[:at])


def _directed(items: Sequence[Item], at: int, subjects: Subjects, *, negated: bool) -> float | None:
    """Return which way "more" or "less" goes; "less of that" without a name only says again what was asked."""
    of_that = [item.text for item in items[at + 1 : at + 3]] == ["of", "that"] or (
        any(item.text == "that" for item in items[:at]) and any(item.has("want") for item in items[:at])
    )  # "could that be less": it says again what was said
    if not subjects.explicit and (negated or of_that):
        return None
    told = next((item for item in items[at + 1 :] if not item.idle), None)
    if told is not None and told.has("ask") and items[at].text.endswith("too"):
        return SKIPPED  # "too polite" says that something is wrong, and not what
    return -1.0 if negated else LIMITS[items[at].value("direction")]


def as_said_of_level(items: Sequence[Item]) -> list[Item]:
    """Return a sentence's items with "softer" as quieter, where nothing beside it says that it is meant of the tone."""
    said = list(items)
    for at, item in enumerate(items):
        if item.text != SOFTER:
            continue
        start = max((end + 1 for end, each in enumerate(items[:at]) if _parts(each)), default=0)
        end = next((end for end in range(at + 1, len(items)) if _parts(items[end])), len(items))
        others = [*items[start:at], *items[at + 1 : end]]
        tone = any(
            (each.quality is not None and each.quality not in LEVEL_WORDS and each.target is None)
            or each.has("band", "before")
            or each.text in OF_TONE
            for each in others
        )
        if not tone and any(each.names or each.figure is not None for each in others):
            said[at] = replace(item, senses=(Sense("more word", "quiet"),), tags=frozenset(("more word",)))
    return said


def _parts(item: Item) -> bool:
    return item.kind == "break" or item.has("and")
