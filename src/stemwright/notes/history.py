"""History: what a clause says about earlier passes: undo, like before, half of that, and what to keep away from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from stemwright.notes.frames import Back

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item

ORDINALS: Final = {
    "first": 1,
    "1": 1,
    "one": 1,
    "second": 2,
    "2": 2,
    "two": 2,
    "third": 3,
    "3": 3,
    "three": 3,
    "fourth": 4,
    "4": 4,
    "four": 4,
}
AGO: Final = ("ago", "back", "before", "earlier")
COUNTED: Final = ("version", "versions", "pass", "passes", "notes", "steps", "mixes", "rounds", "revisions", "bounces")
LESS_SHARE, MORE_SHARE = 0.67, 1.5  # common practice, no source


def keeps_off(items: Sequence[Item]) -> bool:
    """Whether a clause tells to leave something alone."""
    negated = False
    for at, item in enumerate(items):
        negated = negated or (item.has("neg", "lack") and not item.has("leave"))
        if item.has("touch") and negated:
            return True
        if item.has("stays") and not item.names and not any(each.has("word", "image", "more word") for each in items):
            return True
        if item.has("leave") and not item.names:
            rest = items[at + 1 :]
            asked = [each for each in items if each.has("word", "more word", "image", "move", "event", "section")]
            if not asked and all(
                each.names
                or each.idle
                or each.has(
                    "as is",
                    "it",
                    "other",
                    "every",
                    "praise",
                    "amount",
                    "touch",
                    "past",
                    "approve",
                    "want",
                    "before",
                    "direction",
                    "guard",
                )
                for each in rest
            ):
                return True
    return False


def _counted(items: Sequence[Item]) -> int | None:
    """Return how many passes ago: two versions ago."""
    texts = [word for item in items for word in item.text.split()]
    for at, word in enumerate(texts[:-2]):
        if word in ORDINALS and texts[at + 1] in COUNTED and texts[at + 2] in AGO:
            return ORDINALS[word]
    return None


def pass_number(items: Sequence[Item]) -> int | None:
    """Return the number of a pass that a clause names: pass 2, v3, second version, the first try."""
    for at, item in enumerate(items):
        after = items[at + 1] if at + 1 < len(items) else None
        number = after.figure if after is not None else None
        if (
            item.has("pass")
            and not item.names
            and number is not None
            and not number.unit
            and not number.signed
            and number.value == int(number.value)
        ):
            return int(number.value)
        behind = items[at - 1] if at else None
        if (
            item.has("pass")
            and item.text not in ("take", "mix", "p", "v")
            and behind is not None
            and behind.text.split(" ")[0] in ORDINALS
            and behind.text != "one"
        ):
            return ORDINALS[behind.text.split(" ")[0]]
        if (
            item.text in ("2 nd", "3 rd", "4 th", "1 st")
            and after is not None
            and after.text in ("pass", "version", "one", "try", "mix")
        ):
            return int(item.text[0])
        if item.has("first") and any(
            each.has("undo", "past", "before", "praise", "place", "want") for each in items if each is not item
        ):
            return 1
    return None


def back_in(items: Sequence[Item], word: str | None, freq_hz: float | None, text: str) -> Back | None:
    """Return what a clause asks of earlier passes, None for nothing.

    Parameters
    ----------
    items : sequence of Item
        Its.
    word : str or None
        The word of sound in it.
    freq_hz : float or None
        The frequency in it, Hz.
    text : str
        The clause.
    """
    gain = any(item.figure is not None and item.figure.unit == "db" for item in items)
    undoing = any(item.has("undo") for item in items)
    taking = any(item.has("take") and item.value("take") == "less" for item in items)
    past = any(item.has("past") for item in items)
    number = pass_number(items)
    before = any(item.has("before") for item in items)
    if number is not None and not gain and (word is None or undoing or past or before):
        return Back(stems=(), way="pass", number=number, text=text)
    ago = _counted(items)
    if ago is not None and not gain:
        return Back(stems=(), way="passes back", number=ago, text=text)
    scale = next((share for tag, share in (("half", 0.5), ("less than last", LESS_SHARE), ("more than last", MORE_SHARE))
                  if any(item.has(tag) for item in items)), None)  # fmt: skip
    if scale is not None and not gain and word is None and not (scale == LESS_SHARE and _quieter(items)):
        return Back(stems=(), way="scale", share=scale, text=text)
    moves = [item for item in items if item.has("move")]
    removing = undoing or taking or any(item.text in ("off", "out") for item in items)
    if (moves and removing) or (undoing and (word is not None or freq_hz is not None)):
        if gain or _only_filter(items, moves):
            return None
        if freq_hz is not None:
            return Back(stems=(), way="frequency", freq_hz=freq_hz, text=text)
        if any("notch" in item.text for item in items):
            return Back(stems=(), way="notch", text=text)
        if word is not None and (undoing or moves):
            return Back(stems=(), way="word", word=word, text=text)
    if items and items[0].text in ("who", "whoever") and any(item.has("turn") for item in items):
        return Back(stems=(), way="before", text=text)
    praised = any(item.has("praise", "like", "more word") or item.quality == "punch" for item in items)
    if undoing or (before and (praised or past or word is None) and _is_before(items)):
        return Back(stems=(), way="before", text=text)
    if past and praised and word in (None, "punch") and any(item.text in ("were", "was") for item in items):
        return Back(stems=(), way="before", text=text)
    return None


def _quieter(items: Sequence[Item]) -> bool:
    """Whether "less than last time" is said of a stem itself, and so of its level: hats a bit less than last time."""
    told = any(item.has("less than last") and ("last" in item.text or "before" in item.text) for item in items)
    return told and any(item.names for item in items) and not any(item.has("move", "filter", "past") for item in items)


def _only_filter(items: Sequence[Item], moves: Sequence[Item]) -> bool:
    """Whether the move is asked for itself: cut the kick, notch it."""
    return bool(moves) and all(item.has("take", "turn", "filter") for item in moves) and not any(
        item.has("undo") or item.text == "off" or (item.has("take") and item.value("take") == "less" and item not in moves) for item in items
    )  # fmt: skip


def _is_before(items: Sequence[Item]) -> bool:
    """Whether "before" is a time and no place: not "a breath before the verse"."""
    said = next((item for item in items if item.has("before")), None)
    if said is None or said.text != "before":
        return said is not None
    following = next(
        (item for item in items[items.index(said) + 1 :] if not item.idle or item.has("section", "ordinal")), None
    )
    return following is None or not following.has("section", "ordinal")
