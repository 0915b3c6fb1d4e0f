"""Looks: what the network is shown of a note: its words with all that is known of them, once for each stem of the song.

Conventions
-----------
A note is a row of items (`stemwright.notes.items`), an end behind each sentence, and one place before them for what the stem is.
Words are numbers by a checksum of their letters (`bucket`), so no list of words has to be kept; a word that names a stem is
shown as that and not as the word, so a song's own names teach nothing and mislead nobody.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from stemwright.errors import StemwrightError
from stemwright.notes.gist.effects import BANDS_HZ, WAYS, Effects, opposite
from stemwright.notes.gist.followed import FOLLOWED, followed
from stemwright.notes.lexicon import TAGS
from stemwright.stems.names import base_name, split_words

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from stemwright.notes.items import Item
    from stemwright.notes.targets import Targets
    from stemwright.notes.understood import NoteRead

BUCKETS: Final = 8192
WORDS: Final = 10  # bucket numbers an item has at most
LONGEST: Final = 120  # items; what stands behind is not looked at
_KINDS: Final = ("word", "figure", "name", "colon", "break", "dash", "sign", "mark", "end")
_TAGS: Final = (*TAGS, "word", "more word", "er", "est")
_SHARED: Final = len(_KINDS) + len(_TAGS) + 8
_OWN: Final = len(WAYS) + 15 + FOLLOWED  # what was followed stands in the place before the items alone
_WAY: Final = {way: at for at, way in enumerate(WAYS)}


@dataclass(frozen=True, kw_only=True)
class Looks:
    """All that is shown of a note.

    ``words`` are bucket numbers, shape ``(items + 1, WORDS)``, `BUCKETS` where there is none; ``roles`` those of what each stem
    is, shape ``(stems, 2)``; ``shared`` is what is known of each item, ``own`` what it is to each stem, shape ``(stems, items
    + 1, ...)``; ``qualities`` the word of sound of each item.
    """

    stems: tuple[str, ...]
    words: NDArray[np.int32]
    roles: NDArray[np.int32]
    shared: NDArray[np.float32]
    own: NDArray[np.float32]
    qualities: tuple[str | None, ...]


def looks(items: Sequence[Item | None], reading: NoteRead, targets: Targets, effects: Effects) -> Looks:
    """Return what the network is shown.

    Parameters
    ----------
    items : sequence of Item or None
        None ends a sentence.
    reading : NoteRead
        How the words were followed.
    targets : Targets
    effects : Effects
        Of the words in reach.
    """
    seen = list(items[: LONGEST - 1])
    stems = targets.stems
    words = np.full((len(seen) + 1, WORDS), BUCKETS, np.int32)
    shared = np.zeros((len(seen) + 1, _SHARED), np.float32)
    own = np.zeros((len(stems), len(seen) + 1, _OWN), np.float32)
    _about_stems(own[:, 0], targets)
    for at, item in enumerate(seen, 1):
        if item is None:
            shared[at, _KINDS.index("end")] = 1.0
            continue
        said = [bucket(each) for each in _said(item)][:WORDS]
        words[at, : len(said)] = said
        shared[at] = _known(item)
        for number, stem in enumerate(stems):
            own[number, at] = _to_a_stem(item, stem, targets, effects)
    own[:, 0, -FOLLOWED:] = followed(reading, targets, effects)
    _about_neighbours(own, {at for at, item in enumerate(seen, 1) if item is None})
    roles = [
        [bucket(f"role {role or 'none'}"), bucket(f"fam {family or 'none'}")] for role, family in map(targets.role_of, stems)
    ]
    return Looks(
        stems=stems, words=words, roles=np.array(roles, np.int32), shared=shared, own=own,
        qualities=(None, *(None if item is None else item.quality for item in seen)),
    )  # fmt: skip


def bucket(text: str) -> int:
    """Return the number that stands for a word."""
    return zlib.crc32(text.encode()) % BUCKETS


def _said(item: Item) -> list[str]:
    words = item.text.lower().split()
    if item.target is not None and item.target.stems:
        said = [f"named {item.target.kind}"]
    else:
        said = [f"w {word}" for word in words[:3]]
        said += [f"p {' '.join(words)}"] if len(words) > 1 else []
        last = words[-1] if words else ""
        said += [f"s {last[:4]}", f"e {last[-3:]}"] if len(last) > 4 else []
    return said + [f"v {sense.tag}={sense.value}" for sense in item.senses if sense.value and sense.tag != "role"]


def _known(item: Item) -> NDArray[np.float32]:
    row = np.zeros(_SHARED, np.float32)
    row[_KINDS.index(item.kind)] = 1.0
    for sense in item.senses:
        for tag in (sense.tag, sense.ending):
            if tag in _TAGS:
                row[len(_KINDS) + _TAGS.index(tag)] = 1.0
    rest = row[len(_KINDS) + len(_TAGS) :]
    if item.figure is not None:
        unit, value = item.figure.unit, item.figure.values[0]
        rest[:5] = unit == "hz", unit == "db", item.figure.signed, np.sign(value), unit in ("", "none")
        rest[5] = np.log2(max(value, 1.0) / 1000.0) / 4.0 if unit == "hz" and value > 0.0 else 0.0
    rest[6:] = bool(item.problem), item.target is not None and not item.target.stems
    return row


def _to_a_stem(item: Item, stem: str, targets: Targets, effects: Effects) -> NDArray[np.float32]:
    row = np.zeros(_OWN, np.float32)
    if item.quality is not None:
        for way in effects.of(item.quality, *targets.role_of(stem)):
            row[_WAY[way]] = 1.0
            back = opposite(way)
            if back is not None:
                row[_WAY[back]] = -1.0
    if item.figure is not None and item.figure.unit == "hz":
        for what, (low_hz, high_hz) in BANDS_HZ.items():
            if low_hz <= item.figure.values[0] < high_hz:
                row[[_WAY[f"more {what}"], _WAY[f"less {what}"]]] = 0.5
    rest = row[len(WAYS) :]
    if item.target is not None and item.target.stems:
        named = item.target.stems
        mine = stem in named
        rest[[0, 1, 2, 7]] = mine, mine / len(named), not mine, mine and len(named) == len(targets.stems)
    elif item.target is None and item.kind in ("word", "name"):
        rest[3] = not set(split_words(base_name(stem))).isdisjoint(item.text.lower().split())
    return row


def _about_stems(rows: NDArray[np.float32], targets: Targets) -> None:
    try:
        voice = targets.called(("vocal",))
    except StemwrightError:
        voice = None
    for row, stem in zip(rows, targets.stems, strict=True):
        family = targets.role_of(stem)[1]
        row[len(WAYS) + 4 : len(WAYS) + 9] = (
            voice is not None and stem in voice.stems, family == "drums", family == "vocals", 0.0, 1.0,
        )  # fmt: skip


def _about_neighbours(own: NDArray[np.float32], ends: Collection[int]) -> None:
    """Say of each item whether a stem, or another, was named last before it and is named next in its sentence, and last at all."""
    named = own[:, :, len(WAYS)] - own[:, :, len(WAYS) + 2]  # 1 the stem, -1 another, 0 none
    in_order = range(named.shape[1])
    told = (_last_named(named, in_order, ends), _last_named(named, in_order, ()), _last_named(named, in_order[::-1], ends))
    for at, each in enumerate(told):
        own[:, :, len(WAYS) + 9 + 2 * at] = each > 0.0
        own[:, :, len(WAYS) + 10 + 2 * at] = each < 0.0


def _last_named(named: NDArray[np.float32], order: Sequence[int], ends: Collection[int]) -> NDArray[np.float32]:
    """Return who was named last at each item, taken in some order, and nobody behind an end."""
    last = np.zeros_like(named)
    now = np.zeros(len(named), np.float32)
    for at in order:
        now = np.zeros_like(now) if at in ends else np.where(named[:, at] == 0.0, now, named[:, at])
        last[:, at] = now
    return last
