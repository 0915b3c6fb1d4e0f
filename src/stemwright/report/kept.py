"""Kept: what the page of the pass before cut and encoded of the same files, so that a note need not encode a whole beat again."""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from stemwright.report.excerpt import Excerpt
from stemwright.stems.opening import read_file_bytes

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

LARGEST_BYTES: Final = 100_000_000  # more than any page with MP3s has
LOWEST_DB: Final = -200.0  # that a stem was lowered by to fit; float files go far over full scale
_SOUND: Final = re.compile(rb'<script type="application/json" id="sound">([^<]*)</script>')
_CLIP: Final = re.compile(
    rb'<script type="text/plain" class="clip" data-of="([^"<]*)" data-clip="([a-z]+)" data-in="(\d+)">([A-Za-z0-9+/=]*)</script>'
)


@dataclass(frozen=True, kw_only=True)
class KeptStem:
    """A stem's clips on a page, base64 by side and excerpt, what they are ``of`` (its name, and hashes by side), their scale."""

    of: Mapping[str, str]
    scale_db: float
    clips: Mapping[tuple[str, int], bytes]


@dataclass(frozen=True, kw_only=True)
class KeptPage:
    """What a page has to be heard: its excerpts, their rate, the MP3's quality, and each stem's clips by the stem's name."""

    excerpts: tuple[Excerpt, ...]
    rate_hz: int
    quality: str
    stems: Mapping[str, KeptStem]


def kept_page(path: Path) -> KeptPage | None:
    """Read what an earlier page has to be heard.

    Parameters
    ----------
    path : Path
        Of a page of ours.

    Returns
    -------
    KeptPage or None
        None where there is none, or it says nothing of what its clips were made from.
    """
    try:
        page = read_file_bytes(path, LARGEST_BYTES)
        told = _SOUND.search(page)
        return None if told is None else _kept(json.loads(told[1]), page)
    except (OSError, ValueError, TypeError, KeyError, AttributeError, OverflowError):
        return None  # an older page, or one that somebody wrote into


def _kept(sound: Mapping[str, Any], page: bytes) -> KeptPage:
    clips: dict[str, dict[tuple[str, int], bytes]] = {}
    for found in _CLIP.finditer(page):
        clips.setdefault(found[1].decode(), {})[found[2].decode(), int(found[3])] = found[4]
    stems = {}
    for key, each in sound["stems"].items():
        of = {str(name): str(value) for name, value in each["of"].items()}
        scale_db = float(each["scale"])
        if not LOWEST_DB <= scale_db <= 0.0:
            raise ValueError(scale_db)
        stems[of["stem"]] = KeptStem(of=of, scale_db=scale_db, clips=clips.get(key, {}))
    excerpts = tuple(Excerpt(float(each["start"]), float(each["seconds"])) for each in sound["excerpts"])
    if not all(0.0 <= each.start_s < math.inf and 0.0 < each.seconds < math.inf for each in excerpts):
        raise ValueError(excerpts)
    return KeptPage(
        excerpts=excerpts,
        rate_hz=int(sound["rate"]),
        quality=str(sound["quality"]),
        stems=stems,
    )
