"""Qualities: the words of sound in a clause, and which way each is asked for.

Conventions
-----------
A sign is +1 for more of a word and -1 for less; None where a word asks for nothing: it is praised, only must not come about,
or is not so. A fault that is named is a fault to lessen. What stands nearest before a word counts, then what stands behind it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from stemwright.notes.frames import PieceError
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from stemwright.notes.items import Item

# Said of a sound that is as it should not be, though the word itself is no fault: "sounds dark to me". Everyday speech.
STATED: Final = frozenset(
    (
        "bright",
        "dark",
        "light",
        "soft",
        "forward",
        "back",
        "weight",
        "edge",
        "attack",
        "bite",
        "round",
        "mids",
        "distant",
        "sub",
        "lean",
        "crisp",
        "air",
    )
)
MADE: Final = ("thin", "dull", "thin out")
LIMITS: Final = {"more": 1.0, "less": -1.0, "up": 1.0, "down": -1.0}


@dataclass(frozen=True, kw_only=True)
class Quality:
    """A word of sound that is asked for: which, and more or less of it."""

    name: str
    sign: float
    item: Item


@dataclass(frozen=True)
class Scope:
    """A word of sound and what stands around it, up to the next ones."""

    item: Item
    lead: list[Item]
    after: list[Item]
    last: bool


def qualities_in(
    items: Sequence[Item], faults: Collection[str], *, about: bool, inherited: float | None = None
) -> list[Quality]:
    """Return the words of sound that a clause asks for.

    Parameters
    ----------
    items : sequence of Item
        A clause's, without the names of stems.
    faults : collection of str
        Words that name a fault.
    about : bool
        Whether it is known what the clause is about.
    inherited : float, optional
        The sign of the word of sound before it in the sentence, for a list: brighter and warm.

    Raises
    ------
    PieceError
        If it is not said which way a word is meant.
    """
    found: list[Quality] = []
    last = inherited
    undirected: Item | None = None
    for scope in _scopes(items):
        name = scope.item.quality
        assert name is not None  # noqa: S101 - scopes are of words of sound
        sign = _sign(scope, name in faults, last, about=about)
        if sign == 0.0:
            undirected = undirected or scope.item
            continue
        if sign is not None:
            found.append(Quality(name=name, sign=sign, item=scope.item))
            last = sign if not (name in faults and sign < 0) else last
    if undirected is not None and not found:
        text = undirected.text
        if undirected.says_more:
            raise PieceError(f"{text}, is it too much, or wanted? write less or more")
        raise PieceError(f"{text} without a direction; write more {text}, less {text} or {text} +2 dB", "way")
    return found


def _scopes(items: Sequence[Item]) -> list[Scope]:
    marks = [number for number, item in enumerate(items) if item.quality is not None and not _is_amount(items, number)
             and not (item.has("place") and number + 1 < len(items) and items[number + 1].figure is not None)]  # fmt: skip
    if any(items[at].quality not in LEVEL_WORDS for at in marks):
        marks = [at for at in marks if items[at].quality not in LEVEL_WORDS]
    scopes = []
    for number, at in enumerate(marks):
        start = marks[number - 1] + 1 if number else 0
        end = marks[number + 1] if number + 1 < len(marks) else len(items)
        scopes.append(Scope(items[at], list(items[start:at]), list(items[at + 1 : end]), number == len(marks) - 1))
    return scopes


def _is_amount(items: Sequence[Item], at: int) -> bool:
    """Whether a word that is an amount too is one: a small lift, but not: sounds small."""
    said = at > 0 and items[at - 1].has("is", "direction")
    return items[at].has("amount") and not said


def _sign(scope: Scope, fault: bool, last: float | None, *, about: bool) -> float | None:  # noqa: FBT001 - one question each
    behind = _behind(scope)
    if behind is not None:
        return behind or None
    direct = _nearest(scope, fault)
    if direct is not None:
        return None if direct == 0.0 else direct
    negated = any(item.has("neg") for item in scope.lead)
    if scope.item.says_more:
        return _comparative(scope, fault, negated)
    if any(item.has("praise") for item in scope.after) and not any(item.has("neg") for item in scope.after):
        return None
    if fault:
        if scope.item.text in MADE and not scope.lead:
            return 1.0  # "thin the brass out": a verb
        return None if negated and scope.item.quality != "buried" else -1.0
    if negated or _wanted(scope):
        return 1.0
    if _only_listed(scope.lead) and last is not None:
        return last
    return _stated(scope, about=about)


def _stated(scope: Scope, *, about: bool) -> float | None:
    """Return the sign of a word that is no fault and only said: "the pads are a bit bright" complains, "is warm" does not."""
    amount = any(item.has("amount") for item in scope.lead)
    said = any(item.has("is") for item in scope.lead)
    praised = any(item.has("praise") for item in scope.lead)
    if praised:
        return None
    if amount or (said and scope.item.quality in STATED):
        return -1.0
    if said or not about:
        return None
    return 0.0


def _only_listed(lead: Sequence[Item]) -> bool:
    return all(item.idle or item.text in ("or", "nor") or item.has("amount") for item in lead) and not any(
        item.has("is") for item in lead
    )


def _wanted(scope: Scope) -> bool:
    return any(item.has("want") for item in scope.lead) or (
        any(item.has("want") for item in scope.after[:2]) and not scope.lead
    )


def _behind(scope: Scope) -> float | None:
    """Return what is said right behind a word: enough, more, less, too much, up, down; 0 for: is enough."""
    for item in scope.after:
        if item.has("enough"):
            return 1.0 if any(each.has("neg") for each in scope.lead) else 0.0
        if item.has("direction") and not item.has("amount"):
            following = scope.after[scope.after.index(item) + 1 :]
            if not scope.last and all(each.idle or each.has("amount") for each in following):
                return None  # it belongs to the next word
            negated = any(each.has("neg") for each in scope.after[: scope.after.index(item)])
            return None if negated or (following and following[0].quality) else LIMITS[item.value("direction")]
        if item.has("turn") and scope.item.quality not in LEVEL_WORDS and item.text in ("up", "down"):
            return LIMITS[item.value("turn")]
        if not (item.idle or item.has("amount", "is")) and item.figure is None:
            return None
    return None


def _nearest(scope: Scope, fault: bool) -> float | None:  # noqa: FBT001
    """Return what the nearest asking thing before a word says of it: its sign, 0 for nothing, None where there is no such thing."""
    lead = scope.lead
    if any(item.has("guard") and item.text.endswith(("that", "because", "mean")) for item in lead):
        return 0.0  # "it isn't that the vocal is too loud"
    for at in range(len(lead) - 1, -1, -1):
        item = lead[at]
        negated = any(each.has("neg") for each in lead[:at])
        if item.has("guard"):
            return 0.0
        if item.has("enough"):
            return 1.0 if negated or any(each.has("lack") for each in lead[:at]) else 0.0
        if item.has("direction"):
            return _directed(lead[:at], LIMITS[item.value("direction")], negated=negated)
        if item.has("strong") and not item.text.startswith(("makes", "made", "making")):
            return (
                (-1.0 if not fault else 0.0)
                if negated or ("nt" in item.text.split(" ")[0][-2:] and item.text.startswith("should"))
                else 1.0
            )
        if item.has("take") and not item.has("is"):
            sign = LIMITS[item.value("take")]
            return 0.0 if negated else (sign if sign < 0 or not fault else 1.0)
        if item.has("turn"):
            return 0.0 if negated else LIMITS[item.value("turn")]
        if item.quality == "buried":
            return 1.0 if not fault else None
        if item.has("lack") and not (item.has("neg") and any(each.has("is") for each in lead[at + 1 :])):
            return -1.0 if fault else (0.0 if negated else 1.0)
        if item.has("all of") and item.text.split(" ")[-1] in ("all", "of", "but", "purely"):
            return -1.0 if fault or at == 0 or lead[at - 1].has("is") or item.text != "all" else None
        if item.has("leave") and not item.has("is"):
            return 0.0
        if item.has("praise") and not item.has("is") and not any(each.has("amount", "neg", "is") for each in lead[at + 1 :]):
            return 0.0
    return None


def _directed(lead: Sequence[Item], sign: float, *, negated: bool) -> float:
    taking = [item for item in lead if item.has("take") and item.value("take") == "less" and not item.has("is")]
    if taking and sign > 0:
        return 0.0 if negated else -1.0
    if negated:
        return 0.0
    return sign


def _comparative(scope: Scope, fault: bool, negated: bool) -> float | None:  # noqa: FBT001
    wanted = _wanted(scope) or (
        any(item.has("amount") for item in scope.lead)
        and not any(item.has("is") and item.text != "s" for item in scope.lead)
    )
    said = any(
        item.has("is") and item.text not in ("be", "feel", "sound", "get", "come", "go", "keep") for item in scope.lead[-3:]
    )
    past = any(item.has("past") for item in scope.lead)
    if negated:
        return (
            -1.0
            if any(
                (item.has("want", "strong") and item.text.startswith("should")) or item.text == "shouldnt"
                for item in scope.lead
            )
            else None
        )
    if fault and said and scope.item.quality not in LEVEL_WORDS:
        return -1.0
    if said and not wanted and not past:
        return -1.0 if any(item.text == "than" for item in scope.after) else 0.0
    return 1.0
