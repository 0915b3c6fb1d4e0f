"""Parting: where one clause of a sentence ends and another begins, and what a clause leaves out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.notes.clauses import ARTICLES, Clause, predicates

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item
    from stemwright.notes.numbers import Figure

HELD_BY = ("through", "over", "past", "under", "behind", "than", "above", "below")  # cut through the break
GAINING = ("bell", "notch", "high_shelf", "low_shelf")
MANY = ("all", "family", "group")


def parts_of(items: Sequence[Item]) -> list[Clause]:
    """Return a sentence's items parted where another thing begins."""
    parts = [Clause()]
    leaving = False
    for number, item in enumerate(items):
        here, after = parts[-1], items[number + 1 :]
        if _separates(item) and not (
            _is_only_a_frequency(item, here)
            or _goes_on_with_its_frequency(item, here, after)
            or _goes_on_with_its_gain(item, here, after)
            or _goes_on_with_its_stem(item, here, after)
        ):
            leaving = _leaves_out(item, here, after, leaving=leaving)
            if not leaving:
                parts.append(Clause(joined_by=_joined_by(item, here, after)))
        elif (item.has("but not for") and not item.names) or _only_not(item, parts, after):
            if len(parts) > 1 and not here.items and here.joined_by == "," and _many(parts[-2]) and _names_next(after):
                parts.pop()  # "drums louder, but not the kick"
                here = parts[-1]
            praised = any(each.has("praise") or each.text in ("like", "love") for each in here.items)
            leaving = _many(here) and (not praised or any(each.has("before") for each in here.items))
            # "but not the hat like pass 2", "but not dull": its reader needs it
            needed = item.text == "but not" and any(each.has("before", "pass") or each.quality for each in after)
            parts += [] if leaving else [Clause(joined_by=";", items=[item] if needed else [])]
        elif leaving and item.target is not None:
            here.left_out.append(item)
        elif leaving and item.text in ARTICLES and _names_next(after):
            continue
        else:
            leaving = leaving and item.idle
            parts += [Clause(joined_by=";")] if _begins(item, here, after) else []
            parts[-1].items.append(item)
    return parts


def _only_not(item: Item, parts: Sequence[Clause], after: Sequence[Item]) -> bool:
    """Whether "not" and names are all that stands behind a comma after many: everything brighter, not the kick."""
    if item.text != "not" or len(parts) < 2 or parts[-1].items or parts[-1].joined_by != "," or not _many(parts[-2]):
        return False
    behind = [each for each in after if not each.idle or each.names]
    end = next((at for at, each in enumerate(behind) if _separates(each)), len(behind))
    return end > 0 and all(each.target is not None for each in behind[:end])


def _separates(item: Item) -> bool:
    return item.kind in ("break", "colon", "dash") or (item.has("and") and not item.names and not item.quality)


def _goes_on_with_its_frequency(item: Item, here: Clause, after: Sequence[Item]) -> bool:
    """Whether what a filter lacks stands behind the comma: low-pass on the sample, 7 kHz; hpf on the pad, 150 or so."""
    passes = any(each.has("filter") and each.value("filter").endswith("pass") and not each.names for each in here.items)
    filtered = any(each.has("filter") and not each.names for each in here.items)
    figures = any(each.figure is not None for each in here.items)
    first = next((each for each in after if each.text not in ("at", "around", "about")), None)
    return (
        item.text == ","
        and filtered
        and not figures
        and first is not None
        and first.figure is not None
        and (first.figure.unit == "hz" or (first.figure.is_frequency and passes) or _has_all_of_a_shelf(here, after))
    )


def _has_all_of_a_shelf(here: Clause, after: Sequence[Item]) -> bool:
    """Whether gain and frequency stand behind the comma: a high shelf on the hats, minus 3 dB from 9k up."""
    gaining = any(each.has("filter") and each.value("filter") in GAINING and not each.names for each in here.items)
    end = next((at for at, each in enumerate(after) if _separates(each)), len(after))
    own = after[:end]
    named = any(each.names for each in own)
    return gaining and not named and any(each.is_frequency for each in own)


def _is_only_a_frequency(item: Item, here: Clause) -> bool:
    """Whether nothing but a frequency stands before a comma: at 400 Hz, take 3 dB off the snare."""
    figures = [each.figure for each in here.items if each.figure is not None]
    told = all(each.figure is not None or each.idle or each.text in ("at", "around", "about") for each in here.items)
    return item.text == "," and told and not here.names and [each.unit for each in figures] == ["hz"]


def _goes_on_with_its_gain(item: Item, here: Clause, after: Sequence[Item]) -> bool:
    """Whether what a bell lacks stands behind the comma: a small bell on 220 Hz, +2, Q 1.4."""
    figures = [each.figure for each in here.items if each.figure is not None]
    filtered = any(each.has("filter") and each.value("filter") in GAINING and not each.names for each in here.items)
    first = after[0].figure if after else None
    return item.text == "," and filtered and first is not None and (first.unit == "q" or _is_first_gain(first, figures))


def _is_first_gain(figure: Figure, before: Sequence[Figure]) -> bool:
    """Whether a figure is the dB of the one frequency before it."""
    gain = figure.unit == "db" or (not figure.unit and figure.signed)
    return gain and [each.is_frequency for each in before] == [True]


def _goes_on_with_its_stem(item: Item, here: Clause, after: Sequence[Item]) -> bool:
    """Whether only the stem that a frequency is for stands behind the comma: bell at 300, -2 dB, on the keys."""
    own = after[: next((at for at, each in enumerate(after) if _separates(each)), len(after))]
    figures = any(each.is_frequency for each in here.items)
    placed = bool(own) and own[0].has("place")
    only = all(each.idle or each.names for each in own) and any(each.names for each in own)
    return item.text == "," and figures and not here.names and placed and only and not any(each.has("is") for each in own)


def _leaves_out(item: Item, here: Clause, after: Sequence[Item], *, leaving: bool) -> bool:
    """Whether names behind a separator are left out: everything but the kick and the bass."""
    if item.text == "but" and _many(Clause(items=here.items[-2:])) and _names_next(after):
        praised = any(each.has("praise") for each in here.items)
        return not (praised and _told_next(after))
    return leaving and item.kind != "colon" and _names_next(after, within=3)


def _told_next(items: Sequence[Item]) -> bool:
    """Whether something is said of the name that stands next: it wins on everything but the snare is dark, the vocal needs air."""
    at = next(at for at, item in enumerate(items) if item.target is not None)
    behind = items[at + 1 : at + 2]
    return (
        bool(behind) and behind[0].text != "s" and behind[0].has("is", "want", "lack", "neg", "strong", "direction", "turn")
    )


def _joined_by(item: Item, here: Clause, after: Sequence[Item]) -> str:
    if item.text == "or" and after and after[0].figure is not None:
        return "or"  # a choice of figures
    if item.kind == "colon" or (item.kind == "dash" and bool(here.names) and not here.says()):
        return ":"
    return "and" if item.has("and") and item.text != "but" else item.text


def _begins(item: Item, here: Clause, after: Sequence[Item]) -> bool:
    """Whether an item begins a clause of its own without a separator before it."""
    if item.has("direction") and _asked_already(here, after):
        return True
    if item.has("amount") and after and after[0].has("direction") and _asked_already(here, after[1:]):
        return True
    if item.has("filter") and not item.names and _filtered_already(here):
        return True
    if item.figure is not None and item.figure.signed and _has_gain_and_frequency(here):
        return True
    return (item.names or (item.has("other") and not item.idle)) and _begins_anew(here, after)


def _many(part: Clause) -> bool:
    return any(item.has("every", "other") or (item.target is not None and item.target.kind in MANY) for item in part.items)


def _names_next(items: Sequence[Item], within: int = 2) -> bool:
    for item in items[:within]:
        if item.target is not None:
            return True
        if not item.idle:
            return False
    return False


def _asked_already(here: Clause, after: Sequence[Item]) -> bool:
    """Whether "more" or "less" of a name begins anew behind another: more drums less music."""
    said = [item for item in here.items if not item.idle]
    following = [item for item in after if not item.idle][:1]
    return (
        bool(said)
        and said[-1].names
        and any(item.has("direction") for item in said)
        and bool(following)
        and following[0].names
    )


def _filtered_already(here: Clause) -> bool:
    """Whether a filter and its frequency stand before another filter: hpf 80 lpf 10k."""
    at = next((at for at, item in enumerate(here.items) if item.has("filter") and not item.names), None)
    return at is not None and any(
        item.figure is not None and item.figure.unit in ("hz", "") for item in here.items[at + 1 :]
    )


def _has_gain_and_frequency(here: Clause) -> bool:
    """Whether a figure with a sign and a frequency stand before another such: keys -2 @ 300 +1 @ 8k."""
    figures = [item.figure for item in here.items if item.figure is not None]
    return any(figure.signed for figure in figures) and any(figure.is_frequency for figure in figures)


def _begins_anew(here: Clause, after: Sequence[Item]) -> bool:
    """Whether a second name begins a clause of its own: hats darker kick brighter."""
    said = [item for item in here.items if not item.idle]
    named = [item for item in said if item.names]
    if any(item.has("reason", "like") or item.text in ("when", "where") for item in here.items):
        return False
    if (
        not named
        or not said
        or said[-1].names
        or said[-1].has("direction", "take", "want", "strong", "neg", "lack", "amount", "cover", "under", "pass")
    ):
        return False
    leading = next((item for item in reversed(here.items) if item.text not in ARTICLES), here.items[-1])
    if (
        leading.text.split(" ")[-1] in HELD_BY
        or here.items[-1].has("place", "like")
        or not any(predicates(item) or item.kind == "figure" for item in said)
    ):
        return False
    following = [item for item in after if not item.idle][:1]
    is_next = bool(after) and after[0].has("is") and here.items[-1].kind == "word"
    return is_next or (
        bool(following)
        and following[0].has("word", "more word", "image", "turn", "direction")
        and following[0].kind == "word"
    )
