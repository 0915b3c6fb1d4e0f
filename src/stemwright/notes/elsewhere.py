"""Elsewhere: the kinds of work that no move of ours does, and whose work each is. The words for them: ``recipes/speech``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Kind:
    """One kind of work that is not ours: what it is called, and who does it."""

    name: str
    what: str
    whose: str


APPROVAL: Final = Kind("approval", "an approval", "yours: stemwright keep SONG STEM signs it off")
AUTOMATION: Final = Kind("automation", "a change over time, in one section or at one moment", "the mix's automation")
EDIT: Final = Kind("edit-mute", "an edit or a mute", "the session the stems were bounced from")
ARRANGEMENT: Final = Kind("arrangement", "arrangement", "the producer's session")
KINDS: Final = {
    kind.name: kind
    for kind in (
        Kind("reverb-delay", "reverb or delay", "the mix, where the sends are"),
        Kind("pan-width", "panning or width", "the mix: stems keep their place"),
        Kind("timing-tuning", "timing or tuning", "the recording engineer's edit session"),
        EDIT,
        ARRANGEMENT,
        Kind("distortion", "distortion or saturation", "the producer or the mix"),
        Kind("dynamics", "dynamics or mastering", "a compress move in the recipe, or the mix"),
        AUTOMATION,
        APPROVAL,
    )
}
