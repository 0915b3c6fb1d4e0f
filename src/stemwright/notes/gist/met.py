"""Met: the words that the network has met in enough of the notes it was fitted to; of others it only guesses, however sure."""

from __future__ import annotations

import functools
import zlib
from importlib import resources
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    from stemwright.notes.items import Item

OFTEN: Final = 3  # notes; common practice, no source


@functools.cache
def _met() -> NDArray[np.uint32]:
    with resources.files(__package__).joinpath("met.npy").open("rb") as file:
        return np.asarray(np.load(file, allow_pickle=False), np.uint32)


def checksum(word: str) -> int:
    """Return the number that a word is kept as: no list of words has to be shipped."""
    return zlib.crc32(word.encode())


def has_met(items: Iterable[Item | None]) -> bool:
    """Whether the network has met all words of a note but names and figures.

    Parameters
    ----------
    items : iterable of Item or None
        None ends a sentence.
    """
    plain = [item for item in items if item is not None and item.kind == "word" and item.target is None]
    words = [checksum(word) for item in plain for word in item.text.lower().split() if word.isalpha()]
    return bool(np.isin(words, _met()).all())
