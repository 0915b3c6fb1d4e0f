"""No asks: sentences that name a sound or a change and ask for none: what happened, how much there is, neither ... nor, praise."""

from __future__ import annotations

import re
from typing import Final

from stemwright.notes.tokens import sentences_of

_THE_LAST: Final = r"(?:the|that|this|your) (?:last|latest|newest) (?:change|move|tweak|edit|fix)s?"
_PRAISED: Final = r"(?:really |very |so )?(?:good|great|nice|lovely|right|perfect|better|spot on|cool|amazing|beautiful)\b"
_KINDS: Final = (
    (r"(?:(?:why|when|where) did|who (?:turned|made|put|changed|brought|pushed|pulled))\b", "it asks what happened"),
    (r"how (?!about|come|can|could|do|did|is|are|much|many)\w+ (?:is|are|was|were)\b.*\?", "it asks how it is"),
    (r"(?:.* )?neither .* nor\b", "it says what is not so"),
    (rf"{_THE_LAST} (?:was|were|is|are|sounds?|feels?) {_PRAISED}", "it praises the last change"),
)
_FORMS: Final = tuple((re.compile(form, re.IGNORECASE | re.DOTALL), what) for form, what in _KINDS)


def why_no_ask(text: str) -> str:
    """Return why a note of one sentence asks for nothing, whatever it names; nothing where it may ask."""
    if len(sentences_of(text)) != 1:
        return ""
    what = next((what for form, what in _FORMS if form.match(" ".join(text.split()))), "")
    return what and f"{what}, and for no change; write what is to change, as in: piano: a little more bite"
