"""Timing: whether a clause speaks of one place in the song, and which."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stemwright.notes.frames import When

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item


def when_in(items: Sequence[Item], *, everywhere: bool) -> tuple[When | None, list[Item]]:
    """Return the place in time that a clause names, and the items that name it; none where it says "everywhere" too."""
    clocks = [item for item in items if item.figure is not None and item.figure.unit == "s"]
    if clocks:
        seconds = [item.figure.value for item in clocks if item.figure is not None]
        text = " to ".join(item.text for item in clocks)
        used = [*clocks, *_near(items, clocks)]
        return (None, used) if everywhere else (When(text, start_s=min(seconds), end_s=max(seconds)), used)
    for at, item in enumerate(items):
        if not item.has("section") or item.names or item.has("word", "more word", "image", "approve"):
            continue
        lead = _lead(items[:at])
        if _is_covered(items[: at - len(lead)], lead):
            continue
        number = items[at + 1 : at + 2]
        numbered = bool(number) and number[0].figure is not None and not number[0].figure.unit
        placed = any(each.has("place") or (each.text == "when" and each.text not in ("of", "about", "by")) for each in lead)
        ordered = any(each.has("ordinal") or each.kind == "figure" for each in lead)
        if placed or (ordered and at >= len(lead)) or numbered:
            used = [*lead, item, *(number if numbered else [])]
            text = " ".join(each.text for each in used if not each.has("place"))
            return (None, used) if everywhere else (When(text, section=item.text), used)
    return None, []


def _is_covered(before: Sequence[Item], lead: Sequence[Item]) -> bool:
    """Whether a section is what is covered, and no place: it clouds the whole chorus."""
    return bool(before) and before[-1].has("cover") and not any(each.has("place") for each in lead)


def _lead(items: Sequence[Item]) -> list[Item]:
    """Return what leads up to a section: in the second verse."""
    lead: list[Item] = []
    for item in reversed(items):
        plain = item.figure is not None and not item.figure.unit and not item.figure.signed
        if item.text == "when":
            return [item, *lead]
        if item.names or not (item.has("place", "ordinal", "talk", "section") or plain):
            break
        lead.insert(0, item)
        if item.has("place"):
            break
    return lead if any(item.has("place", "ordinal") or item.kind == "figure" for item in lead) else []


def _near(items: Sequence[Item], clocks: Sequence[Item]) -> list[Item]:
    first = items.index(clocks[0])
    return [item for item in items[max(0, first - 1) : first] if item.has("place")]
