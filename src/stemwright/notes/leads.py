"""Leads: what stands before a word of sound and says which way it is meant, nearest first.

Conventions
-----------
A rule gives +1 for more, -1 for less, 0 where the word asks for nothing, and None where it does not apply.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from stemwright.notes.items import Item

LIMITS: Final = {"more": 1.0, "less": -1.0, "up": 1.0, "down": -1.0}
MADE: Final = ("makes", "made", "making")  # tells what happens, and asks for nothing
LIKED: Final = ("liked", "loved", "enjoyed", "preferred")
STRONGLY: Final = ("super", "mega", "crazy", "insane", "stupid", "wicked", "pretty", "proper", "real", "right")
WHOLLY: Final = ("all", "of", "but", "purely", "hear")


@dataclass(frozen=True)
class Lead:
    """One thing before a word of sound: itself, what stands before it and behind it, and whether the word is a fault."""

    item: Item
    before: Sequence[Item]
    behind: Sequence[Item]
    fault: bool

    @property
    def negated(self) -> bool:
        """Whether a "not" stands before it."""
        return any(item.has("neg") for item in self.before)


def _enough(lead: Lead) -> float:
    return 1.0 if lead.negated or any(item.has("lack") for item in lead.before) else 0.0


def _direction(lead: Lead) -> float:
    sign = LIMITS[lead.item.value("direction")]
    if lead.item.text == "no more" and not lead.fault:
        return 0.0  # no more bite on the keys: enough of it
    if lead.negated and sign < 0 and any(item.has("want", "strong", "like") for item in lead.before):
        return -1.0  # "I don't want it so bright"
    taking = any(item.has("take") and item.value("take") == "less" and not item.has("is") for item in lead.before)
    return 0.0 if lead.negated else -1.0 if taking and sign > 0 else sign


def _strong(lead: Lead) -> float | None:
    told = lead.item.text == "make" and any(item.text in ("the", "my", "these", "those") for item in lead.before)
    at_a_figure = lead.item.text == "make" and any(item.figure is not None for item in lead.behind)
    if lead.item.text.startswith(MADE) or told or (at_a_figure and lead.fault):
        return None  # "the claps make the babies jump", "both make 8k aggressive"
    if lead.negated:
        return 0.0 if lead.fault else -1.0
    return 1.0


def _take(lead: Lead) -> float | None:
    if lead.item.has("is"):
        return None
    sign = LIMITS[lead.item.value("take")]
    if sign > 0 and lead.fault:
        return None  # "the hats have a harsh top": nobody asks for a fault
    return 0.0 if lead.negated else sign


def _turn(lead: Lead) -> float | None:
    sign = LIMITS[lead.item.value("turn")]
    if lead.fault and sign > 0:
        return None  # "turn it up, it is buried"
    return 0.0 if lead.negated else sign


def _lack(lead: Lead) -> float | None:
    if lead.item.has("neg") and any(item.has("is") for item in lead.behind):
        return None
    if lead.fault and lead.item.text.startswith("los"):
        return 1.0  # "the toms lost their ring": it was liked
    return -1.0 if lead.fault else 0.0 if lead.negated else 1.0


def _wholly(lead: Lead) -> float | None:
    """Return -1 for "is all click": there is too much of it."""
    if lead.item.text.split(" ")[-1] not in WHOLLY:
        return None
    quantifier = lead.item.text.split(" ")[0] == "all" and not (lead.before and lead.before[-1].has("is"))
    return None if quantifier and not lead.fault else -1.0  # "all the drums": which, not how much


def _nothing(lead: Lead) -> float | None:
    """Return 0 for what is praised or is to stay: love the air, keep the bite."""
    if lead.fault and lead.item.text in STRONGLY:
        return None  # "super loud"
    plain = not any(item.has("amount", "neg", "is") for item in lead.behind)
    return 0.0 if not lead.item.has("is") and (lead.item.has("leave") or plain) else None


RULES: Final[tuple[tuple[str, Callable[[Lead], float | None]], ...]] = (
    ("guard", lambda _: 0.0),
    ("enough", _enough),
    ("direction", _direction),
    ("strong", _strong),
    ("take", _take),
    ("turn", _turn),
    ("lack", _lack),
    ("all of", _wholly),
    ("leave", _nothing),
    ("praise", _nothing),
)


def nearest(word: Item, lead: Sequence[Item], *, fault: bool) -> float | None:
    """Return what the nearest thing before a word of sound says of it, None where nothing does.

    Parameters
    ----------
    word : Item
        The word of sound.
    lead : sequence of Item
        What stands before it.
    fault : bool
        Whether it names a fault.
    """
    if fault and any(item.text in LIKED for item in lead):
        return 0.0  # "I liked the ring"
    if any(item.has("guard") and item.text.endswith(("that", "because", "mean")) for item in lead):
        return 0.0  # "it isn't that the vocal is too loud"
    for at in range(len(lead) - 1, -1, -1):
        if lead[at].quality == "buried" and not fault:
            return 1.0  # "can't hear the attack"
        here = Lead(lead[at], lead[:at], lead[at + 1 :], fault)
        for tag, rule in RULES:
            if tag == "strong" and lead[at].has("strong") and word.says_more and here.negated:
                return 0.0  # "I don't want it brighter"
            found = rule(here) if lead[at].has(tag) and not (tag in ("praise", "all of") and word.says_more) else None
            if found is not None:
                return found
    return None
