"""Telling: clauses that only tell: thanks, stories, likenesses, what leads in to something, and talk. They ask for nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from stemwright.notes.carrying import only_also
from stemwright.notes.clauses import ARTICLES

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from stemwright.notes.clauses import Clause
    from stemwright.notes.frames import Ask
    from stemwright.notes.items import Item

DOERS: Final = ("i", "we", "he", "she", "they", "you", "im", "id", "ive", "weve")
PLACES = ("on", "in", "at", "from", "through", "over", "inside", "to")
BESIDE_NAMES = (
    *ARTICLES, "just", "only", "mostly", "mainly", "i mean", "mean", "of", "for", "on", "in", "s", "is", "both", "this", "that", "all",
)  # fmt: skip
WISHING = (
    "direction", "turn", "take", "guard", "enough", "lack", "want", "neg", "strong", "filter", "undo", "before", "pass", "move",
    "cover", "under", "elsewhere", "ask",
)  # fmt: skip


def directs(item: Item) -> bool:
    """Whether an item says which way something is to go."""
    return item.has("direction", "turn", "take", "guard", "enough") and item.text != "over"


def is_heading(items: Sequence[Item]) -> bool:
    """Whether a line names no stem and asks for nothing: team feedback below."""
    return not any(
        item.names
        or item.problem
        or (directs(item) and not item.has("place"))
        or item.figure
        or item.has("undo", "every")
        or item.quality not in (None, "ringing")  # "feedback"
        for item in items
    )


def approves(clause: Clause) -> bool:
    """Whether a clause says that it is done, of the whole and not of one stem, and asks for nothing."""
    signs = [item for item in clause.items if item.has("approve")]
    named = [item for item in clause.names if item.target is not None and item.target.kind != "all"]
    others = any(
        (item.quality is not None or item.has("undo", "elsewhere") or item.figure is not None)
        and not item.has("approve", "praise")
        for item in clause.items
    )
    return bool(signs) and not named and not others


def adds_nothing(clause: Clause, last: Clause | None, following: Clause | None, *, going_back: bool) -> bool:
    """Whether a clause only leads in, likens, judges or regrets: as if it were far away; it killed the tone."""
    idle = only_also(clause) or only_likens(clause) or only_judges(clause) or (going_back and only_regrets(clause))
    return (last is not None and idle) or leads_in(clause, following)


def asks_nothing(clause: Clause, faults: Collection[str]) -> bool:
    """Whether a clause only thanks, or reports what somebody did with the song."""
    return is_polite(clause, faults) or reports(clause, faults)


def is_polite(clause: Clause, faults: Collection[str]) -> bool:
    """Whether a clause opens with thanks or an apology, and asks for nothing: thanks for sending it over so fast."""
    at = next((at for at, item in enumerate(clause.items) if item.has("thanks")), None)
    if at is None or clause.heads or not all(item.idle for item in clause.items[:at]):
        return False
    asks = any(
        item.has("want", "lack", "neg", "undo") or item.quality in faults or item.figure is not None for item in clause.items
    )
    return not asks and not any(item.names for item in clause.items)


def reports(clause: Clause, faults: Collection[str]) -> bool:
    """Whether a clause about no stem reports what somebody did with the song: we had it on repeat in the van."""
    doing = any(item.has("story") and not item.has("i") and item.text not in DOERS for item in clause.items[:4])
    return doing and not clause.names and tells_a_story(clause.items, faults)


def tells_a_story(items: Sequence[Item], faults: Collection[str]) -> bool:
    """Whether a clause without a name only tells what somebody did: tried it in the car with the music up.

    It opens with who did it, or with a verb of listening or working, asks for nothing, and names no fault.
    """
    at = next((at for at, item in enumerate(items) if item.has("story")), None)
    if at is None or not all(item.idle for item in items[:at]):
        return False
    likened = any(item.has("like", "it") for item in items)
    asks = any(
        item.has("want", "lack", "enough", "neg") or (item.quality in faults and (likened or not item.has("image")))
        for item in items
    )
    wished = any(item.has("direction") and item.text != "over" for item in items)
    return not asks and not wished


def is_a_place(items: Sequence[Item]) -> bool:
    """Whether a clause only says where or of what: on the little wireless box, in order of pain."""
    asks = any(item.has("is", "direction", "want", "turn", "take", "neg", "lack", "strong", "enough") for item in items)
    of_a_band = any(item.has("band") for item in items)
    return bool(items) and items[0].text in PLACES and not asks and not of_a_band and not any(item.names for item in items)


def leads_in(clause: Clause, following: Clause | None) -> bool:
    """Whether a clause about no stem leads to one after a colon that names some: I get tired ears here: the brass is harsh."""
    if following is None or following.joined_by != ":" or not following.names or clause.names or clause.left_out:
        return False
    return not any(
        item.figure is not None
        or (item.has("want") and not item.has("is"))
        or item.has("direction", "take", "every", "other", "undo", "elsewhere", "pass")
        or (item.has("turn") and not item.has("place"))
        for item in clause.items
    )


def only_likens(clause: Clause) -> bool:
    """Whether a clause only says what it is as if: as if it were played in a corridor."""
    return bool(clause.items) and clause.items[0].text.startswith(("as if", "as though")) and not clause.names


def only_judges(clause: Clause) -> bool:
    """Whether a clause only says what a move did to it: it killed the tone."""
    return bool(clause.items) and clause.items[0].text.startswith(("it killed", "it ruined", "killed it", "ruined it"))


def only_regrets(clause: Clause) -> bool:
    """Whether a clause only says what was lost, which beside a way back is its reason: undo the drums, lost the dust."""
    said = [item for item in clause.items if not item.idle or item.has("lack")]
    return bool(said) and said[0].text.split(" ")[0] == "lost" and not clause.names


def only_names(clause: Clause) -> bool:
    """Whether a clause has names and no more than what goes with them: just the vox, on the snare I mean."""
    return all(
        item.names or item.idle or item.text in BESIDE_NAMES or item.has("every", "other", "part", "amount")
        for item in clause.items
    )


def is_talk(clause: Clause, faults: Collection[str]) -> bool:
    """Whether a clause names no stem, asks for nothing and finds no fault: that's where most people will hear it."""
    said = any(item.has("is", "like") for item in clause.items)
    told = _tells_what_was_done(clause.items)
    return not clause.names and not any(
        item.figure is not None
        or (item.has(*WISHING) and item.text not in ("over", "most") and not (told and item.has("take", "turn", "before")))
        or (item.quality in faults and (said or not item.has("image")))
        for item in clause.items
    )


def says_nothing_of_sound(clause: Clause) -> bool:
    """Whether a clause names no stem, no sound and no figure, and has a word nobody knows elsewhere than behind "more"."""
    items = clause.items
    unknown = [at for at, item in enumerate(items) if item.unknown]
    asked = any(at and items[at - 1].has("direction", "want", "lack", "take") for at in unknown)
    told = any(
        item.names or item.quality is not None or item.figure is not None or item.has("elsewhere", "undo", "before", "pass")
        for item in (*clause.heads, *items)
    )
    return bool(unknown) and not asked and not told


def _tells_what_was_done(items: Sequence[Item]) -> bool:
    """Whether a clause opens with somebody and what they did, which is no request: we put it in a playlist."""
    said = [item for item in items if item.text not in ("and", "so", "but", "when", "while", "as", "after", "if")][:3]
    wished = any(item.has("want", "strong", "neg", "lack") for item in items)
    return bool(said) and said[0].text in DOERS and not wished


def is_the_reason(clause: Clause, last: Sequence[Ask], faults: Collection[str]) -> bool:
    """Whether a clause only says why something was asked in figures right before it: -2 dB at 3.2k, it gets pinched."""
    told = [item for item in clause.items if not item.idle]
    plain = all(item.quality in faults or item.has("amount", "direction") for item in told)
    points = bool(clause.items) and clause.items[0].has("it") and any(item.quality for item in told)
    return (
        any(ask.exact is not None for ask in last)
        and points
        and plain
        and not any(item.has("turn", "take") or item.names for item in told)
    )
