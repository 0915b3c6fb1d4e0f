"""Beside: words that mean something else beside those around them: thin the pads, bump the highs, all pick and no wood."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.clauses import ARTICLES
from stemwright.notes.items import stems_of
from stemwright.notes.lexicon import Sense
from stemwright.stems.names import split_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item
    from stemwright.notes.targets import Target

_MADE: Final = ("thin", "dull", "warm", "open", "clear", "clean", "smooth", "round")
_DONE: Final = {  # what words of sound do to another, and a bump to a stem
    "bump": ("turn", "up"), "soften": ("take", "less"), "smooth": ("take", "less"), "smooth out": ("take", "less"),
    "mellow": ("take", "less"), "soften up": ("take", "less"), "trim the": ("take", "less"),
}  # fmt: skip
_ALL: Final = (
    "everybody", "everyone", "everybody else", "everyone else", "rest", "the rest", "others", "song", "track", "beat",
)  # fmt: skip
_FIRST: Final = (
    "on top of everything", "in front of everything", "over everything", "above everything", "front of everything",
)  # fmt: skip
_PUT: Final = ("put", "bring", "get", "keep", "let", "have", "sit", "push", "move", "place", "set")


def in_context(items: list[Item]) -> list[Item]:
    """Return items with those as what they mean beside the words around them: all pick and no wood, the drop is massive."""
    found = _owned(items)
    for at, item in enumerate(items):
        if item.text == "way" and at and items[at - 1].text == "s":  # gets in the bass's way
            found[at] = replace(item, senses=(Sense("cover"),), tags=frozenset(("cover",)))
        if item.text in _MADE and _is_verb(items, at):
            found[at] = replace(item, senses=tuple(replace(sense, ending="er") for sense in item.senses))  # "thin the pads"
        if item.text in _DONE and _is_done(items, at):
            sense = Sense(*_DONE[item.text])
            found[at] = replace(item, senses=(sense,), tags=frozenset((sense.tag,)))  # soften the highs
        following = items[at + 1 : at + 2]
        if (
            item.text == "all"
            and following
            and following[0].quality
            and any(each.text.split(" ")[0] == "no" for each in items[at + 2 : at + 5])
        ):
            found[at] = replace(
                item, senses=(Sense("direction", "less"),), tags=frozenset(("direction",))
            )  # all pick, no wood
        if item.text == "up" and at and items[at - 1].quality == "muddy" and following and following[0].has("talk", "it"):
            found[at] = replace(item, senses=(Sense("talk"),), tags=frozenset(("talk",)))  # they mud up the low end
        if item.text == "drop" and following and following[0].has("is"):
            found[at] = replace(item, senses=(Sense("section"),), tags=frozenset(("section", "talk")))
        if item.text == "singing" and at and items[at - 1].has("is"):
            found[at] = replace(item, target=None, senses=(Sense("talk"),), tags=frozenset(("talk",)))
    return _over_all(items, found)


def _over_all(items: Sequence[Item], found: list[Item]) -> list[Item]:
    """Return items with what stands over all of the rest as too loud, or as louder where that is asked: put it over the rest."""
    for at in range(len(items)):
        lead = _lead(items, at)
        if (end := _all_behind(items, at)) and any(item.names for item in lead):
            wished = any(item.has("want", "strong", "guard") or item.text in _PUT for item in lead)
            sense = Sense("more word" if wished else "image", "loud")
            found[at] = replace(items[at], senses=(sense,), tags=frozenset((sense.tag,)))
            for place in range(at + 1, end):
                found[place] = replace(items[place], target=None, senses=(Sense("talk"),), tags=frozenset(("talk",)))
    return found


def _all_behind(items: Sequence[Item], at: int) -> int:
    """Return where what an item covers ends, if that is all of the rest; else 0."""
    if items[at].text in _FIRST:
        return at + 1
    if items[at].names or not items[at].has("cover") or any(item.has("neg", "under") for item in _lead(items, at)):
        return 0
    end = at + 1
    while end < len(items) and (items[end].text in (*ARTICLES, "out", *_ALL) or _is_all(items[end])):
        end += 1
    return end if any(map(_is_all, items[at + 1 : end])) else 0


def _is_all(item: Item) -> bool:
    return item.text in _ALL or (item.has("every") and not item.names)


def _lead(items: Sequence[Item], at: int) -> Sequence[Item]:
    """Return what stands before an item, from the last comma on."""
    return items[next((place + 1 for place in reversed(range(at)) if items[place].kind == "break"), 0) : at]


def _owned(items: Sequence[Item]) -> list[Item]:
    """Return items with "Ann's adlib" as the adlib that has Ann in its name, where there is one."""
    found = list(items)
    for at, item in enumerate(items):
        if item.text != "s" or not at:
            continue
        whose = None if _share_a_stem(items, at) else _held_by(items, at)
        silent = [at - 1, at] if whose is not None else [at] if _share_a_stem(items, at) else []
        for place in silent:
            found[place] = replace(items[place], target=None, senses=(Sense("talk"),), tags=frozenset(("talk",)))
        if whose is not None:
            found[at + 1] = replace(items[at + 1], target=whose)
    return found


def _is_done(items: Sequence[Item], at: int) -> bool:
    """Whether a word is done to a sound, or a bump to a stem: soften the highs; not: soften the kick, the bump the kick has."""
    behind = [item for item in items[at + 1 : at + 3] if item.text not in (*ARTICLES, "some")]
    if items[at].text == "bump" and behind and behind[0].figure is not None:
        return True  # bump 2 at 65
    if not behind or (len(behind) > 1 and not items[at].text.endswith(" the") and not behind[0].text.startswith("the ")):
        return False
    what = behind[0]
    bumped = items[at].text == "bump" and what.names and not (at and items[at - 1].text in ARTICLES)
    return bumped or (what.quality is not None and (what.has("band") or not what.names))


def _is_verb(items: Sequence[Item], at: int) -> bool:
    """Whether a word is done to a stem: could you thin the pads; not: a thin pad, the pads are thin."""
    following, before = items[at + 1 : at + 3], items[max(0, at - 1) : at]
    named = len(following) == 2 and following[0].text in ARTICLES and following[1].names
    named = named or ([each.text for each in following[1:]] == ["out"] and following[0].has("it"))  # thin those out
    asked = all(
        each.has("want", "and") or each.kind == "break" or each.text.split(" ")[-1] in ("you", "to", "we", "i")
        for each in before
    )
    return named and asked


def _held_by(items: Sequence[Item], at: int) -> Target | None:
    """Return the stems of the name behind an "'s" that have the word before it in their names; None where none does."""
    owner, thing = items[at - 1], items[at + 1] if at + 1 < len(items) else None
    if not owner.names or thing is None or thing.target is None:
        return None
    words = set(split_words(owner.text))
    stems = tuple(stem for stem in thing.target.stems if words <= set(split_words(stem)))
    return replace(thing.target, stems=stems) if stems else None


def _share_a_stem(items: Sequence[Item], at: int) -> bool:
    """Whether the names on both sides of an item are of the same stem: Ann's guitar."""
    sides = [*items[at - 1 : at], *items[at + 1 : at + 2]]
    return len(sides) == 2 and bool(set(stems_of(sides[:1])) & set(stems_of(sides[1:])))
