"""No asks: a sentence that names a sound or a change and asks for none: what happened, how much there is, neither ... nor.

Only a whole note of one such sentence is taken so, with no comma in it: behind one may stand what is wanted after all.
"""

from __future__ import annotations

import re
from typing import Final

from stemwright.notes.tokens import sentences_of

_REST: Final = r"(?:(?!\b(?:but|enough|and|so)\b)[^,;:])*"  # "neither is loud enough" asks
_KINDS: Final = (
    (r"(?:(?:why|when|where) did|who (?:turned|made|put|changed|brought|pushed|pulled))\b", "it asks what happened"),
    (r"how (?!about|come|can|could|do|did|is|are|much|many)\w+ (?:is|are|was|were)\b(?=.*\?)", "it asks how it is"),
    (rf"{_REST}\bneither\b(?=.*\bnor\b)", "it says what is not so"),
)
_FORMS: Final = tuple((re.compile(form + _REST, re.IGNORECASE), what) for form, what in _KINDS)


def why_no_ask(text: str) -> str:
    """Return why a note asks for nothing, whatever it names; nothing where it may ask."""
    if len(sentences_of(text)) != 1:
        return ""
    said = " ".join(text.split())
    what = next((what for form, what in _FORMS if form.fullmatch(said)), "")
    return what and f"{what}, and for no change; write what is to change, as in: piano: a little more bite"
