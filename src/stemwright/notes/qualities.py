"""Qualities: the words of sound in a clause, and which way each is asked for.

Conventions
-----------
A sign is +1 for more of a word and -1 for less; None where a word asks for nothing: it is praised, only must not come about,
or is not so. A fault that is named is a fault to lessen. What stands nearest before a word counts, then what stands behind it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from stemwright.notes.frames import UNDIRECTED, PieceError
from stemwright.notes.leads import LIMITS, nearest
from stemwright.notes.plainly import is_sound
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
        "scooped",
    )
)
WISHED: Final = ("be", "feel", "sound", "get", "come", "go", "keep")
GONE: Final = ("gone", "missing", "absent", "lacking")
VERSUS: Final = ("vs", "versus", "compared to", "compared with", "against")
MADE: Final = ("thin", "dull", "thin out")
TURNED: Final = ("up", "down", "come down", "come up", "go down", "go up")  # behind a word: the attack could come down
MAY: Final = ("could", "should", "can", "must", "might", "has to", "have to", "needs to", "need to")


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
    before: Item | None = None
    for scope in _scopes(items):
        band = before is not None and _says_where(scope)
        before = scope.item
        if band:
            continue
        name = scope.item.quality
        assert name is not None  # noqa: S101 - scopes are of words of sound
        sign = _sign(scope, last, fault=name in faults, about=about)
        if sign == 0.0:
            undirected = undirected or scope.item
            continue
        if sign is not None:
            found.append(Quality(name=name, sign=sign, item=scope.item))
            last = sign if not (name in faults and sign < 0) else last
    if undirected is not None and not found:
        text = undirected.text
        if undirected.says_more:
            raise PieceError(f"{text}, is it too much, or wanted? write less or more", "way", firm=True)
        raise PieceError(f"{text} {UNDIRECTED}; write more {text}, less {text} or {text} +2 dB", "way")
    return found


def _says_where(scope: Scope) -> bool:
    """Whether a part of the spectrum only says where the word of sound before it is: tighter low end, harsh in the top."""
    return scope.item.has("band") and all(item.idle and not item.has("is", "and") for item in scope.lead)


def _scopes(items: Sequence[Item]) -> list[Scope]:
    marks = [number for number, item in enumerate(items) if item.quality is not None and not _is_amount(items, number)
             and not _only_held(items, number)
             and not (item.has("place") and number + 1 < len(items) and items[number + 1].figure is not None)]  # fmt: skip
    if any(items[at].quality not in LEVEL_WORDS for at in marks):
        marks = [at for at in marks if items[at].quality not in LEVEL_WORDS]
    scopes = []
    for number, at in enumerate(marks):
        start = marks[number - 1] + 1 if number else 0
        end = marks[number + 1] if number + 1 < len(marks) else len(items)
        scopes.append(Scope(items[at], list(items[start:at]), list(items[at + 1 : end]), number == len(marks) - 1))
    return scopes


def _only_held(items: Sequence[Item], at: int) -> bool:
    """Whether a part of the spectrum only names what something is held against: the bottom mic is too loud vs the top."""
    lead = [item for item in items[:at] if not item.has("talk") or item.text in VERSUS]
    return items[at].has("band") and bool(lead) and lead[-1].text in VERSUS


def _is_amount(items: Sequence[Item], at: int) -> bool:
    """Whether a word that is an amount too is one: a small lift, but not: sounds small."""
    before = [item for item in items[:at] if not item.has("amount")]
    said = bool(before) and before[-1].has("is", "direction") and items[at - 1].has("is", "direction", "amount")
    return items[at].has("amount") and not said


def _sign(scope: Scope, last: float | None, *, fault: bool, about: bool) -> float | None:
    loud = _is_loud(scope)
    behind = (0.0 if fault else 1.0) if _is_gone(scope) else _behind(scope) if loud is None else loud
    if fault and behind == 1.0 and any(item.text == "up" for item in scope.after):
        behind = None  # "they mud up the main", "so harsh that people looked up": complaints
    said = behind if behind is not None else nearest(scope.item, scope.lead, fault=fault)
    if said is not None:
        return -1.0 if fault and said > 0 and _compares(scope) else said or None
    negated = any(item.has("neg") for item in scope.lead)
    if scope.item.says_more:
        return _comparative(scope, fault=fault, negated=negated)
    if any(item.has("praise") for item in scope.after) and not any(item.has("neg") for item in scope.after):
        return None
    return _named(scope, negated=negated) if fault else _wished(scope, last, negated=negated, about=about)


def _compares(scope: Scope) -> bool:
    """Whether a fault is said to be more there than something else: the kick is more pillow than fist."""
    stated = any((item.has("is") and item.text not in WISHED) or item.text in ("has", "have", "had") for item in scope.lead)
    return stated and any(item.text == "than" for item in scope.after[:1])


def _named(scope: Scope, *, negated: bool) -> float | None:
    """Return the sign of a fault that is named: less of it, unless it is not so."""
    if scope.item.text in MADE and not scope.lead and scope.after and scope.after[0].has("talk"):
        return 1.0  # "thin the brass out": a verb
    return None if negated and scope.item.quality != "buried" else -1.0


def _wished(scope: Scope, last: float | None, *, negated: bool, about: bool) -> float | None:
    """Return the sign of a word that is no fault: more where it is wanted or not there, else that of the list it stands in."""
    if negated and any(item.has("want") or item.text.startswith("should") for item in scope.lead):
        return -1.0  # "I don't want it bright", "it shouldn't be bright"
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
    after = any(item.has("amount") for item in scope.after[:2])
    if (amount or after) and not said and scope.item.quality in ("back", "forward"):
        return 1.0  # "the piano a little back"
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
    return (
        any(item.has("want") for item in scope.lead)
        or (any(item.has("want") for item in scope.after[:2]) and not scope.lead)
        or (not scope.lead and any(item.text in ("please", "pls", "plz") for item in scope.after))
    )


def _is_gone(scope: Scope) -> bool:
    """Whether it is said right behind a word that it is not there: the growl is gone."""
    said = next((item for item in scope.after if not (item.idle or item.has("amount", "is"))), None)
    return said is not None and said.text in GONE and scope.last


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
        if item.has("turn") and scope.item.quality not in LEVEL_WORDS and item.text in TURNED:
            return LIMITS[item.value("turn")]
        if not (item.idle or item.has("amount", "is") or item.text in MAY) and item.figure is None:
            return None
    return None


def _is_loud(scope: Scope) -> float | None:
    """Return what a level says of a part of the spectrum: the lows are too loud, the presence on the vocal is a bit quiet."""
    said = [item for item in scope.after if not item.idle or item.has("is")]
    level = next((at for at, item in enumerate(said) if item.quality in LEVEL_WORDS), None)
    if level is None or not is_sound(scope.item) or not any(item.has("is") for item in said[:level]):
        return None
    if not all(item.has("is", "amount", "direction") or item.text in MAY for item in said[:level]):
        return None
    up = (said[level].quality == "loud") == said[level].says_more
    return 1.0 if up else -1.0


def _comparative(scope: Scope, *, fault: bool, negated: bool) -> float | None:  # noqa: PLR0911 - one reading after the other
    wanted = _wanted(scope) or (
        any(item.has("amount") for item in scope.lead)
        and not any(item.has("is") and item.text != "s" for item in scope.lead)
    )
    praised = max((at for at, item in enumerate(scope.lead) if item.has("praise")), default=-1)
    said = any(item.has("is") and item.text not in WISHED for item in scope.lead[max(praised + 1, len(scope.lead) - 3) :])
    if praised >= 0 and any(item.has("is") for item in scope.lead[praised + 1 :]) and not wanted:
        return None  # "glad they are quieter"
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
    over_all = "than" in scope.item.text.split(" ")
    than = over_all or any(item.text == "than" for item in scope.after)
    if over_all and (said or past) and not wanted:
        return -1.0  # "the shaker was louder than everything"
    if said and not wanted and not past:
        return -1.0 if than else 0.0
    if than and not wanted and not past and scope.item.quality in LEVEL_WORDS and not _as_before(scope):
        return -1.0 if _complains(scope) else 0.0  # "hats louder than the kick": a wish, or a complaint?
    return 1.0


def _complains(scope: Scope) -> bool:
    """Whether a level held against another is no wish: they louder than the main, ad-libs louder than me."""
    than = next((at for at, item in enumerate(scope.after) if item.text == "than"), -1)
    held = scope.after[than + 1 : than + 3]
    return any(item.has("it") for item in scope.lead[:1]) or any(item.has("me", "it", "other", "every") for item in held)


def _as_before(scope: Scope) -> bool:
    return any(item.has("before", "pass") for item in scope.after)
