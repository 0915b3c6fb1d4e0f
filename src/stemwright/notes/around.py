"""Around: what stands round what is asked and asks for nothing: why, and that nothing else is to change; and how much is enough."""

from __future__ import annotations

import re
from typing import Final

_I_LIKE: Final = (
    r"(?:i|we|he|she|they)(?:'d|d|\s+would)?\s+(?:like|want|love|prefer|need|hope)(?:d|ed)?"
    r"(?:\s+(?:it|them))?(?:\s+to\s+be)?(?:\s+it)?\b"
)
# The snare isn't as bright as I'd like: not bright enough.
AS_I_LIKE: Final = re.compile(rf"\b(isn'?t|aren'?t|is not|are not|not) (?:quite )?as (\w+) as {_I_LIKE}", re.IGNORECASE)
LESS_THAN_I_LIKE: Final = re.compile(
    rf"(?:\ba (?:bit|little|touch|tad) |\bslightly )?\bless (\w+) than {_I_LIKE}", re.IGNORECASE
)
# Turn the pad down because I can't hear the guitar; brighten the hats without touching the kick.
_HEARS: Final = r"(?:can'?t|cannot|can (?:barely|hardly)|could ?n[o']t|don'?t|hardly|barely) (?:really )?hear"
REASON: Final = re.compile(
    rf"(?<=\w),? (?:(?:because|'?cause|coz|cuz|since|as) (?:i|you|we|it|they|he|she|nobody|no one) (?:{_HEARS}|can hear)\b[^.;\n]*"
    r"|without (?:touching|changing|affecting|moving|messing with) (?:the |my |our |any )?\w+(?: \w+)?\s*$)",
    re.IGNORECASE,
)
_ASKED: Final = r"(?:louder|quieter|up|down|more|less|too|brighter|darker|warmer|boost|cut|enough|needs?|softer|back)"
BECAUSE: Final = re.compile(
    rf"^(.*\b{_ASKED}\b.*?),? (?:because|'?cause|coz|cuz|since) (?:the|my|our)\b[^.;\n]*$", re.IGNORECASE
)
# More weight but not more volume; a touch louder, though not as loud as the kick.
NOR: Final = re.compile(
    r"(?<=\w),? (?:but|though|just) not (?:(?:any )?(?:more|less) \w+(?: end| mids?)?|(?:quite )?as \w+ as (?:the |my )?\w+(?: \w+)?)"
    r"\s*(?=[.,;!]|$)",
    re.IGNORECASE,
)
BUT_NOT_ENOUGH: Final = re.compile(r",? but not (?=(?:quite )?\w+ enough\b)", re.IGNORECASE)
# The hats don't need to be so loud; the snare doesn't need more level, it needs more body.
NEITHER_IS: Final = re.compile(r"\bneither (?:of the )?(\w+?)s? (?:is|are) (\w+ enough)\b", re.IGNORECASE)
NEITHER_NOR: Final = re.compile(r"\b(?:is|are) neither (\w+ enough) nor (\w+ enough)\b", re.IGNORECASE)
COULD_LOSE: Final = re.compile(r"\bcould (?:stand|afford) to lose\b", re.IGNORECASE)
SO_LOUD: Final = re.compile(
    r"\b(?:do(?:es)?n'?t|do not|does not) (?:need|have) to be (?:quite )?(?:so|that|this|as) (\w+)\b(?! as\b)", re.IGNORECASE
)
NOT_THAT: Final = re.compile(
    r"\b(?:do(?:es)?n'?t|do not|does not) need (?:any )?more \w+(?: end| mids?)?,? (?:but )?(?:just |it |they )+needs? (?=more|less)",
    re.IGNORECASE,
)
FAR_TOO: Final = re.compile(r"\b(?:way|far|much) too (?!much\b|many\b)(?=\w)", re.IGNORECASE)
# That's too much on the hats; a bit less of that on the hats; more of that on the keys.
TOO_MUCH_OF_IT: Final = re.compile(
    r"^(?:ok(?:ay)?,? |hm+,? |ah,? )?(?:that'?s|that was) (?:a (?:bit|little|touch) |way |far )?too much on (?=\w)"
    r"|\b(?:a (?:bit|little|touch|tad) )?less of (?:that|it|this) on (?=\w)",
    re.IGNORECASE,
)
MORE_OF_IT: Final = re.compile(r"^(?:a (?:bit|little|touch|tad) )?more of (?:that|it|this) on (?=\w)", re.IGNORECASE)
# The hats are harsh and so are the guitars.
SO_IS: Final = re.compile(r",? and so (?:is|are|does|do) ((?:the |my |our )?\w+(?: \w+)?)\s*(?=[.,;!]|$)", re.IGNORECASE)
# More lows instead of more highs on the bass; cut it at 400 instead of 250.
INSTEAD: Final = re.compile(
    r",? (?:instead of|rather than) (?:(?:more|less) [a-z][a-z ]*?|(?:at )?\d+(?:\.\d+)?\s?(?:khz|hz|k)?)"
    r"(?=\s(?:on|in|of|for|from)\b|\s*(?:[.,;!]|$))",
    re.IGNORECASE,
)
# They sound harsher than before: it says what changed, and takes nothing back.
THAN_BEFORE: Final = re.compile(r"\b(?!better\b)(\w{3,}er) than (?:before|last time|it was|they were)\b", re.IGNORECASE)
KEPT_HERE: Final = re.compile(
    r"\b((?:keep|leave) [\w ]{2,30}?) (?:from|in|of) (?:this|the current|the new|the latest) (?:version|pass|mix|one|bounce|round)\b",
    re.IGNORECASE,
)
SAME_BUT: Final = re.compile(r"\b(?:the )?same,? (?:but|just) (?=at \d)", re.IGNORECASE)
NOTHING_ELSE: Final = re.compile(
    r"(?<=\w)\s*[,-]*\s*(?:(?:and|but|please)\s+)*(?:don'?t (?:change|touch|move) anything else|nothing else(?: (?:please|needed))?"
    r"|that'?s (?:all|it)|then (?:it'?s|we'?re) (?:done|good|there))[\s.!]*$",
    re.IGNORECASE,
)
