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
NOTHING_ELSE: Final = re.compile(
    r"(?<=\w)\s*[,-]*\s*(?:(?:and|but|please)\s+)*(?:don'?t (?:change|touch|move) anything else|nothing else(?: (?:please|needed))?"
    r"|that'?s (?:all|it)|then (?:it'?s|we'?re) (?:done|good|there))[\s.!]*$",
    re.IGNORECASE,
)
