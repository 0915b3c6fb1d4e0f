"""All but: a note that is happy with everything, and goes on about what it is not happy with: all perfect except the kick, it booms.

Words for all, before "but" and a stem, would else name all other stems: everything sounds great but the vocal needs more air.
"""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.notes.items import Item

_FINE: Final = (
    r"(?:great|good|fine|perfect|amazing|awesome|lovely|beautiful|brilliant|excellent|fantastic|wonderful|superb|nice|solid|dope|fire|"
    r"spot on|there|ready|done|right|sweet|happy|sick|killer|on point|approved|ok|okay)"
)
_ALL: Final = (
    r"(?:everything|all of it|it all|all|the whole thing|the whole mix|the mix|the song|the track|the rest|this|it)"
)
_IS: Final = r"(?:'s|s|\s+(?:is|are|feels?|sounds?|sits?|seems?|looks?|works?))"
_HOW: Final = r"(?:\s+(?:all|really|so|just|pretty|very|already|now|absolutely|basically|nearly|almost))*"
_BUT: Final = r",?\s+(?:but(?:\s+for)?|except(?:\s+for|\s+that)?|apart\s+from|aside\s+from|other\s+than|besides|bar)\s+"
_STEM: Final = r"(?P<stem>(?:the |my |our |her |his )?[a-z0-9][a-z0-9' -]{1,30}?)"
_PRAISED: Final = rf"(?:{_IS}{_HOW}\s+{_FINE}|\s+(?:rocks|works|slaps|bangs|kills it))(?:\s+(?:to me|now|already|for me))?"
_HAPPY: Final = (
    rf"(?:(?:i|we)(?:'m|'re|\s+am|\s+are)?\s+)?(?:really\s+|absolutely\s+)?"
    rf"(?:loves?|likes?|digs?|approved?|(?:happy|fine|good|cool|ok|okay)\s+with|sign(?:ed|ing)?\s+off\s+on)\s+{_ALL}"
)
# What stands behind goes on about the stem: a pronoun, or nothing but what it is or needs.
_GOES_ON: Final = (
    r"(?=(?:(?:is|are|was|were|sounds?|feels?) (?:still |just |a bit |a little |way |a touch )*(?:too|not)\b|"
    r"(?:it|its|it's|that|thats|that's|he|hes|he's|she|shes|she's|they|theyre|they're|this)\b(?!\s+(?:all|one|was))"
    r"|(?:make|turn|bring|push|pull|take|give|can|could|please|pls|get|move|put|tuck)\s+(?:you\s+|we\s+)?(?:\w+\s+)?"
    r"(?:it|them|him|her|that)\b"
    r"|(?:just\s+)?(?:(?:a\s+)?(?:bit|touch|tad|little|hair|way|far|still|slightly)\s+)?(?:too|needs?|wants?|could\s+use|lacks?)\b"
    r"|(?:a\s+)?(?:bit|touch|tad|little|hair)\s+(?:more|less|\w+er)\b))"
)
_FORM: Final = re.compile(
    rf"^(?:(?:{_ALL}{_PRAISED}|{_HAPPY}|all\s+{_FINE}|{_FINE}){_BUT}{_STEM}"
    rf"|{_ALL}{_BUT}{_STEM.replace('stem', 'other')}{_PRAISED})"
    rf"\s*(?:[.,;:!\n-]+|\s+(?=which\b))\s*(?:(?:but|and|so|which|cause|because)\s+)?{_GOES_ON}",
    re.IGNORECASE,
)


# More than a name stands behind "but": everything sounds great but the vocal needs more air; not: it's all good but a bit dark.
_SAYS: Final = (
    r"(?!(?:its?|it's|they|that|this|a|an|too|slightly|still|maybe|perhaps|could be|needs?|not|just (?:a|too)|(?:more|less) \w+$)\b)"
    r"(?=.*\b(?:is|are|isn'?t|aren'?t|was|were|needs?|wants?|lacks?|could|should|would|can|i'd|gets?|feels?|sounds?|seems?|sits?|has|have|"
    r"hasn'?t|doesn'?t|don'?t|can'?t|more|less|too|up|down|(?!other\b|over\b|under\b)\w{3,}er|turn|bring|push|pull|take|make|add|cut)\b)"
)
_PRAISE_FIRST: Final = re.compile(
    rf"^(?:{_ALL}{_PRAISED}|{_HAPPY}|all\s+{_FINE}){_BUT.replace('bar', 'only|just')}{_SAYS}", re.IGNORECASE
)


def about_the_one_left_out(text: str) -> str:
    """Return a note without its praise of all, as it says of the one stem that is not fine what stands behind it.

    ``Everything is great but the kick. It booms`` gives ``the kick: It booms``, ``it's all great but the kick booms a bit too much``
    gives ``the kick booms a bit too much``. What says no such thing is returned as it is.
    """
    said = text.strip()
    found = _FORM.match(said)
    if found is not None:
        return f"{found['stem'] or found['other']}: {said[found.end() :]}"
    praise = _PRAISE_FIRST.match(said)
    return text if praise is None else said[praise.end() :]


def is_of_all(items: Sequence[Item]) -> bool:
    """Whether a note speaks of all stems, or all but some: everything but the kick; kick and snare but not the hats."""
    all_but = any(item.names and (but.text == "but" or but.has("but not for")) for item, but in pairwise(items))
    return all_but or any(item.has("every", "other") and not item.names for item in items)
