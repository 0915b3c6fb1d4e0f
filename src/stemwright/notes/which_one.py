"""Which one: of stems that share a name, the one that a word tells from another: the second one, the other guitar, one of them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

from stemwright.notes.clauses import ARTICLES
from stemwright.notes.number_words import ORDINALS
from stemwright.notes.numbered import of_number
from stemwright.notes.targets import Target

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets

_OTHER: Final = ("other", "the other")
_OF: Final = ("of", "of the", "of my", "of your", "of our", "of those", "of these")


def told_apart(items: Sequence[Item], targets: Targets) -> list[Item]:
    """Return a sentence's items with those that tell one stem from another as its name.

    ``one of the guitars`` is nobody's name: where there are several, it says which there are to choose from.
    """
    found = list(items)
    for at, item in enumerate(items):
        before = _named_before(found[:at])
        behind = items[at + 1] if at + 1 < len(items) else None
        if item.text == "one" and behind is not None and behind.text in _OF:
            many = next((each for each in items[at + 2 : at + 4] if each.text not in ARTICLES), None)
            if many is not None and many.target is not None and len(many.target.stems) > 1:
                found[at] = replace(item, kind="name", problem=_which(many.target.stems, f"one of the {many.text}"))
        elif item.text in _OTHER and behind is not None:
            found[at : at + 2] = _other(item, behind, before, targets)
        elif before and item.text.removeprefix("the ") in ORDINALS and (behind is None or not _counts(behind)):
            number = str(ORDINALS.index(item.text.removeprefix("the ")) + 1)
            stems = of_number(_alike(before, targets), number)
            if stems:
                found[at] = _called(item, item.text, stems)
                if behind is not None and behind.text == "one":
                    found[at + 1] = _silent(behind)
    return found


def _other(item: Item, behind: Item, before: Sequence[str], targets: Targets) -> list[Item]:
    """Return "other" and the word behind it as the name of the stems that were not named before it."""
    own = behind.target.stems if behind.target is not None else ()
    alike = own or (_alike(before, targets) if before and behind.text == "one" else ())
    left = [stem for stem in alike if stem not in before]
    several = len(own) > 1 and not before and not behind.text.endswith("s")
    if not (left and (several or (before and set(before) < set(alike)))):
        return [item, behind]
    if behind.text.endswith("s"):
        return [_silent(item), replace(behind, target=Target("stem", behind.text, tuple(left)))]  # the other guitars
    return [_called(item, f"the other {behind.text}", left), _silent(behind)]


def _named_before(items: Sequence[Item]) -> tuple[str, ...]:
    """Return the stems that were named last; one, or there is nothing to tell it from."""
    last = next((item.target.stems for item in reversed(items) if item.target is not None and item.names), ())
    return last if len(last) == 1 else ()


def _alike(stems: Sequence[str], targets: Targets) -> list[str]:
    """Return the stems of the role that one has."""
    role = targets.role_of(stems[0])
    return [stem for stem in targets.everything.stems if targets.role_of(stem) == role] if role[0] else []


def _counts(item: Item) -> bool:
    """Whether what stands behind an ordinal is what it counts: the second verse, the second guitar."""
    more = item.quality is not None or item.has("direction", "turn", "amount", "is", "and", "want", "neg", "lack", "take")
    return not (item.text == "one" or item.kind in ("break", "colon", "figure", "sign") or (more and not item.names))


def _called(item: Item, text: str, stems: Sequence[str]) -> Item:
    """Return an item as the name of one stem, or with whom there is to choose from."""
    if len(stems) != 1:
        return replace(item, kind="name", problem=_which(stems, text)) if stems else item
    return replace(item, target=Target("stem", text, tuple(stems)), senses=(), tags=frozenset())


def _silent(item: Item) -> Item:
    return replace(item, kind="mark", target=None, senses=(), tags=frozenset(("talk",)))


def _which(stems: Sequence[str], text: str) -> str:
    return f"{text}: which one? name one of: {', '.join(stems)}"
