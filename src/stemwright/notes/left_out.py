"""Left out: the sound that a later part of a sentence does not say again: more air on the vocal, less on the guitar."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from stemwright.notes.amending import IN_ITS_PLACE
from stemwright.notes.clauses import ARTICLES
from stemwright.notes.items import stems_of
from stemwright.notes.lexicon import Sense
from stemwright.notes.list_ends import (
    ALSO,
    BARS,
    has_a_sign,
    is_names,
    likewise,
    only_joins,
    there,
    with_breaks,
    without_the_amount_of_all,
)
from stemwright.recipes.grammar import LEVEL_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from stemwright.notes.items import Item

_AT: Final = frozenset(("on", "in", "of", "for", "from", "to", "out of", "at"))  # before a stem that is not turned itself
_LOW_END: Final = ("low end", "bottom end")  # the kick's and the bass's name as well
_CUT_IT: Final = "cut it"  # alone it says that all is well
_POINTS: Final = ("direction", "turn", "take")


def with_what_is_left_out(items: Sequence[Item], sentence_before: Sequence[Item] = ()) -> list[Item]:
    """Return a sentence's items, with the sound said of one stem where a later part turns it on another without saying it.

    Parameters
    ----------
    items : sequence of Item
        Of one sentence.
    sentence_before : sequence of Item
        What was returned for the sentence before it.

    Returns
    -------
    list of Item
        ``cut them on the guitar``, ``less on the guitar``, ``-2 on the guitar``, ``the guitar needs less`` and ``the guitar too``
        get the sound that the part before them named, ``cut it 4 dB`` the frequency; what names a sound or a level itself is as
        it was.
    """
    done = list(_parts(sentence_before))
    start = len(done)
    for part in map(_as_a_sound, _parts(with_breaks(items))):
        before = _last_said(done)
        other = bool(before) and not set(stems_of(part)) & set(stems_of(before))
        part = _with_the_place(part, before) if other else part  # noqa: PLW2901
        if other and _says_no_sound(part):
            completed = _completed(part, before)
            done.append(completed if completed != part else likewise(part, done) or part)
        elif same := likewise(part, done):
            done.append(same)
        elif _says_how_much(part, before):
            done.append([*part, *there(_sounds(before), part[-1])])
        elif done:
            done.append(without_the_amount_of_all(part, done) or _with_the_verb_of(part, done))
        else:
            done.append(part)
    return [item for part in done[start:] for item in part]


def _last_said(parts: Sequence[list[Item]]) -> list[Item]:
    """Return the last part that names stems, if it says one sound of them, and the part before it none of them too."""
    at = next((at for at in reversed(range(len(parts))) if any(item.names for item in parts[at])), None)
    if at is None or not _sounds(parts[at]) or any(item.has(*BARS) for item in parts[at]):
        return []
    shared = at and any(map(_says_sound, parts[at - 1])) and not any(item.names for item in parts[at - 1])
    return [] if shared else parts[at]  # "more air and bite on the vocal"


def _says_sound(item: Item) -> bool:
    return item.quality is not None and not item.names


def _as_a_sound(part: list[Item]) -> list[Item]:
    """Return a part with its low end as a sound where another stem is named: more low end on the kick."""
    low = [item for item in part if item.names and item.text.removeprefix("the ") in _LOW_END]
    others = any((item.names and item not in low) or item.has("it") for item in part)
    return [replace(item, target=None) if others and item in low else item for item in part]


def _parts(items: Sequence[Item]) -> Iterator[list[Item]]:
    """Yield the parts of a sentence, each with the comma or the "and" before it."""
    part: list[Item] = []
    for item in items:
        if part and (item.kind == "break" or (item.has("and") and not item.names)) and not only_joins(part):
            yield part
            part = []
        part.append(item)
    if part:
        yield part


def _says_how_much(part: Sequence[Item], before: Sequence[Item]) -> bool:
    """Whether dB stand behind a place in the spectrum of which nothing is asked yet: something at 2k in the snare, scoop it 4 dB."""
    told = any(each.is_frequency for each in before)
    asked = any(
        _points(each) or _says_sound(each) or (each.figure is not None and each.figure.unit == "db") for each in before
    )
    of_it = any(each.has("it") for each in part) and any(map(_points, part))
    in_db = any(each.figure is not None and each.figure.unit == "db" for each in part)
    more = any(each.names or each.quality or each.is_frequency for each in part)
    return told and not asked and of_it and in_db and not more


def _with_the_verb_of(part: list[Item], done: Sequence[Sequence[Item]]) -> list[Item]:
    """Return figures without a stem with what the part before did to one: up 1 dB and 2 dB at 10k; -2 at 500 and 1k."""
    figures = [each.figure for each in part if each.figure is not None]
    others = [each for each in part if each.figure is None and not each.names]
    only = all(
        each.text in ("at", "around", "@", "hz", *ARTICLES) or each.kind == "colon" or only_joins([each]) for each in others
    )
    before = done[-1]
    own = any(item.names for item in part)  # guitar at 350
    headed = own or any(item.kind == "colon" for item in before)  # keys and pad: cut 2 dB at 250 and 1 dB at 3k
    named = [] if headed else _named_in(done)
    places = [each.is_frequency for each in figures].count(True)
    if not (only and (named or headed) and places == 1 and len(figures) < (2 if own else 3)):
        return part
    gains = [item for item in before if item.figure is not None and not item.is_frequency]
    verbs = [
        item for item in before if (item.has("turn", "filter") or _points(item)) and not item.names and item not in gains
    ]
    told = any(item.is_frequency for item in before)
    if len(figures) == 1 and told and (gains or verbs):
        again = [*verbs, *gains]
    elif len(figures) == 2 and verbs and gains and not any(each.signed for each in figures):
        again = verbs[:1]
    else:
        return part
    colon = next((at + 1 for at, item in enumerate(part) if item.kind == "colon"), 0)
    at = colon or next(at for at, item in enumerate(part) if not only_joins([item]))
    return [*part[:at], *there([*named, *again], part[at]), *part[at:]]


def _named_in(done: Sequence[Sequence[Item]]) -> list[Item]:
    """Return the names of the last part, and of those of names alone before it."""
    named = [item for item in done[-1] if item.names]
    for part in reversed(done[:-1]):
        if not is_names(part):
            break
        named = [*(item for item in part if item.names), *named]
    return named


def _says_no_sound(part: Sequence[Item]) -> bool:
    """Whether a part names stems and neither a sound nor a level, and nothing that may say another thing."""
    named = any(item.names for item in part)
    heard = any(map(_says_sound, part))
    strange = any(item.unknown or item.problem or item.has(*BARS) for item in part)
    placed = any(item.is_frequency for item in part)
    plain = [item for item in part if item.text not in ARTICLES]
    of_one = any(
        one.names and on.text in _AT and other.names for one, on, other in zip(plain, plain[1:], plain[2:], strict=False)
    )
    return named and not (heard or strange or placed or of_one)  # more bass on the kick


def _sounds(part: Sequence[Item]) -> list[Item]:
    """Return what a part says of where in the spectrum: a word of sound, or a frequency and its filter."""
    if any(item.quality in LEVEL_WORDS for item in part if not item.names):
        return []
    words = list(filter(_says_sound, part))
    if words:
        return words if len(words) == 1 else []
    where = [item for item in part if item.is_frequency]
    kinds = [item for item in part if (item.has("filter") and not item.names) or _is_q(item)]
    before = {id(item): each for each, item in pairwise(part)}
    ats = [before[id(item)] for item in where if id(item) in before and before[id(item)].text in ("at", "around", "@")]
    return [*ats, *where, *kinds] if len(where) == 1 else []


def _is_q(item: Item) -> bool:
    return item.figure is not None and item.figure.unit == "q"


def _with_the_place(part: list[Item], before: Sequence[Item]) -> list[Item]:
    """Return a part of dB with the frequency that "there" means: -1.5 dB at 3k5 on the keys, the pad -1.5 dB there too."""
    sounds = _sounds(before)
    in_db = any(item.figure is not None and item.figure.unit == "db" for item in part)
    at = next((at for at, item in enumerate(part) if item.text in IN_ITS_PLACE), None)
    if at is None or not in_db or not any(each.is_frequency for each in sounds):
        return part
    return [*part[:at], *there(sounds, part[at]), *(item for item in part[at + 1 :] if item.text not in ALSO)]


def _completed(part: list[Item], before: Sequence[Item]) -> list[Item]:
    """Return a part with the sound that it leaves out; as it is, if it does not."""
    sounds = _sounds(before)
    part = _with_verb(part, before, sounds)
    for at, item in enumerate(part):
        if _is_on_a_stem(part, at) and (item.text == _CUT_IT or (item.has("it") and any(map(_points, part[:at])))):
            verb = [_cut(item)] if item.text == _CUT_IT else []
            return [*part[:at], *verb, *there(sounds, item), *part[at + 1 :]]  # boost them on the guitar
        if item.text == "out of" and _is_on_a_stem(part, at - 1) and at and part[at - 1].has("amount"):
            return [*part[:at], *there(sounds, part[at - 1]), *part[at:]]  # a bit out of the guitar
        level = item.figure is not None and (part[0].kind == "break" or not any(map(has_a_sign, before)))
        if _points(item) and not level and item.text not in _AT and _is_on_a_stem(part, at):
            return [*part[: at + 1], *there(sounds, item), *part[at + 1 :]]  # less on the guitar
    said = [item for item in part if not (item.idle or item.text in ARTICLES or item.kind in ("break", "colon", "dash"))]
    if said and said[0].names and said[-1].has("direction") and said[-1].text != "too":
        at = part.index(said[-1])
        return [*part[: at + 1], *there(sounds, said[-1]), *part[at + 1 :]]  # the guitar needs less
    also = next((item for item in part if item.text in ALSO), None)
    if also is None or not all(item.names or item is also for item in said):
        return part
    asked = [item for item in before if not (item.names or item.kind == "break" or item.has("and", "place", "talk"))]
    at = part.index(also)
    asked = [item for item in asked if item.kind not in ("colon", "dash")]
    return [*part[:at], *part[at + 1 :], *there(asked, also)]  # the guitar too; guitar: the same


def _with_verb(part: list[Item], before: Sequence[Item], sounds: Sequence[Item]) -> list[Item]:
    """Return a part of a stem and dB alone with the verb and the frequency before it: cut 300 on the keys by 2, the pad by 3."""
    figures = [item for item in part if item.figure is not None]
    alone = len(figures) == 1 and not has_a_sign(figures[0]) and not any(map(_points, part))
    only = all(item.names or item in figures or item.idle or item.text in ARTICLES or only_joins([item]) for item in part)
    told = any(item.figure is not None and item.figure.unit in ("", "db") and not item.is_frequency for item in before)
    verb = next((item for item in before if _points(item) and item.figure is None and item.text not in _AT), None)
    placed = any(item.is_frequency for item in before)
    if verb is None or not (alone and only and placed and told):
        return part
    start = next(at for at, item in enumerate(part) if not only_joins([item]))
    return [*part[:start], *there([verb, *sounds], part[start]), *part[start:]]


def _cut(item: Item) -> Item:
    return replace(item, senses=(Sense("take", "less"),), tags=frozenset(("take",)))


def _points(item: Item) -> bool:
    """Whether an item says which way: more, up, cut, -2."""
    return has_a_sign(item) or (item.has(*_POINTS) and not item.has("is") and not item.names)


def _is_on_a_stem(part: Sequence[Item], at: int) -> bool:
    """Whether "on" and a stem stand behind an item."""
    behind = [item for item in part[at + 1 : at + 4] if item.text not in ARTICLES]
    return len(behind) > 1 and behind[0].text in _AT and behind[1].names
