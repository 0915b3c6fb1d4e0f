"""Words of stems' names as people say them back: short forms written out, one and many alike, instruments that are alike."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from stemwright.notes.lexicon import house_lexicon
from stemwright.stems.vocabulary import SPELLINGS

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

PLAIN = {
    "oh": "overhead",
    "k": "kick",
    "btm": "bottom",
    "bot": "bottom",
    "swp": "sweep",
    "tlk": "talking",
    "amb": "ambient",
    "hn": "horn",
    "hns": "horn",
    "hrn": "horn",
    "hrns": "horn",
    "rhy": "rhythm",
    "rhyt": "rhythm",
    "rhyth": "rhythm",
    "rthm": "rhythm",
    "lo": "low",
    "hi": "high",
    "celli": "cello",
    "bone": "trombone",
    "stl": "steel",
}
ALIKE = tuple(
    frozenset(each.split())
    for each in ("violin fiddle", "sax saxophone tenor", "uke ukulele", "timp timpani", "tamb tambo tambourine", "steel slide twang",
                 "vibe vibraphone", "xylo xylophone", "trumpet tpt horn cornet flugelhorn", "trombone tbn bone horn",
                 "harmonium accordion", "flute bansuri recorder piccolo",
                 "supersaw saw stack arp stab chord")
)  # fmt: skip


def telling(words: Iterable[str]) -> frozenset[str]:
    """Return words as file names mean them: short forms written out, no plural; an instrument stays that instrument."""
    return _telling(tuple(words))


@lru_cache(maxsize=4096)
def _telling(words: tuple[str, ...]) -> frozenset[str]:
    found: set[str] = set()
    for written in words:
        word = PLAIN.get(written, written)
        one = singular(word)
        spelled = SPELLINGS.get(word) or SPELLINGS.get(one) or (one,)
        if all(map(is_instrument, SPELLINGS.get(one, ("",)))):
            spelled = SPELLINGS[one]  # violons are violins before they are strings
        found.update((one,) if is_instrument(one) and not all(map(is_instrument, spelled)) else spelled)
    return frozenset(found)


@lru_cache(maxsize=4096)
def is_instrument(word: str) -> bool:
    """Whether a word is what an instrument is called."""
    return bool(house_lexicon().whole((word,), "instrument"))


def singular(word: str) -> str:
    """Return a word without the s or z of the plural."""
    if len(word) > 3 and word.endswith(("ss", "us", "is")):
        return word
    if len(word) > 4 and word.endswith("ies"):
        return f"{word[:-3]}y"
    return word[:-1] if len(word) > 2 and word[-1] in "sz" else word


def is_named(own: set[str], said: set[str]) -> bool:
    """Whether the words of a file's name are those that are said, but for a number that is left out."""
    return said <= own and all(word.isdigit() and word != "808" for word in own - said)


def with_numbered(own: list[str], words: Mapping[str, set[str]], said: Sequence[str]) -> list[str]:
    """Return stems, and for many that none is written as those of their name with a number: "guitars" for guitar, guitar 2."""
    if any(words[stem] >= set(said) for stem in own):
        return own
    one = {singular(word) for word in said}
    return [stem for stem, each in words.items() if stem in own or is_named({singular(word) for word in each}, one)]


def is_written_so(word: str, words: set[str]) -> bool:
    """Whether a word in the plural is among those of a file's name, as it stands or as a short form: horns, Hns."""
    return word in words or any(each.endswith("s") and PLAIN.get(each) == singular(word) for each in words)
