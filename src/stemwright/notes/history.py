"""History: what a clause says about earlier passes: undo, like before, half of that, and what to keep away from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from stemwright.notes.frames import Back

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.frames import Way
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
SPELT: Final = ("one", "two", "three", "four")
AGO: Final = ("ago", "back", "before", "earlier")
COUNTED: Final = ("version", "versions", "pass", "passes", "notes", "steps", "mixes", "rounds", "revisions", "bounces")
OPENING: Final = ("the", "a", "an", "he", "she", "they", "we", "it", "his", "her", "its", "my")
CHANGED: Final = (
    "change", "changes", "changed", "note", "notes", "tweak", "tweaks", "update", "updates", "mix", "mixes", "eq", "boost", "boosts",
)  # fmt: skip
DONE: Final = ("change", "changes", "tweak", "tweaks", "update", "updates", "move", "moves", "edit", "edits", "fix", "fixes")
LESS_SHARE = 0.67  # common practice, no source
SHARES: Final = {"half": 0.5, "less than last": LESS_SHARE, "more than last": 1.5}  # same
PARTS: Final = {"third": 1 / 3, "thirds": 2 / 3, "quarter": 0.25, "quarters": 0.75}
OF_IT: Final = ("it", "that", "this", "them", "what", "whatever", "those")


def keeps_off(items: Sequence[Item]) -> bool:
    """Whether a clause tells to leave something alone."""
    if any(_percent_of_it(items, at) is not None for at in range(len(items))):
        return False  # "keep 50 % of it"
    if _keeps_as_set(items) or _not_as_before(items):
        return True
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


KEEPING: Final = ("keep", "leave", "retain", "preserve", "maintain", "hold")


def _keeps_as_set(items: Sequence[Item]) -> bool:
    """Whether a clause keeps what was set: keep the 280 cut on the kick, keep the drone at -3."""
    said = [item for item in items if not item.idle or item.names]
    if not said or said[0].text not in KEEPING or not any(item.names for item in said):
        return False
    set_before = any(item.figure is not None for item in said)
    return set_before and all(item.names or item.figure is not None or item.has("move", "place", "leave") for item in said)


def _not_as_before(items: Sequence[Item]) -> bool:
    """Whether a stem is left out of going back: but not the hat like pass 2."""
    said = [item for item in items if not item.idle or item.has("neg") or item.text == "but not"]
    back = pass_number(items) is not None or any(item.has("before") for item in items)
    asked = any(item.quality or item.has("undo", "praise", "past", "want", "direction", "turn", "enough") for item in said)
    return bool(said) and said[0].text in ("not", "but not") and back and not asked and any(item.names for item in items)


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
            not (item.text == "take" and not any(each.has("undo", "before", "past") for each in items))
            and item.has("pass")
            and not item.names
            and number is not None
            and not number.unit
            and not number.signed
            and number.value == int(number.value)
        ):
            return int(number.value)
        if (
            item.text in COUNTED
            and after is not None
            and after.text in SPELT
            and not any(each.text == "of" for each in items[at + 2 : at + 3])
        ):
            return ORDINALS[after.text]
        behind = items[at - 1] if at else None
        if (
            not (item.text == "take" and not any(each.has("undo", "before", "past") for each in items))
            and item.has("pass")
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


@dataclass(frozen=True, kw_only=True)
class Telling:
    """A clause about earlier passes: its items, the word of sound and the frequency in it, and its text."""

    items: Sequence[Item]
    word: str | None
    freq_hz: float | None
    text: str

    def has(self, tag: str) -> bool:
        """Whether any of its items may mean a tag."""
        return any(item.has(tag) for item in self.items)

    @property
    def gain(self) -> bool:
        """Whether it says dB, and so asks for a move of its own."""
        return any(item.figure is not None and item.figure.unit == "db" for item in self.items)

    def back(self, way: Way, number: int = 1, word: str = "", freq_hz: float = 0.0, share: float = 1.0) -> Back:
        """Return the request."""
        return Back(stems=(), way=way, number=number, word=word, freq_hz=freq_hz, share=share, text=self.text)


def back_in(telling: Telling) -> Back | None:
    """Return what a clause asks of earlier passes, None for nothing."""
    ways = (_to_a_pass, _share, _taken_off, _as_before)
    return next((found for way in ways if (found := way(telling)) is not None), None)


def _to_a_pass(telling: Telling) -> Back | None:
    if telling.gain:
        return None
    ago = _counted(telling.items)
    if ago is not None:
        return telling.back("passes back", ago)
    number = pass_number(telling.items)
    told = telling.word is None or any(telling.has(tag) for tag in ("undo", "past", "before"))
    return telling.back("pass", number) if number is not None and told else None


def share_in(telling: Telling) -> float | None:
    """Return how much of what was done is to stay: half of that 0.5, a third of it 1/3, 30 % of it 0.3, take back a quarter 0.75."""
    items = telling.items
    if any(item.has("like", "praise") or "alone" in item.text.split(" ") for item in items):
        return None  # "I like a third of it", "leave half of it alone"
    for at, item in enumerate(items):
        tag = next((tag for tag in SHARES if item.has(tag)), None)
        part = _percent_of_it(items, at) if tag is None else SHARES[tag]
        if tag == "half":
            part = next((PARTS[word] for word in item.text.split(" ") if word in PARTS), part)
        if part is not None:
            words = [word for each in (*items[:at], item) if not each.names for word in each.text.split(" ")]
            taken = tag in (None, "half") and any(word in ("back", "off", "away", "undo") for word in words)
            return 1.0 - part if taken else part
    return None


def _percent_of_it(items: Sequence[Item], at: int) -> float | None:
    figure, behind = items[at].figure, [each.text.split(" ")[0] for each in items[at + 1 : at + 3]]
    said = figure is not None and figure.unit == "%" and len(behind) == 2 and behind[0] == "of" and behind[1] in OF_IT
    return figure.value / 100.0 if figure is not None and said and 0.0 < figure.value < 100.0 else None


def _share(telling: Telling) -> Back | None:
    share = share_in(telling)
    if share is None or telling.gain or telling.word is not None or (share == LESS_SHARE and _quieter(telling.items)):
        return None
    return telling.back("scale", share=share)


def _taken_off(telling: Telling) -> Back | None:
    items = telling.items
    moves = [item for item in items if item.has("move")]
    verbs = [item for item in items if item.has("take") and not item.has("move") and not item.text.endswith("ed")]
    taking = any(item.value("take") == "less" for item in verbs)
    removing = telling.has("undo") or taking or any(item.text in ("off", "out") for item in items)
    named = telling.has("undo") and (telling.word is not None or telling.freq_hz is not None)
    if not ((moves and removing) or named) or telling.gain or _only_filter(items, moves):
        return None
    if telling.freq_hz is not None:
        return telling.back("frequency", freq_hz=telling.freq_hz)
    if any("notch" in item.text for item in items):
        return telling.back("notch")
    return telling.back("word", word=telling.word) if telling.word is not None else None


def _as_before(telling: Telling) -> Back | None:
    items = telling.items
    if telling.gain and not telling.has("undo"):
        return None
    if _praises_the_last(items):
        return None
    praised = any(item.has("praise", "like", "more word") or item.quality == "punch" for item in items)
    past = telling.has("past")
    earlier = telling.has("before") and (praised or past or telling.word is None) and _is_before(items)
    better = past and praised and telling.word in (None, "punch") and any(item.text in ("were", "was") for item in items)
    better = better and not any(item.text.split(" ")[-1] in DONE for item in items)  # "the last change was good": it stays
    return telling.back("before") if telling.has("undo") or earlier or better else None


def _praises_the_last(items: Sequence[Item]) -> bool:
    """Whether it is the pass just heard that is praised: love the last pass; not: the last pass was better, I preferred it."""
    last = [item for item in items if item.has("before")]
    only = bool(last) and all("last" in item.text.split(" ") for item in last)
    praised = any(item.has("praise") and item.text != "better" for item in items)
    return only and praised and not any(item.has("past", "undo", "want") or item.text == "better" for item in items)


def _quieter(items: Sequence[Item]) -> bool:
    """Whether "less than last time" is said of a stem itself, and so of its level: hats a bit less than last time."""
    told = any(item.has("less than last") and ("last" in item.text or "before" in item.text) for item in items)
    return told and any(item.names for item in items) and not any(item.has("move", "filter", "past") for item in items)


def _only_filter(items: Sequence[Item], moves: Sequence[Item]) -> bool:
    """Whether the move is asked for itself: cut the kick, notch it."""
    if not moves or not all(item.has("take", "turn", "filter") for item in moves):
        return False
    others = [item for item in items if item not in moves]
    taken = any(item.has("take") and item.value("take") == "less" for item in others)
    return not taken and not any(item.has("undo") or item.text == "off" for item in items)


def _is_before(items: Sequence[Item]) -> bool:
    """Whether "before" is a time and no place: not "a breath before the verse"."""
    said = next((item for item in items if item.has("before")), None)
    if said is not None and items[0] is said and said.text in ("first time", "the first time"):
        return False  # "first time my drums sound like my drums"
    if said is None or said.text != "before":
        return said is not None
    after = items[items.index(said) + 1 :]
    if after and after[0].names:
        return False  # before doors
    if (
        after
        and after[0].text.split(" ")[0] in OPENING
        and not any(each.has("undo", "pass", "move", "past") or each.text in CHANGED for each in after)
    ):
        return False  # before the song begins
    following = next((item for item in after if not item.idle or item.has("section", "ordinal")), None)
    return following is None or not following.has("section", "ordinal")
