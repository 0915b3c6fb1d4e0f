"""Back: what a note says about earlier passes: undo, like before, half of that, and what to keep away from."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

Way = Literal["before", "pass", "passes back", "notch", "word", "frequency", "scale"]

_PASS = re.compile(
    r"\b(?:pass|version|ver|v|mix|bounce|rev|revision|take)[ #]?(\d{1,4})\b|\b(\d)(?:st|nd|rd|th) (?:pass|version|try|mix|one)\b"
)
_FIRST = re.compile(r"\b(?:first|original|1st) (?:one|try|pass|version|mix)\b")
_BACK_N = re.compile(r"\b(two|three|four|2|3|4) (?:versions?|passes?|notes?|steps?|mixes) (?:ago|back|before)\b")
_RESTORE = re.compile(
    r"\bback\b|restore|return|revert|\blike\b|\bfrom\b|liked|miss|prefer|version|better|harder|go with|use|as in|was in|="
)
_UNDO = re.compile(
    r"\bundo\b|unhappen|\brevert|go back(?: one)?\b|\bcancel\b|\bscrap\b|forget (?:my|the|what)|like before|like it was|how it was|"
    r"as (?:it )?was|where it was|before was|was better|was (?:more )?good before|(?:was|were|sounded) (?:\w+ )?(?:better|nicer) before|better before|\bwere right\b|\bof before\b|\bearlier\b|"
    r"\btake (?:that|it) back\b|bring back the old|\bthe old \w+(?: \w+)? (?:sound|tone|back)|put .* back(?: how| to| where| the way|$)|ctrl ?z|reverse (?:that|it|the)|go(?:ne)? back to (?:how|the (?:old|previous|last))|"
    r"previous (?:version|one|pass|sound|tone)|last (?:one|version) was|roll(?: it| that)? back|before .* (?:i )?(?:like|prefer)|as before|the way it was|return (?:it|them)|(?:preferred|liked) (?:it|the) .*before"
)  # fmt: skip
_OFF_MOVE = re.compile(
    r"\b(?:take|remove|lose|drop|undo|cancel|get rid of|pull|delete|kill)\b.*\b(?:notch|cut|boost|bell|shelf|filter|eq|high-?pass|low-?pass|dip)\b|\bonly the \w+$"
)
_KEEP_OFF = re.compile(
    r"(?:don'?t|do not|never|please never|not) (?:\w+ )?(?:touch|change|move|mess|alter)\b|hands off|leave (?:[\w' ]+ )?(?:alone|be|as|how|there)\b|\bleave$|\bleave (?:the )?[\w ]+$|\bi don'?t want anything done|"
    r"keep (?:what|it as|the way)|\bstays?\b|can stay|hold everything|\bhold\b|as it is|as is|nothing else|anything done to|other is .*ok|\bdon'?t mind\b|is off limits|no changes? (?:to|on)"
)  # fmt: skip
_HALF = re.compile(
    r"\bhalf (?:of )?(?:that|it|of it|the last|what you did|the change)\b|halve (?:that|it)\b|\bhalf as much\b"
)
_LESS = re.compile(r"(?:less|more|lighter|gentler) than (?:last time|before|last note)|not (?:as|so) much as last time")
_PRAISE = re.compile(
    r"\b(?:is|are|was|were|sounds?|feels?)? ?(?:fine|perfect|great|good|lovely|amazing|awesome|beautiful|nice|nailed|spot on|10/10|ok|solid|right|excellent)\b|✅|\blove\b|👌|🔥"
)
_NUMBER_WORDS: Final = {"two": 2, "three": 3, "four": 4}
_KINDS: Final = {"notch": ("notch",), "high": ("high_pass",), "low": ("low_pass",)}


@dataclass(frozen=True, kw_only=True)
class Back:
    """One request to go back, for some stems; none named is every stem that the newest pass changed."""

    stems: tuple[str, ...]
    way: Way
    number: int = 1
    word: str = ""
    freq_hz: float = 0.0
    share: float = 1.0
    text: str = ""


def keeps_off(text: str) -> bool:
    """Whether a piece tells to leave something alone."""
    return _KEEP_OFF.search(text) is not None


def praises(text: str) -> bool:
    """Whether a piece is content."""
    return _PRAISE.search(text) is not None


def back(text: str, stems: tuple[str, ...], word: str | None, freq_hz: float | None, *, bare: bool) -> Back | None:
    """Return what a piece asks of earlier passes, None for nothing; ``bare`` where it says no new quality."""
    number = _PASS.search(text)
    if number and (_RESTORE.search(text) or bare):
        return Back(stems=stems, way="pass", number=int(number.group(1) or number.group(2)), text=text)
    ago = _BACK_N.search(text)
    if ago:
        count = _NUMBER_WORDS.get(ago.group(1)) or int(ago.group(1))
        return Back(stems=stems, way="passes back", number=count, text=text)
    if _FIRST.search(text) and _RESTORE.search(text):
        return Back(stems=stems, way="pass", number=1, text=text)
    if _HALF.search(text):
        return Back(stems=stems, way="scale", share=0.5, text=text)
    if _LESS.search(text):
        return Back(stems=stems, way="scale", share=1.5 if "more than" in text else 0.67, text=text)
    if _OFF_MOVE.search(text) and "db" not in text:
        if freq_hz is not None:
            return Back(stems=stems, way="frequency", freq_hz=freq_hz, text=text)
        if "notch" in text:
            return Back(stems=stems, way="notch", text=text)
        if word is not None:
            return Back(stems=stems, way="word", word=word, text=text)
    if _UNDO.search(text):
        if freq_hz is not None:
            return Back(stems=stems, way="frequency", freq_hz=freq_hz, text=text)
        if word is not None and re.search(r"\b(?:undo|cancel|revert)\b", text):
            return Back(stems=stems, way="word", word=word, text=text)
        return Back(stems=stems, way="before", text=text)
    return None
