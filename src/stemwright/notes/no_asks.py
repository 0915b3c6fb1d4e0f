"""No asks: a sentence that names a sound or a change and asks for none: what happened, how much there is, neither ... nor.

Only a whole note of one such sentence is taken so, with no comma in it: behind one may stand what is wanted after all. What is told,
or was wished, and is fine now, may have one: you added bite to the keys, love it; the snare was boxy, now it's fine.
"""

from __future__ import annotations

import re
from typing import Final

from stemwright.notes.tokens import sentences_of

_REST: Final = r"(?:(?!\b(?:but|enough|and|so)\b)[^,;:])*"  # "neither is loud enough" asks
# Is the kick too loud? did you boost the vocal? Not: do the hats need to be that loud, which complains.
_QUESTION: Final = (
    r"(?!.*\b(?:or|to be|possible|need to|have to|supposed|meant|just me)\b)"
    r"(?:(?:is|are|was|were) (?:the|my|our|her|his)\b(?=.*\b(?:too|more|less|\w+er)\b)"
    r"|do(?:es)? (?:the|my|our|you think)\b|should (?:the|my|our)\b"
    r"|(?:did|have) you (?:cut|boost|add|take|taken|turn|change|touch|lower|raise|push|pull|roll)(?:e?d)?\b)(?=[^?]*\?\s*$)"
)
# Don't turn the kick and the snare down; don't roll off below 80 on the keys.
_FORBIDDEN: Final = (
    r"(?:please |pls )?(?:don'?t|do not|(?:you )?don'?t (?:have|need) to|(?:there'?s )?no need to|never) "
    r"(?:(?:turn|pull|bring|push|take|move)\b[^,;:]*\band (?:the |my |our )?[\w ]{2,20} (?:up|down|back|off|out|forward)[\s.!]*"
    r"|(?:roll|high|hi|low|lo|hpf|lpf|shelve|notch|filter|cut (?:anything |everything )?(?:below|under|above))\b)"
)
# The pad isn't too loud, I like it.
_NOT_TOO: Final = (
    r"(?:the|my|our|her|his) [\w ]{2,20} (?:isn'?t|aren'?t|(?:is|are) not) too \w+(?: (?:for me|at all|now|any ?more|to me))*"
    r"(?:,? (?:and )?(?:(?:i|we) (?:like|love)|(?:it'?s|they'?re) (?:just |really |all |still )*"
    r"(?:fine|good|great|right|perfect|ok|okay|nice|lovely|cool|there|where))\b[^,;:]*)?"
)
# Bring the vocal up or the guitars down.
_WAY: Final = r"(?:up|down|louder|quieter|softer|brighter|darker|warmer)"
_CHOICE: Final = (
    rf"(?!.*\b(?:but|and)\b)[^;:]*\b{_WAY}\b(?: a (?:bit|little|touch))?,? or (?:maybe |just |else )?"
    rf"(?:(?:turn|bring|pull|push|take|make) )?(?:the |my |our )?\w+(?: \w+)? {_WAY}\b[^;:]*"
)
# The keys don't sound muddy to me; not: the keys don't sound warm.
_NOT_A_FAULT: Final = (
    r"(?:the|my|our|her|his) [\w ]{2,20} (?:don'?t|doesn'?t|do not|does not) (?:sound|feel|seem) "
    r"(?:too \w+|muddy|harsh|boomy|boxy|tinny|honky|shrill|nasal|dull|thin|sibilant)(?: (?:to me|at all|any ?more|now))*"
)
_KINDS: Final = (
    (_FORBIDDEN, "it says what is not to be done"),
    (r"(?:(?:why|when|where) did|who (?:turned|made|put|changed|brought|pushed|pulled))\b", "it asks what happened"),
    (r"how (?!about|come|can|could|do|did|is|are|much|many)\w+ (?:is|are|was|were)\b(?=.*\?)", "it asks how it is"),
    (_QUESTION, "it asks a question"),
    (_NOT_TOO, "it says what is not so"),
    (_CHOICE, "it leaves the choice of two"),
    (rf"{_REST}\bneither\b(?=.*\bnor\b)", "it says what is not so"),
    (_NOT_A_FAULT, "it says what is not so"),
    (
        r"(?:oh|ah|yay|well),? (?:great|nice|lovely|wonderful|fantastic),? (?:even )?(?:more|louder|brighter)\b",
        "it may be meant the other way",
    ),
    (r"(?:nobody|no one) (?:has )?(?:ever )?complain", "it tells what nobody said"),
)
_TOLD: Final = (
    r"(?:\b(?:added|gave|took|boosted|brought|turned|made|used to|was|were|thought|wanted|asked|going to|says?|wants?)\b"
    r"|\b(?:you|we|they|he|she|i) (?:cut|put)\b"
    r"|\bh(?:as|ave) (?:more|less)\b|\b(?:is|are) \w+er\b)"
)
_FINE: Final = (
    r"(?:(?:,|\band|\bbut)\s+(?:now\s+|then\s+)?"
    r"(?:(?:it|that|they|this|which)(?:'s|'re| is| are)?\s+(?:all |really |just )?"
    r"(?:fine|good|great|perfect|ok|okay|works?|better|right|nice)"
    r"|(?:it|they) (?:isn'?t|aren'?t)|(?:i|we) (?:really )?(?:likes?|loves?|liked|loved) (?:it|that|them|this)|(?:i|we) disagree"
    r"|love it|nice|perfect|great|lovely|nice one)(?: now| as it is| like that| that way| too| already)?)"
)
_WISHED: Final = (
    r"(?!.*\b(?:please|pls|can|could|needs?|should|still|put|turn it|take it|back|undo|again|only|more of|less of)\b)"
)
# The kick is nice and loud; not: make it nice and loud, it should be.
_NICE: Final = (
    r"(?!.*\b(?:but|too|not|make|get|isn'?t|aren'?t|more|less|want|like)\b)"
    r"[^,;:]*(?:\b(?:is|are|sounds?|sits?|feels?|comes? (?:over|through|across))|'s)\b"
    r"[^,;:]*\b(?:nice and \w+|loud and clear)\b[^,;:]*"
)
# The ad libs are so much better, thanks.
_BETTER: Final = (
    r"(?!.*\b(?:but|except|though|if|when|before)\b)[^,;:]*\b(?:is|are|sounds?|feels?|sits?) (?:so |much |way |far |a lot |loads )+"
    r"(?:better|nicer)(?: now| like (?:this|that))?(?:,? (?:thanks|thank you|cheers|thx|love it|nice|great))?[\s.!]*"
)
_FINE_NOW: Final = (
    (rf"(?:(?!\b(?:but|and)\b.*,).)*?{_TOLD}.*{_FINE}[\s.!]*", "it says what is fine as it is"),
    (r"(?:thanks|thank you|thx|cheers) for (?:the|that|all the) (?:extra|added|more)\b[^,;:]*", "it thanks"),
    (
        r"if (?:the|my|our|her|his)\b[^,]*\b(?:gets?|becomes?)\b[^,]*,.*",
        "it asks for something only if something else happens",
    ),
    (_NICE, "it says what is fine as it is"),
    (_BETTER, "it says what is fine as it is"),
    (
        r"(?!.*\b(?:but|except)\b)(?:i|we) (?:really )?(?:love|like|dig) how\b[^,;:]*\b(?:up|down|in|out|forward|back)\b[^,;:]*",
        "it says what is fine as it is",
    ),
    (r"(?!.*\b(?:now|but)\b)[^,;:]*\bused to (?:be|sound|have|feel)\b[^,;:]*", "it says what was"),
)
_FORMS: Final = (
    *((re.compile(form + _REST, re.IGNORECASE), what) for form, what in _KINDS),
    *((re.compile(_WISHED + form, re.IGNORECASE), what) for form, what in _FINE_NOW),
)


def why_no_ask(text: str) -> str:
    """Return why a note asks for nothing, whatever it names; nothing where it may ask."""
    said = " ".join(text.split())
    what = next((what for form, what in _FORMS if form.fullmatch(said)), "")
    if not what or len(sentences_of(text)) != 1:
        return ""
    return f"{what}, and asks for no change; write what is to change, as in: piano: a little more bite"
