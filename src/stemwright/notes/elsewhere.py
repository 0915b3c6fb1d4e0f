"""Elsewhere: the work that no move of ours does, and whose work it is. The words for it stand in ``recipes/speech``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.frames import When
    from stemwright.notes.items import Item
    from stemwright.notes.subjects import Subjects


@dataclass(frozen=True)
class WorkKind:
    """One kind of work that is not ours: what it is called, and who does it."""

    name: str
    what: str
    whose: str


APPROVAL: Final = WorkKind("approval", "an approval", "yours: stemwright keep SONG STEM signs it off")
AUTOMATION: Final = WorkKind("automation", "a change over time, in one section or at one moment", "the mix's automation")
EDIT: Final = WorkKind("edit-mute", "an edit or a mute", "the session the stems were bounced from")
ARRANGEMENT: Final = WorkKind("arrangement", "arrangement", "the producer's session")
OTHER: Final = WorkKind(
    "other-work",
    "nothing that EQ, a level or a notch answers",
    "whoever records, edits, arranges or mixes it, or answers questions",
)
KINDS: Final = {
    kind.name: kind
    for kind in (
        WorkKind("reverb-delay", "reverb or delay", "the mix, where the sends are"),
        WorkKind("pan-width", "panning or width", "the mix: stems keep their place"),
        WorkKind("timing-tuning", "timing or tuning", "the recording engineer's edit session"),
        EDIT,
        ARRANGEMENT,
        WorkKind("distortion", "distortion or saturation", "the producer or the mix"),
        WorkKind("dynamics", "dynamics or mastering", "a compress move in the recipe, or the mix"),
        AUTOMATION,
        APPROVAL,
    )
}
# What a stem alone is not turned down by, but taken out of the song.
OUT: Final = frozenset(
    ("lose", "kill", "remove", "take out", "cut", "get rid of", "get rid", "cut out", "take away", "strip", "eliminate", "delete",
     "weg", "out of", "stop", "get out", "pull out", "drop")
)  # fmt: skip
IN: Final = frozenset(("add", "inject", "put some"))
_WISHES: Final = ("want", "strong", "direction", "turn", "take", "neg", "lack")


def kind_of(items: Sequence[Item], subjects: Subjects, when: When | None) -> WorkKind | None:
    """Return the kind of work that a clause asks for, where it is none of ours.

    Parameters
    ----------
    items : sequence of Item
        The clause's.
    subjects : Subjects
        Whom it is about.
    when : When or None
        Where in the song.
    """
    marks = [item for item in items if item.has("elsewhere") and (not item.names or item in subjects.sounds)]
    marks = [mark for mark in marks if not _is_revision(items, mark)]
    if not subjects.explicit:  # "too sharp. Not in pitch."
        marks = [mark for mark in marks if not any(item.has("neg") for item in items[: items.index(mark)])]
    asked = any(item.quality is not None for item in items if item not in marks) or any(
        item.figure is not None and item.figure.unit in ("hz", "db") for item in items
    )
    if any(item.figure is not None and item.figure.unit == "db" for item in items):
        marks = [mark for mark in marks if mark.text.split(" ")[0] != "trim"]  # "trim the choir 1.5 dB": a level
    if any(item.has("praise") for item in items) and not asked and not any(item.has(*_WISHES) for item in items):
        marks = [
            mark for mark in marks if mark.has("approve")
        ]  # "all fine until the hats come in", "the arrangement is lovely"
    sure = [item for item in marks if not item.has("weak") and item.quality is None]
    out = _takes_out(items)
    if out and any(item.has("move", "filter") and not item.names and item.text not in OUT for item in items):
        return None  # "remove the filter from the pad again"
    if (
        out
        and any(mark.value("elsewhere") == AUTOMATION.name for mark in marks)
        and any(item.has("event") for item in items)
    ):
        return EDIT  # "remove the click at the start"
    if sure or (marks and not asked):
        return KINDS[(sure or marks)[0].value("elsewhere")]
    return None if asked and when is None else _taken_or_added(items, subjects, when, asked=asked)


def _takes_out(items: Sequence[Item]) -> bool:
    return any(item.has("take", "turn") and item.text in OUT for item in items)


def _is_revision(items: Sequence[Item], mark: Item) -> bool:
    """Whether "rev" is a revision and no reverb: rev 6."""
    behind = items[items.index(mark) + 1 :]
    return mark.text == "rev" and bool(behind) and behind[0].figure is not None


def _taken_or_added(items: Sequence[Item], subjects: Subjects, when: When | None, *, asked: bool) -> WorkKind | None:
    """Return the kind of work of a clause that takes something out of the song, or puts something into it."""
    out = _takes_out(items)
    event = any(item.has("event") for item in items)
    moved = any(item.has("direction", "turn") and item.text not in OUT for item in items)
    if when is not None and event and not moved:
        return EDIT
    if asked:
        return None
    section = any(item.has("section") for item in items) or (when is not None and bool(when.section))
    if out and not subjects.items and section:
        return ARRANGEMENT
    plain = not any(item.figure is not None or item.has("direction", "amount", "ask") for item in items)
    if out and plain and (event or (subjects.items and not any(item.unknown for item in items))):
        return EDIT
    return ARRANGEMENT if subjects.absent and any(item.text in IN for item in items) else None
