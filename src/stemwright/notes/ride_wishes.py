"""Ride wishes: "ride the vocal" as people write it, alone or beside other wishes of a sentence."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

_ASKING: Final = (
    r"(?:(?:please|pls|plz|just|also|maybe|and|then|but)\s+|(?:can|could|would|will)\s+(?:you|we|u)\s+|"
    r"(?:let'?s|let\s+us|i'?d|we\s+should|you\s+should|i\s+would)\s+)*"
)
_MANNER: Final = (
    r"(?:\s*,?\s+(?:please|pls|plz|too|as\s+well|for\s+me|a\s+(?:bit|little|touch|tad)|gently|evenly|throughout|"
    r"so\s+(?:that\s+)?(?:it|they|you|we|i|every|each|all|no|nothing)\b(?:(?!\s+and\s)[^,;:])*))*"
)
_RIDE: Final = re.compile(
    rf"{_ASKING}ride\s+(?P<the>the\s+(?:levels?\s+of\s+(?:the\s+)?)?)?(?P<whom>[^,;:]+?)(?:\s+levels?)?{_MANNER}|"
    r"(?:the\s+)?(?P<of>[^;:]+?)"
    rf"(?::\s*ride(?P<it>\s+(?:it|the\s+level|the\s+phrases))?{_MANNER}|"
    rf"(?P<needs>\s+(?:needs|need|wants)\s+(?:some\s+)?(?:riding|a\s+ride|rides|to\s+be\s+ridden)){_MANNER})",
    re.IGNORECASE,
)
# Of a voice alone: the drums are evened by somebody else.
_EVEN: Final = re.compile(
    rf"{_ASKING}(?:even|level)\s+(?:out\s+)?(?:the\s+)?(?:levels?\s+of\s+)?(?:the\s+)?(?P<whom>[^,;:]+?)(?:\s+levels?|\s+phrases)?"
    rf"(?:\s+out)?{_MANNER}",
    re.IGNORECASE,
)
_TOLD: Final = re.compile(r"\b(?:rid(?:e|es|ing)|ridden|(?:even|level)(?=\s+(?:out\b|the\b|.*\bout\b)))\b", re.IGNORECASE)
_JOINT: Final = re.compile(r"\s*[,;]\s*(?:(?:and|but|then)\s+)?|\s+(?:and\s+then|and|but|then)\s+|\s*[&+]\s*", re.IGNORECASE)


@dataclass(frozen=True)
class RideWish:
    """Whom a ride is wished for; ``sure`` where the words can be no cymbal in a list, ``of_a_voice`` where only a voice is ridden."""

    whom: str
    sure: bool
    of_a_voice: bool = False


def ride_in(text: str) -> RideWish | None:
    """Return the wish where a text is nothing but one."""
    found = _RIDE.fullmatch(text.strip())
    if found is None:
        even = _EVEN.fullmatch(text.strip())
        return None if even is None else RideWish(even["whom"], sure=True, of_a_voice=True)
    return RideWish(found["whom"] or found["of"], bool(found["the"] or found["it"] or found["needs"]))


def stretches(sentence: str) -> Iterator[tuple[str, str, str]]:
    """Yield what may be a ride and what stands before and behind it: the longest of whole clauses first."""
    sentence = sentence.strip()
    if not _TOLD.search(sentence):
        return
    joints = list(_JOINT.finditer(sentence))
    starts, ends = [0, *(joint.end() for joint in joints)], [*(joint.start() for joint in joints), len(sentence)]
    spans = [(start, end) for at, start in enumerate(starts) for end in ends[at:] if _TOLD.search(sentence[start:end])]
    for start, end in sorted(spans, key=lambda span: span[0] - span[1]):
        before = sentence[: max((edge for edge in ends if edge <= start), default=0)]
        after = sentence[min((edge for edge in starts if edge >= end), default=len(sentence)) :]
        yield before.strip(), sentence[start:end], after.strip()
